"""The station's board on a real file: keys, other stations, and what goes wrong."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from boards.at_a_station import ALL, ANOTHER, JUS, NOW, L

from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.questions.all_keys import AllKeys
from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.dish import AskDish
from prepboard.boards.questions.initials import AskInitials
from prepboard.boards.questions.sure import AskTakeBack, Sure
from prepboard.boards.station.board import StationScreen
from prepboard.boards.widgets.letters import starts
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.store.actions.food import making
from prepboard.store.kitchen_file import KitchenFile

# --- the keys --------------------------------------------------------------------------------------------


async def test_s_starts_the_most_urgent_line(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("s")
        await it.answered(f"{JUS} started")
        await it.shows("under-way", [JUS])
        await it.shows("to-make", ALL[1:])
        (run,) = it.file.read().runs
        assert (run.by, run.station) == ("LM", "sauce")


async def test_s_starts_the_line_under_the_cursor(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("down", "down", "s")
        await it.shows("under-way", ["Chive oil"])
        await it.shows("to-make", [JUS, "Onion soubise", "Rye crumb"])
        assert it.cursor == "Onion soubise"
        assert "Chive oil started" in it.answer


async def test_s_on_a_line_under_way_goes_on_to_its_next_step(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("s")
        await it.shows("under-way", [JUS])
        await it.press("end", "down")
        await it.press("s")
        await it.answered("Reduce")
        assert it.file.read().runs[0].step == 1


async def passes_over(it: Any, *questions: str) -> None:
    """Of food that nobody saw begin it is asked when it came off the heat, and how warm it is: Enter says nothing."""
    for question in questions:
        await it.until(it.pilot, lambda asked=question: asked in getattr(it.app.screen, "asks", ""))
        await it.press("enter")


async def test_d_and_enter_is_done_with_the_planned_amount(desk: Callable[..., Any]) -> None:
    """On a line to make that is start and done in one."""
    async with desk() as it:
        await it.press("down", "d")
        await it.on(AskAmount)
        await it.press("enter")
        await passes_over(it, "off the heat at?", "how warm is it now")
        await it.answered("2 l, batch")
        (batch,) = it.file.read().batches
        assert (batch.prep, batch.left, batch.by) == ("jus", 2 * L, "LM")
        await it.shows("to-make", ALL[1:])


async def test_d_and_a_number_is_done_with_another_amount(desk: Callable[..., Any]) -> None:
    """A bare number is in the prep's own unit; what cannot be read is said and may be corrected."""
    async with desk() as it:
        await it.press("s")
        await it.shows("under-way", [JUS])
        await it.press("d")
        await it.on(AskAmount)
        await it.press(*"some", "enter")
        fault = it.app.screen.query_one(".fault")
        await it.until(it.pilot, lambda: "does not begin with a number" in str(fault.render()))
        await it.press(*["backspace"] * 4, *"1.8", "enter")
        await it.answered("1.8 l, batch")
        assert [batch.left for batch in it.file.read().batches] == [1800 * 10**6]


