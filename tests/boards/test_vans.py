"""Vans on a board: what comes is taken in by a key and by a scanned note; what to pack and to order stands there."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from boards.at_a_station import Desk

from prepboard.boards.app.app import BoardApp
from prepboard.boards.pages.vans_page import VansPage
from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.typed import AskTyped
from prepboard.boards.rows import van_rows
from prepboard.boards.station.as_text import texts
from prepboard.boards.station.board import StationScreen
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.plan.board import plan
from prepboard.store.actions.group.hearing import hear_hold, hear_order, hear_sent
from prepboard.store.read.delivery_note import written
from tests.store.group.conftest import LITRE, InGroup, held, in_group
from tests.store.group.test_orders import ask, orders_of


@pytest.fixture
def central(tmp_path: Path) -> Iterator[InGroup]:
    found = in_group(tmp_path, "central")
    yield found
    found.file.close()


@pytest.fixture
def north(tmp_path: Path) -> Iterator[InGroup]:
    found = in_group(tmp_path, "north")
    yield found
    found.file.close()


@pytest.fixture
def at(until: Any) -> Any:
    """Opens a kitchen's board: `async with at(north) as it:`."""

    @asynccontextmanager
    async def opened(kitchen: InGroup, size: tuple[int, int] = (100, 30)) -> AsyncIterator[Desk]:
        board = StationScreen(kitchen.file, ("sauce",), "lm")
        await board.look_first()
        async with BoardApp(board).run_test(size=size) as pilot:
            it = Desk(pilot, kitchen.file, until)
            await until(pilot, lambda: it.board.board is not None)
            yield it

    return opened


def rows(kitchen: InGroup) -> list[str]:
    found = van_rows.rows(plan(kitchen.state, kitchen.clock.at))
    return [f"{row.when} {row.what} {row.amount} {row.words} {row.extra}".strip() for row in found]


async def test_what_comes_is_taken_in_by_a_key(at: Any, central: InGroup, north: InGroup) -> None:
    note = central.sends("north", central.makes_cream())
    hear_sent(north.file, central.sent(note))
    async with at(north) as it:
        assert "1 box on its way here: >" in it.board.query_one("#morning").text
        await it.choose("greater_than_sign")
        assert isinstance(it.app.screen, VansPage)
        assert it.app.screen.query_one(LineList).rows[0].extra == note
        await it.choose("enter")
        assert isinstance(it.app.screen, AskTyped)
        await it.type("4")
        assert isinstance(it.app.screen, AskAmount)
        await it.choose("enter")
        await it.answered("1 l from Central kitchen")
        assert north.left("onion-cream") == LITRE
        assert not any(row.extra == note for row in it.app.screen.query_one(LineList).rows)


async def test_a_scanned_note_is_taken_in_with_nothing_else_known(at: Any, central: InGroup, north: InGroup) -> None:
    note = central.sends("north", central.makes_cream(), 2)
    async with at(north) as it:
        await it.press(*written(central.sent(note)))
        await it.choose("enter")
        assert isinstance(it.app.screen, AskTyped)
        await it.type("3.5")
        await it.type("1.5 l")
        await it.answered("short: the note says 2 l")
        assert north.left("onion-cream") == LITRE * 3 // 2


async def test_too_warm_is_said_on_the_board_and_not_taken_in(at: Any, central: InGroup, north: InGroup) -> None:
    note = central.sends("north", central.makes_cream())
    hear_sent(north.file, central.sent(note))
    async with at(north) as it:
        await it.choose("slash")
        await it.type(note.lower())
        await it.until(it.pilot, lambda: isinstance(it.app.screen, AskTyped))
        await it.type("9")
        await it.choose("enter")
        await it.answered("probe another box of it")
        assert north.left("onion-cream") == 0


async def test_a_box_is_opened_by_the_code_on_its_own_label(at: Any, central: InGroup, north: InGroup) -> None:
    from prepboard.store.actions.group.receiving import receive
    from tests.store.group.conftest import FOUR

    batch = central.makes_cream()
    note = central.sends("north", batch)
    (ours,) = receive(north.file, north.cook, written(central.sent(note)), FOUR).batches
    async with at(north) as it:
        await it.press(*f"C-{batch}")
        await it.choose("enter")
        assert ours in str(it.app.screen.query_one("#line-title").render())


async def test_what_others_hold_back_is_seen_to(at: Any, central: InGroup, north: InGroup) -> None:
    hear_hold(north.file, held(central, goods="cream", lot="L77"))
    async with at(north) as it:
        assert "Central kitchen holds something back" in it.board.query_one("#morning").text
        await it.choose("greater_than_sign")
        await it.press("enter")
        await it.answered("seen to by lm")
        assert [hold.seen_by for hold in north.state.holds] == ["lm"]


