"""Notes and tasks on the boards: they stand where they are seen, and a key sees to them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from boards.at_a_station import ALL, ANOTHER, BOOK, JUS, KITCHEN, NOW
from msgspec.structs import replace
from textual.widgets import Static

from prepboard.boards.closing.rows import sections as closing_sections
from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.questions.typed import AskText, AskTyped
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.rows import station_view
from prepboard.boards.rows.lists import RowCache
from prepboard.boards.station.as_text import texts, wall_texts
from prepboard.boards.wall.pages import pages
from prepboard.boards.wall.view import sections
from prepboard.paper.lists import stations
from prepboard.paper.lists.handover import task_words
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import plan
from prepboard.plan.demand.occasions import next_occasion
from prepboard.plan.floor.work import work_left
from prepboard.plan.runs.runs import RunTimes
from prepboard.store.actions import handover
from prepboard.store.actions.food import making
from prepboard.store.actions.loading import load_book
from prepboard.store.kitchen_file import KitchenFile

DAY = date(2026, 10, 31)
LONG = "the stock is in the blast chiller, the lid is off, and it goes into the walk-in before the second sitting comes"

TASKS = """
[tasks.drawer]
name = "Read the drawer"
station = "sauce"
when = "15:00"
hands_on = "2 min"
reads = "C"

[tasks.scrub]
name = "Scrub the kettle"
station = "sauce"
when = "13:00"