async def test_an_amount_far_from_the_plan_is_asked_once_more(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        for sure, batches in (("escape", 0), ("y", 1)):
            await it.press("d") if it.board.keys.here else await it.press("down", "d")
            await it.on(AskAmount)
            await it.press(*"20", "enter")
            await passes_over(it, "off the heat at?")
            await it.on(Sure)
            await it.press(sure)
            await passes_over(it, *["how warm is it now"] * batches)
            await it.answered("20 l, batch" if batches else "Nothing was changed")
            assert len(it.file.read().batches) == batches


async def test_escape_leaves_a_question_without_doing_anything(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        version = it.file.read().version
        for key, dialog in (("d", AskAmount), ("p", AskDish), ("i", AskInitials), ("question_mark", AllKeys)):
            await it.press("down")
            await it.press(key)
            await it.on(dialog)
            await it.press("escape")
            await it.on(StationScreen)
        assert it.file.read().version == version


async def test_initials_are_asked_once_and_go_with_every_change(desk: Callable[..., Any]) -> None:
    async with desk(by="") as it:
        await it.press("s")
        await it.on(AskInitials)
        await it.press("r", "k", "enter")
        await it.shows("under-way", [JUS])
        await it.press("s")
        await it.shows("to-make", ALL[2:])
        assert [run.by for run in it.file.read().runs] == ["rk", "rk"]
        assert "rk" in it.board.query_one("#title", PlainLine).text


async def test_nothing_is_done_by_someone_who_does_not_say_who_they_are(desk: Callable[..., Any]) -> None:
    async with desk(by="") as it:
        await it.press("s")
        await it.on(AskInitials)
        await it.press("escape")
        await it.on(StationScreen)
        assert not it.file.read().runs


async def test_a_plate_goes_out_by_first_letters(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("p")
        await it.on(AskDish)
        await it.press("o")
        dishes = it.app.screen.query_one(LineList)
        await it.until(it.pilot, lambda: len(dishes.rows) == 1)
        await it.press("enter")
        await it.until(it.pilot, lambda: sum(it.file.read().plated.values()) == 1)
        assert it.file.read().plated == {("dinner", NOW.date(), "oyster"): 1}


@pytest.mark.parametrize(
    ("letters", "name", "found"),
    [
        ("pr", "Pressed lamb", True),
        ("la", "Pressed lamb", True),
        ("am", "Pressed lamb", False),
        ("cre", "Crème brûlée", True),
        ("BRU", "Crème brûlée", True),
        ("pressed l", "Pressed lamb", True),
        ("oe", "Œufs à l'oseille", True),
    ],
)
def test_first_letters_of_any_word_find_a_dish_without_accents_and_capitals(
    letters: str, name: str, found: bool
) -> None:
    assert starts(letters, name) is found


async def test_u_takes_back_your_own_last_change(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("s")
        await it.shows("under-way", [JUS])
        await it.press("u")
        await it.on(AskTakeBack)
        await it.press("u")
        await it.answered("undone")
        await it.shows("to-make", ALL)
        assert it.names("under-way") == []


async def test_enter_opens_the_line_and_escape_leads_back(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("down", "enter")
        await it.on(LineScreen)
        said = "\n".join(str(widget.render()) for widget in it.app.screen.query("#line-title, .heading, .lines"))
        for words in (JUS, "1 recipe", "WHY THIS MUCH", "par 1.85 l for 60 covers", "on hand 0 ml", "Shallots"):
            assert words in said
        for words in ("1  Sweat the shallots", "15 min hands-on", "no colour", "3 h to wait", "at 98 °C"):
            assert words in said
        await it.press("escape")
        await it.on(StationScreen)
        assert it.cursor == JUS


async def test_an_open_line_can_be_started(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("down", "down", "enter")
        await it.on(LineScreen)
        await it.press("s")
        await it.shows("under-way", ["Chive oil"])


async def test_down_goes_on_into_the_next_list_with_rows(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("s")
        await it.shows("under-way", [JUS])
        await it.press("end", "down")
        assert it.board.focused is it.board.list_of("under-way")
        await it.press("down")
        assert it.board.focused is it.board.list_of("left")
        await it.press("d")
        await it.answered("a line to make or under way")
        await it.press("up", "up")
        assert it.cursor == "Rye crumb"


async def test_a_tap_on_a_key_in_the_footer_does_what_the_key_does(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.pilot.click("#keys", offset=(2, 0))
        await it.shows("under-way", [JUS])


# --- other stations --------------------------------------------------------------------------------------


async def test_another_stations_change_shows_up_and_moves_nothing(
    desk: Callable[..., Any], another: KitchenFile
) -> None:
    async with desk() as it:
        await it.press("down", "down", "down")
        assert it.cursor == "Onion soubise"
        making.start(another, ANOTHER, "jus", Fraction(1), it.board.board.make[0].line)
        await it.shows("to-make", ALL[1:])
        assert it.names("under-way") == [JUS]
        assert it.cursor == "Onion soubise"
        assert it.answer.startswith(f"JP, Sauce: {JUS} started")
        (changed,) = it.board.list_of("under-way").changed
        assert changed == f"run {it.file.read().runs[0].code}"


async def test_an_open_question_stays_open_when_someone_else_changes_something(
    desk: Callable[..., Any], another: KitchenFile
) -> None:
    async with desk() as it:
        await it.press("down", "down", "down", "d")
        await it.on(AskAmount)
        await it.press("2")
        making.start(another, ANOTHER, "jus", Fraction(1), it.board.board.make[0].line)
        await it.shows("to-make", ALL[1:])
        assert isinstance(it.app.screen, AskAmount)
        await it.press("enter")
        await it.answered("Onion soubise: 2 l, batch")


async def test_a_line_that_someone_else_started_says_that_it_went(
    desk: Callable[..., Any], another: KitchenFile
) -> None:
    async with desk() as it:
        await it.press("down", "down")
        making.start(another, ANOTHER, "oil", Fraction(1), it.board.board.make[1].line)
        await it.answered("Chive oil is no longer in this list. 14:00, JP, Sauce: Chive oil started")
        assert it.cursor == "Onion soubise"


async def test_a_line_that_someone_else_has_is_refused_in_words(desk: Callable[..., Any], another: KitchenFile) -> None:
    """The amount is asked while another station does the line: one batch is made, not two."""
    async with desk() as it:
        await it.press("down", "d")
        await it.on(AskAmount)
        making.done(another, ANOTHER, prep="jus", size=Fraction(1), line=it.board.board.make[0].line)
        await it.press("enter")
        await it.answered("JP")
        assert len(it.file.read().batches) == 1


# --- what goes wrong -------------------------------------------------------------------------------------


async def test_what_was_not_saved_is_said_and_tried_again_as_the_same_request(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    file.patience = 0.05
    async with desk() as it:
        lock = sqlite3.connect(file.path, isolation_level=None)
        lock.execute("BEGIN IMMEDIATE")
        await it.press("s")
        await it.answered("not saved")
        assert it.names("to-make") == ALL
        lock.execute("ROLLBACK")
        lock.close()
        await it.press("r")
        await it.shows("under-way", [JUS])
        await it.press("r")
        await it.answered("Everything is saved.")
        assert len(it.file.read().runs) == 1


async def test_a_file_that_is_gone_is_not_shown_as_live(desk: Callable[..., Any], file: KitchenFile) -> None:
    async with desk() as it:
        title = it.board.query_one("#title", PlainLine)
        moved = file.path.with_name("elsewhere.db")
        file.path.rename(moved)
        await it.until(it.pilot, lambda: "not live since 14:00" in title.text)
        assert it.board.has_class("-not-live")
        assert "is gone" in " ".join(it.answer.split())
        moved.rename(file.path)
        await it.until(it.pilot, lambda: "not live" not in title.text)
        assert not it.board.has_class("-not-live")
        assert it.answer.strip() == "Live again.", "nothing says that it is gone once it is back"


# --- sizes -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(44, 24), (80, 24), (120, 36), (200, 50)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_list_is_in_sight_at_every_size(desk: Callable[..., Any], size: tuple[int, int]) -> None:
    async with desk(size=size) as it:
        await it.pilot.pause()
        lists = [it.board.list_of(name) for name in ("to-make", "under-way", "goes-off", "left")]
        for list_ in lists:
            assert list_.region.height >= 1
            assert list_.region in it.board.region
            assert list_.region.bottom <= size[1] - 2
        assert lists[0].size.height >= len(ALL) * lists[0].lines or lists[0].size.height > sum(
            other.size.height for other in lists[1:]
        )
        beside = lists[2].region.y == lists[3].region.y
        assert beside is (size[0] >= 100)
        assert lists[0].lines == (2 if size[0] < 60 else 1)


async def test_a_resized_terminal_is_laid_out_anew(desk: Callable[..., Any]) -> None:
    async with desk(size=(120, 36)) as it:
        await it.pilot.resize_terminal(44, 24)
        await it.until(it.pilot, lambda: it.board.list_of("to-make").lines == 2 and it.board.has_class("-narrow"))
        goes_off, left = it.board.list_of("goes-off"), it.board.list_of("left")
        await it.until(it.pilot, lambda: goes_off.region.bottom < left.region.y)