async def test_what_a_row_has_no_room_for_stands_below_the_list(at: Any, central: InGroup, north: InGroup) -> None:
    """On a narrow screen until when it is good, and why it is held back, is what was cut."""
    note = central.sends("north", central.makes_cream())
    hear_hold(north.file, held(central, "K7F", why="glass was found in the pot"))
    hear_sent(north.file, central.sent(note))
    async with at(north, (44, 30)) as it:
        await it.choose("greater_than_sign")
        page = it.app.screen
        assert isinstance(page, VansPage)
        below = page.query_one("#whole", PlainLine)
        held_row, coming_row, *_rest = page.query_one(LineList).rows
        assert below.text == ""
        await it.press("down")
        await it.until(it.pilot, lambda: " ".join(below.text.split()) == van_rows.whole(held_row))
        assert "glass was found in the pot" in van_rows.whole(held_row)
        await it.press("down")
        await it.until(it.pilot, lambda: " ".join(below.text.split()) == van_rows.whole(coming_row))
        assert note in below.text
    async with at(north, (140, 30)) as it:
        await it.choose("greater_than_sign")
        await it.press("down")
        assert it.app.screen.query_one("#whole", PlainLine).text == "", "there is room for all of it"


async def test_what_is_short_is_ordered_and_what_came_too_late_answered(
    at: Any, central: InGroup, north: InGroup
) -> None:
    async with at(north) as it:
        await it.choose("greater_than_sign")
        page = it.app.screen.query_one(LineList)
        assert page.rows[0].what == "order by Early van"
        await it.press("enter")
        await it.answered("ordered by Early van")
    for one in (central, north):
        one.later(hours=5)
    for one in orders_of(north):
        hear_order(central.file, one)
    async with at(central) as it:
        await it.choose("greater_than_sign")
        assert "say yes or no" in it.app.screen.query_one(LineList).rows[0].words
        await it.choose("enter")
        await it.choose("enter")
        await it.answered("it will be sent")
    assert [one.answer for one in central.state.orders] == ["yes"]


def test_the_packing_list_says_what_is_loaded_and_what_is_missing(central: InGroup, north: InGroup) -> None:
    ask(north, 3)
    for one in orders_of(north):
        hear_order(central.file, one)
    note = central.sends("north", central.makes_cream(), 2)
    (row,) = rows(central)
    assert row == f"Sun 06:30 Onion cream 3 l North Quay, 2 l loaded ({note}), 1 l to load"


def test_a_kitchen_by_itself_says_nothing_of_vans(kitchen: Any) -> None:
    alone = kitchen('[stations.sauce]\n[preps.jus]\nname = "Jus"\nkeeps = "2 days"\nmakes = "1 l"')
    assert van_rows.van_lines(alone.plan(), 80) == []
    assert "on its way" not in texts(alone.plan(), ("sauce",))


async def test_a_batch_is_sent_from_its_menu_as_one_change(at: Any, central: InGroup, north: InGroup) -> None:
    ask(north, 3)
    for one in orders_of(north):
        hear_order(central.file, one)
    batch = central.makes_cream()
    async with at(central) as it:
        await it.press(*batch, "enter")
        await it.choose("h")
        await it.choose("S", "enter")
        kitchens = it.app.screen.query_one(LineList).rows
        assert [row.what for row in kitchens] == ["North Quay", "South Hill"], "who has ordered it comes first"
        assert "3 l to load, Early van Sun 06:30" in kitchens[0].words
        await it.choose("enter")
        assert isinstance(it.app.screen, AskAmount)
        await it.choose("enter")
        await it.type("4")
        await it.answered("3 l for North Quay, note C-")
        assert central.left("onion-cream") == LITRE
        assert [(one.receiver, one.amount, one.degrees) for one in central.state.transfers] == [
            ("north", 3 * LITRE, "4 °C")
        ]
        await it.choose("u")
        await it.press("u")
        await it.until(it.pilot, lambda: central.left("onion-cream") == 4 * LITRE)
        assert [one.state for one in central.state.transfers] == ["taken back"]


async def test_what_a_van_lacks_is_loaded_from_the_packing_list(at: Any, central: InGroup, north: InGroup) -> None:
    ask(north, 6)
    for one in orders_of(north):
        hear_order(central.file, one)
    first = central.makes_cream()
    async with at(central) as it:
        await it.choose("greater_than_sign")
        await it.choose("enter")
        assert isinstance(it.app.screen, AskAmount), "of one batch there is nothing to choose"
        await it.type("1.5")
        await it.type("4")
        await it.answered("1.5 l for North Quay")
        assert central.batch(first).left == LITRE * 5 // 2
        assert "4.5 l to load" in it.app.screen.query_one(LineList).rows[0].words


async def test_too_warm_a_batch_is_not_sent(at: Any, central: InGroup) -> None:
    batch = central.makes_cream()
    async with at(central) as it:
        await it.press(*batch, "enter")
        await it.choose("greater_than_sign")
        await it.choose("enter")
        await it.choose("enter")
        await it.type("9")
        await it.answered("must be 5 °C")
        assert central.state.transfers == ()
        assert central.left("onion-cream") == 4 * LITRE
