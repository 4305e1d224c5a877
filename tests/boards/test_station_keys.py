"""What the keys of a station do beyond starting and marking done: with runs, with what is there, with plates."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

import pytest
from boards.at_a_station import ALL, ANOTHER, JUS, NOW
from textual.widgets import Input, Static

from prepboard.boards.questions.amount import AskAmount, AskAnyAmount
from prepboard.boards.questions.dish import AskDish
from prepboard.boards.questions.sure import AskAll, AskTakeBack
from prepboard.boards.questions.typed import AskText, AskTyped
from prepboard.boards.questions.when import AskWhen
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.station import keys
from prepboard.boards.station.board import StationScreen
from prepboard.store.actions.food import making
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.log import log_rows

SELF = Who("LM", "sauce")


@pytest.fixture
def jus(file: KitchenFile) -> str:
    """Two litres of jus on hand for more than tonight; answers the batch's code."""
    return making.done(file, ANOTHER, prep="jus", size=Fraction(1)).batches[0]


@pytest.fixture
def old_soubise(file: KitchenFile) -> str:
    """A batch of soubise that is past its use-by; answers its code."""
    made = making.done(file, ANOTHER, prep="soubise", size=Fraction(1), at=NOW - timedelta(days=7))
    return made.batches[0]


async def test_a_start_can_be_back_dated(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("b")
        await it.on(AskWhen)
        await it.press(*"15:00", "enter")
        fault = it.app.screen.query_one(".fault")
        await it.until(it.pilot, lambda: "still to come" in str(fault.render()))
        await it.type("13:20")
        await it.shows("due", [JUS])  # its first step is over by now
        assert it.file.read().runs[0].started == datetime(2026, 10, 31, 13, 20, tzinfo=NOW.tzinfo)


async def test_s_a_number_and_enter_starts_another_amount_and_says_what_it_covers(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("s")
        await it.answered("started")
        await it.press("7")
        await it.on(AskAmount)
        assert it.app.screen.query_one(Input).value == "7"
        await it.choose("enter")
        await it.until(it.pilot, lambda: [run.size for run in it.file.read().runs] == [Fraction(7, 2)])
        await it.answered("Lamb [b]jus[/b]: 7 l started instead of 2 l, run ")
        said = [row.did for row in log_rows(it.file)]
        assert [one for one in said if one in ("started", "undo")] == ["started", "undo", "started"]


async def test_a_number_belongs_to_a_start_only_right_behind_it(
    desk: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """8 is 86, unless it says how much; any other key between them, or a while, and it is 86 again."""
    async with desk() as it:
        await it.press("s")
        await it.answered("started")
        await it.press("j", "8")
        await it.on(AskWhich)
        await it.choose("escape")
        monkeypatch.setattr(keys, "WITHIN", 0.0)
        await it.press("s", "8")
        await it.on(AskWhich)


async def test_what_is_made_together_comes_in_proportion_without_another_question(desk: Callable[..., Any]) -> None:
    """d, the number, Enter: also of a run that gives two."""
    async with desk() as it:
        await it.go_to("to-make", "Rye crumb")
        await it.press("d")
        await it.on(AskAmount)
        said = str(it.app.screen.query_one(".notes").render())
        assert "From the same pot, in proportion: Rye crust 600 g" in said
        await it.type("1.5")
        await it.answered("Rye crust: 300 g, batch")
        assert sorted((batch.prep, batch.left // 10**6) for batch in it.file.read().batches) == [
            ("crumb", 1500),
            ("crust", 300),
        ]


async def test_the_second_of_a_pot_may_be_typed_behind_the_first(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.go_to("to-make", "Rye crumb")
        await it.press("d")
        await it.on(AskAmount)
        await it.type("; 100 g")
        await it.answered("Rye crust: 100 g, batch")
        assert {batch.prep: batch.left // 10**6 for batch in it.file.read().batches} == {"crumb": 3000, "crust": 100}


def _asks(it: Any, title: str) -> bool:
    return type(it.app.screen) is AskTyped and title in str(it.app.screen.query_one(".title").render())


async def test_food_that_cools_is_asked_how_warm_it_is_as_it_is_done(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.go_to("to-make", JUS)
        await it.press("d")
        await it.on(AskAmount)
        await it.press("enter")
        await it.until(it.pilot, lambda: _asks(it, "off the heat at?"))
        await it.type("13:50")
        await it.until(it.pilot, lambda: _asks(it, "how warm is it now, in °C?"))
        await it.type("62")
        await it.until(it.pilot, lambda: [one.said for one in it.file.read().readings] == ["62 °C"])


async def test_enter_passes_over_the_reading(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.go_to("to-make", JUS)
        await it.press("d")
        await it.on(AskAmount)
        await it.press("enter")
        for asked in ("off the heat at?", "how warm is it now"):
            await it.until(it.pilot, lambda asked=asked: _asks(it, asked))
            await it.press("enter")
        await it.on(StationScreen)
        assert it.file.read().readings == ()
        assert len(it.file.read().batches) == 1


async def test_containers_are_units(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.go_to("to-make", "Chive oil")
        await it.press("d")
        await it.on(AskAmount)
        assert "(or 1 bottle)" in str(it.app.screen.query_one(".notes").render())
        await it.type("3 bottle")
        await it.answered("3 bottles (1.5 l)")
        assert [batch.left for batch in it.file.read().batches] == [1500 * 10**6]


async def test_several_lines_are_marked_and_done_at_once(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("down", "space", "down", "down", "space")
        heading = it.board.query_one("#to-make-heading")
        assert "2 marked" in heading.text
        await it.press("d")
        await it.on(AskAll)
        await it.press("enter")
        await it.shows("to-make", ["Chive oil", "Rye crumb"])
        assert sorted(batch.prep for batch in it.file.read().batches) == ["jus", "soubise"]
        assert not it.board.keys.marked
        await it.choose("u")
        await it.press("enter")
        await it.shows("to-make", ALL)
        assert it.file.read().batches == ()


async def test_of_several_lines_all_are_done_or_none(desk: Callable[..., Any], another: KitchenFile) -> None:
    async with desk() as it:
        await it.press("down", "space", "down", "space", "d")
        await it.on(AskAll)
        making.done(another, ANOTHER, prep="oil", size=Fraction(1), line=it.board.board.make[1].line)
        await it.press("enter")
        await it.answered("JP")
        assert [batch.prep for batch in it.file.read().batches] == ["oil"]


async def test_a_run_that_failed_is_lost_with_a_reason_and_planned_again(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("s")
        await it.shows("under-way", [JUS])
        await it.go_to("under-way", JUS)
        await it.press("x")
        await it.on(AskWhich)
        await it.press("b")
        await it.choose("enter")
        assert isinstance(it.app.screen, AskAmount)
        await it.press("enter")
        await it.answered("lost at Sauce; the plan makes it again where it is needed")
        await it.shows("to-make", ALL)
        (entry,) = [row for row in log_rows(it.file) if row.did == "lost"]
        assert entry.why == "burnt"


async def test_less_is_counted_than_was_known(desk: Callable[..., Any], jus: str) -> None:
    async with desk(shows=ALL[1:]) as it:
        await it.press("c")
        await it.on(AskWhich)
        await it.choose("enter")
        await it.type("1.8")
        await it.answered("1.8 l counted")
        assert it.file.read().batches[0].left == 1800 * 10**6


async def test_more_than_was_known_must_say_when_it_was_made(desk: Callable[..., Any], jus: str) -> None:
    async with desk(shows=ALL[1:]) as it:
        for when in ("", "yesterday 13:00"):
            await it.press("c")
            await it.on(AskWhich)
            await it.choose("enter")
            await it.type("2.5")
            assert isinstance(it.app.screen, AskWhen)
            await it.type(when) if when else await it.press("escape")
            await it.on(StationScreen)
        await it.answered("500 ml more")
        made = sorted(batch.made_at for batch in it.file.read().batches)
        assert made == [NOW - timedelta(hours=25), NOW]


async def test_what_is_past_its_use_by_is_thrown_away_with_two_enters(
    desk: Callable[..., Any], old_soubise: str
) -> None:
    async with desk() as it:
        await it.go_to("goes-off", "Onion soubise")
        await it.press("x")
        await it.on(AskWhich)
        await it.choose("enter")
        assert isinstance(it.app.screen, AskAmount)
        await it.press("enter")
        await it.answered("3 l discarded")
        await it.shows("goes-off", [])
        (entry,) = [row for row in log_rows(it.file) if row.did == "discarded"]
        assert (entry.why, entry.batch) == ("past-use-by", old_soubise)


async def test_goods_can_be_thrown_away_too(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("x")
        await it.on(AskWhich)
        await it.press(*"sh")
        await it.choose("enter")
        await it.press(*"spo")
        await it.choose("enter")
        await it.press(*"2", "enter")
        await it.answered("Shallots: 2 kg discarded")


async def test_what_staff_eats_is_no_waste(desk: Callable[..., Any], jus: str) -> None:
    async with desk(shows=ALL[1:]) as it:
        await it.press("o")
        await it.on(AskWhich)
        await it.choose("enter")
        await it.press("s")
        await it.choose("enter")
        await it.type("300 ml")
        await it.answered("300 ml used")
        assert it.file.read().batches[0].left == 1700 * 10**6


async def test_what_is_in_no_book_becomes_a_batch_with_a_short_life(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("m")
        await it.on(AskText)
        await it.type("Pea puree")
        assert isinstance(it.app.screen, AskAnyAmount)
        await it.type("2 kg")
        await it.on(AskWhich)
        await it.press("enter")
        await it.answered("Pea puree: 2 kg")
        (batch,) = it.file.read().batches
        assert (batch.name, batch.why) == ("Pea puree", "no recipe")
        await it.shows("goes-off", ["Pea puree"])


async def test_several_plates_go_out_and_a_miscount_comes_back(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        for keys, out in ((["1", "2", "l", "enter"], 12), (["-", "3", "l", "enter"], 9)):
            await it.press("p")
            await it.on(AskDish)
            await it.press(*keys)
            await it.until(it.pilot, lambda out=out: sum(it.file.read().plated.values()) == out)
            await it.on(StationScreen)


async def test_undo_says_first_what_it_would_take_back(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("u")
        await it.answered("You have changed nothing that could be undone.")
        await it.press("s")
        await it.shows("under-way", [JUS])
        await it.press("u")
        await it.on(AskTakeBack)
        said = " ".join(str(each.render()) for each in it.app.screen.query("Static"))
        assert f"{JUS} started: 1 recipe" in said
        assert "(14:00)" in said
        await it.press("escape")
        await it.on(StationScreen)
        assert len(it.file.read().runs) == 1


async def test_undo_is_refused_in_words_once_others_built_on_it(desk: Callable[..., Any], another: KitchenFile) -> None:
    async with desk() as it:
        await it.press("s")
        await it.shows("under-way", [JUS])
        making.step(another, ANOTHER, it.file.read().runs[0].code)
        await it.choose("u")
        await it.press("u")
        await it.answered("has gone on since")
        assert it.file.read().runs[0].step == 1


async def test_a_temperature_is_written_down_for_what_is_under_the_cursor(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("s")
        await it.shows("under-way", [JUS])
        await it.go_to("under-way", JUS)
        await it.press("t")
        await it.on(AskTyped)
        await it.press(*"hot", "enter")
        fault = it.app.screen.query_one(".fault", Static)
        await it.until(it.pilot, lambda: "63.5 C" in str(fault.content))
        await it.type("98F")
        await it.answered("98 °F")
        (reading,) = it.file.read().readings
        assert (reading.kind, reading.degrees, reading.unit) == ("run", 98, "F")


async def test_a_temperature_of_goods_is_chosen_by_its_letters(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("t")
        await it.on(AskWhich)
        await it.press(*"sh")
        await it.choose("enter")
        await it.type("-2")
        await it.answered("Shallots: -2 °C")