[tasks.oven]
name = "Clean the oven"
station = "roast"
when = "13:00"
"""


@pytest.fixture
def with_tasks(file: KitchenFile, tmp_path: Path) -> KitchenFile:
    book = tmp_path / "book"
    book.mkdir()
    (book / "kitchen.toml").write_text(KITCHEN, encoding="utf-8")
    (book / "book.toml").write_text(BOOK + TASKS, encoding="utf-8")
    load_book(file, ANOTHER, book)
    return file


async def test_a_note_stands_above_what_is_to_make_until_it_is_ticked_off(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    handover.note(file, ANOTHER, LONG, "sauce")
    handover.note(file, ANOTHER, "for the others", "roast")
    async with desk(size=(160, 45)) as it:
        await it.shows("notes", [LONG])
        assert it.board.query_one("#notes-section").display
        await it.press("down", "up")
        assert it.board.focused is it.board.list_of("notes"), "up from the first line goes on to the notes"
        await it.choose("enter")
        assert LONG in " ".join(str(it.app.screen.query_one("#text", Static).render()).split())
        await it.choose("escape")
        await it.press("d")
        await it.shows("notes", [])
        assert not it.board.query_one("#notes-section").display
        assert [note.whom for note in it.file.read().notes if note.done_at is None] == ["roast"]


async def test_a_note_is_written_to_whom_it_is_for(desk: Callable[..., Any], file: KitchenFile) -> None:
    run = making.start(file, ANOTHER, "jus", 1).run
    async with desk(shows=ALL[1:]) as it:
        await it.go_to("under-way", JUS)
        await it.press("n")
        await it.on(AskText)
        await it.type("no salt yet")
        assert isinstance(it.app.screen, AskWhich)
        await it.choose("enter")
        await it.shows("notes", ["no salt yet"])
        assert [note.whom for note in it.file.read().notes] == [run]


async def test_tasks_stand_among_the_lines_to_make_and_are_done_by_the_same_key(
    desk: Callable[..., Any], with_tasks: KitchenFile
) -> None:
    board = plan(with_tasks.read(), with_tasks.clock.now())
    starts = [(line.begins, line.prep) for line in board.make if line.station == "sauce"]
    order = sorted([*starts, (NOW - timedelta(hours=1), "scrub"), (NOW + timedelta(hours=1), "drawer")])
    name = {prep: board.state.book.preps[prep].name for _start, prep in starts}
    name |= {"scrub": "Scrub the kettle", "drawer": "Read the drawer"}
    shown = [name[key] for _at, key in order]
    async with desk(shows=shown) as it:
        await it.go_to("to-make", "Scrub the kettle")
        assert it.board.list_of("to-make").row.words == "overdue 1 h"
        await it.press("s")
        await it.answered("Nothing to start")
        await it.press("d")
        await it.answered("Scrub the kettle: done")
        await it.go_to("to-make", "Read the drawer")
        await it.choose("enter")
        await it.press("d")
        await it.on(AskTyped)
        await it.press("x", "enter")
        fault = it.app.screen.query_one(".fault")
        await it.until(it.pilot, lambda: "like 63" in str(fault.render()))
        await it.type("3.5")
        await it.until(it.pilot, lambda: not isinstance(it.app.screen, LineScreen | AskTyped))
        await it.shows("to-make", ALL)
        done = it.file.read().tasks_done["drawer", DAY]
        assert (done.degrees, done.unit, done.by) == ("3.5", "C", "LM")


async def test_a_long_note_goes_on_in_a_second_line_and_who_saw_to_it_is_named(
    desk: Callable[..., Any], file: KitchenFile, another: KitchenFile
) -> None:
    handover.note(file, ANOTHER, LONG)
    async with desk() as it:
        await it.until(it.pilot, lambda: it.board.list_of("notes").rows)
        (row,) = it.board.list_of("notes").rows
        assert f"{row.what} {row.words}" == f"{LONG}   JP, for all"
        await it.go_to("notes", row.what)
        handover.tick_off(another, ANOTHER, 1)
        await it.answered("Note 1 was ticked off 14:00 by JP.")


def test_a_wall_shows_all_of_a_note_that_is_for_all(file: KitchenFile) -> None:
    handover.note(file, ANOTHER, LONG)
    handover.note(file, ANOTHER, "roast only", "roast")
    board = plan(file.read(), file.clock.now())
    for width in (44, 80, 120, 160):
        lines = [
            "".join(text for text, _tone in line) for page in pages(sections(board), width, 40) for line in page.lines
        ]
        assert width == 160 or LONG in " ".join(" ".join(lines).split())
        assert not any("roast only" in line for line in lines)
    assert wall_texts(board).index("NOTES") < wall_texts(board).index("NEXT TO START")
    assert "roast only" in texts(board, ("roast",))
    assert "roast only" not in texts(board, ("sauce",))


@pytest.mark.parametrize(("late", "rows", "said"), [(119, 1, ()), (120, 0, ("readings missed today: 1",))])
def test_a_reading_that_nobody_took_for_two_hours_is_missed_and_presses_no_more(
    with_tasks: KitchenFile, late: int, rows: int, said: tuple[str, ...]
) -> None:
    """A reading not taken within two hours is missed, and folds; a task without one stays."""
    board = plan(with_tasks.read(), NOW + timedelta(hours=1, minutes=late))
    section = station_view.sections(board, ("sauce",), RowCache())[0]
    assert [row.what for row in section.rows].count("Read the drawer") == rows
    assert [row.what for row in section.rows].count("Scrub the kettle") == 1
    assert section.aside[-1:] == said or (not said and "missed" not in "".join(section.aside))
    tasks = next(one for one in closing_sections(board, ("sauce",), ()) if one.name == "tasks")
    assert ([row.what for row in tasks.rows].count("Read the drawer"), tasks.aside) == (rows, said)
    paper = "\n".join(stations.make(board, 100))
    assert ("Read the drawer" in paper, "readings missed today: 1" in paper) == (bool(rows), bool(said))
    words = task_words(next(task for task in board.tasks if task.task == "drawer"), Voice.of(board))
    assert words == ("missed, reading in C" if said else "overdue 1 h 59, reading in C")


@pytest.mark.parametrize(("hours", "left"), [(1, 2), (4, 0)])
def test_a_missed_reading_is_no_work_that_is_left(with_tasks: KitchenFile, hours: int, left: int) -> None:
    state = with_tasks.read()
    drawer = [task for task in plan(state, NOW + timedelta(hours=hours)).tasks if task.task == "drawer"]
    now, none = NOW + timedelta(hours=hours), RunTimes(state, NOW)
    occasion = replace(next_occasion(state, NOW), starts=NOW + timedelta(hours=9))
    (work,) = (one for one in work_left(state, now, occasion, (), (), drawer, none) if one.station == "sauce")
    assert work.work_minutes == left
