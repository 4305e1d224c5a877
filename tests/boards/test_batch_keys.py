"""What is done with a batch: its label, its page by a scanned code, the freezer, a hold; and parts of runs."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from fractions import Fraction
from typing import Any

import pytest
from boards.at_a_station import ALL, ANOTHER, JUS, NOW, Until
from textual.widgets import Static

from prepboard.boards.app.app import BoardApp
from prepboard.boards.pages.label_page import LabelPage
from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.pars.board import ParsScreen
from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.scanned import Scanned
from prepboard.boards.questions.typed import AskText, AskTyped
from prepboard.boards.questions.which import AskWhich
from prepboard.paper.records.label import as_text, labels
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import plan
from prepboard.store.actions.food import making
from prepboard.store.actions.food.readings import read
from prepboard.store.kitchen_file import KitchenFile

LESS = ["Chive oil", "Onion soubise", "Rye crumb"]


@pytest.fixture
def jus(file: KitchenFile) -> str:
    return making.done(file, ANOTHER, prep="jus", size=1).batches[0]


def shown(app: Any, where: str = "#text") -> str:
    return str(app.screen.query_one(where, Static).render())


async def test_a_scanned_code_opens_its_batch_and_nothing_else_happens(desk: Callable[..., Any], jus: str) -> None:
    async with desk(shows=LESS) as it:
        await it.choose(*jus, "enter")
        assert isinstance(it.app.screen, LineScreen)
        assert jus in shown(it.app, "#line-title")
        await it.choose("escape")
        assert it.app.screen is it.board
        await it.press(*"QQ9", "enter")
        await it.answered("No batch QQ9 has anything left.")
        assert it.app.screen is it.board, "Enter of a code opens no line"
        await it.choose("slash")
        await it.type(jus.lower())
        await it.on(LineScreen)
        assert it.names("to-make") == LESS, "a code is no filter"


async def test_a_code_opens_its_batch_also_where_a_digit_begins_a_number(
    file: KitchenFile, jus: str, until: Until
) -> None:
    screen = ParsScreen(file, "", "LM")
    app = BoardApp(screen)
    async with app.run_test(size=(120, 36)) as pilot:
        await until(pilot, lambda: screen.board is not None)
        await pilot.press(*jus, "enter")
        await until(pilot, lambda: isinstance(app.screen, LineScreen))


def test_only_what_is_typed_as_fast_as_a_scanner_types_is_a_code() -> None:
    now = [100.0]
    scanned = Scanned(ticks=lambda: now[0])

    def typed(text: str, seconds: float) -> list[bool]:
        took = []
        for sign in text:
            now[0] += seconds
            took.append(scanned.takes(sign))
        now[0] += seconds
        return took

    assert (typed("K7F", 0.01), scanned.ends()) == ([True] * 3, "K7F")
    assert scanned.ends() == "", "a code is read once"
    assert (typed("K7F", 2.0), scanned.ends()) == ([True, False, True], ""), "slow digits are typed numbers"
    assert (typed("12", 0.01), scanned.ends()) == ([False, False], ""), "a digit begins no code"
    assert (typed("Kd7", 0.01), scanned.ends()) == ([True, False, False], ""), "small letters are keys"
    assert (typed("K7", 0.01), scanned.ends()) == ([True, True], ""), "no code is so short"


async def test_one_key_freezes_holds_back_and_opens_goods(desk: Callable[..., Any], jus: str) -> None:
    async with desk(shows=LESS) as it:
        await it.choose(*jus, "enter")
        await it.choose("h")
        assert isinstance(it.app.screen, AskWhich)
        await it.choose("f", "enter")
        await it.on(AskAmount)
        await it.type("500 ml")
        await it.answered("500 ml in ")
        assert sorted((batch.store, batch.left // 10**6) for batch in it.file.read().batches) == [
            ("chilled", 1500),
            ("frozen", 500),
        ]
        await it.choose("h")
        await it.choose("h", "o", "enter")
        await it.on(AskText)
        await it.type("lid was off")
        await it.answered("is held back")
        await it.until(it.pilot, lambda: "do not use: lid was off" in shown(it.app))
        await it.choose("h")
        await it.choose("o", "enter")
        assert isinstance(it.app.screen, AskWhich)
        await it.choose("enter")
        await it.type("L 77")
        assert isinstance(it.app.screen, AskTyped)
        await it.press("x", "enter")
        fault = it.app.screen.query_one(".fault")
        await it.until(it.pilot, lambda: "expected a date" in str(fault.render()))
        await it.type("2026-11-02")
        await it.answered("Shallots, lot L 77: batch")
        (pack,) = [batch for batch in it.file.read().batches if batch.pack]
        assert (pack.lot, str(pack.safety)) == ("L 77", "2026-11-02")


async def test_a_batch_that_cooled_too_slowly_is_put_right_at_the_board(
    desk: Callable[..., Any], file: KitchenFile, jus: str
) -> None:
    """60 °C at 14:00 and 25 °C at 16:10: the FDA Food Code (3-501.14) asks for 21 °C within two hours."""
    read(file, ANOTHER, "batch", jus, Fraction(60), "C")
    file.clock.at = NOW + timedelta(hours=2, minutes=10)
    read(file, ANOTHER, "batch", jus, Fraction(25), "C")
    late = ["Chive oil", JUS, "Onion soubise", "Rye crumb"]
    async with desk(shows=late) as it:  # jus is to be made again
        await it.choose(*jus, "enter")
        assert "do not use: cooled too slowly" in shown(it.app)
        await it.choose("h")
        await it.choose("c", "o", "r", "enter")
        assert "74 °C" in " ".join(str(each.render()) for each in it.app.screen.query(Static))
        await it.type("heated to 75 C, cooled on ice")
        await it.answered("no reading at 74 °C")
        await it.choose("h")
        await it.choose("r", "e", "h", "enter")
        await it.type("75")
        await it.until(
            it.pilot, lambda: any((one.degrees, one.meant) == (75, "reheat") for one in it.file.read().readings)
        )
        await it.choose("h")
        await it.choose("c", "o", "r", "enter")
        await it.type("heated to 75 C, cooled on ice")
        await it.answered("corrective action: heated to 75 C, cooled on ice")
        await it.until(it.pilot, lambda: "do not use" not in shown(it.app))


async def test_a_part_is_ready_and_the_rest_goes_onto_it(desk: Callable[..., Any], file: KitchenFile) -> None:
    making.start(file, ANOTHER, "jus", 1)
    async with desk(shows=ALL[1:]) as it:
        await it.go_to("under-way", JUS)
        await it.press("a")
        await it.on(AskAmount)
        await it.type("500 ml")
        await it.until(it.pilot, lambda: type(it.app.screen) is AskTyped)
        await it.press("enter")
        await it.answered("500 ml, batch")
        (part,) = it.board.desk.made
        assert "l: label" in it.answer
        await it.until(it.pilot, lambda: it.board.list_of("under-way").rows[0].amount == "1.5 l")
        await it.choose("l")
        assert isinstance(it.app.screen, LabelPage)
        board = plan(file.read(), file.clock.now())
        assert shown(it.app).split() == as_text(labels(board.state.batches[0], Voice.of(board))[0], 32).split()
        await it.choose("escape")
        await it.choose("enter")
        assert isinstance(it.app.screen, LineScreen)
        await it.choose("g")
        assert isinstance(it.app.screen, AskWhich)
        await it.choose("enter")
        assert isinstance(it.app.screen, AskAmount)
        await it.choose("enter")
        await it.until(it.pilot, lambda: not it.file.read().runs)
        assert [(batch.code, batch.left // 10**6) for batch in it.file.read().batches] == [(part, 2000)]
