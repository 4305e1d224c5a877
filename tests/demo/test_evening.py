"""The demo later in its day: what happened since was done through the same actions, and gives boards to look at."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from datetime import time, timedelta
from pathlib import Path

import pytest
from msgspec import Struct

from prepboard.boards.closing.rows import sections
from prepboard.boards.station.as_text import texts
from prepboard.clock import FixedClock
from prepboard.commands.show.lists import FROM_THE_BOARD
from prepboard.demo import NOW, TODAY, ZONE, later
from prepboard.paper import as_text, text_pages
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board, plan
from prepboard.plan.planner import Planner
from prepboard.store.actions.food.making import start
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.log import log_rows


class Later(Struct):
    """The kitchen at a time of the evening, on a file of one's own."""

    file: KitchenFile
    board: Board


Evening = Callable[[time], Later]


@pytest.fixture(scope="module")
def evening(demo_at: Callable[[time], Path], tmp_path_factory: pytest.TempPathFactory) -> Iterator[Evening]:
    opened: dict[time, Later] = {}

    def at(when: time) -> Later:
        if when not in opened:
            path = shutil.copy(demo_at(when), tmp_path_factory.mktemp("evening") / "kitchen.db")
            file = KitchenFile.open(path, FixedClock(later(when)))
            file.makes_planner = Planner
            opened[when] = Later(file, plan(file.read(), later(when)))
        return opened[when]

    yield at
    for one in opened.values():
        one.file.close()


def test_the_day_goes_from_the_afternoon_to_the_last_bench() -> None:
    assert later(time(14, 20)) == NOW
    assert later(time(23)).astimezone(ZONE).strftime("%A %H:%M") == "Saturday 23:00"
    for outside in (time(14, 19), time(23, 31), time(2)):
        with pytest.raises(ValueError, match=r"from 14:20 to 23:30"):
            later(outside)


def test_before_dinner_runs_are_under_way_on_every_bench_and_a_step_is_overdue(evening: Evening) -> None:
    board = evening(time(17, 20)).board
    assert {line.station for line in board.under_way} == set(board.state.book.stations)
    due = {
        run.recipe.id: run.step_began + timedelta(minutes=step.hands_minutes(run.size) + step.wait)
        for run in board.state.runs
        for step in (run.recipe.steps[run.step],)
    }
    assert due["rye-crisp"] < board.now
    assert any(line.prep == "whey-barley" for line in board.make), "it was scorched at 17:08"
    assert board.state.tonight["dinner", later(time(17)).date()].covers == 80


def test_what_is_late_then_is_ready_when_the_board_says_if_it_is_started_and_is_taken_back(evening: Evening) -> None:
    """Runs are under way that nobody's press has placed yet, late ones among them: they lie where they are."""
    file, board = evening(time(17, 20)).file, evening(time(17, 20)).board
    line = next(one for one in board.make if one.prep == "whey-barley")
    assert line.late_minutes > 60
    run = start(file, Who("TK", "roast"), line.prep, line.size, line.line).run
    begun = next(one for one in plan(file.read(), board.now).under_way if one.run == run)
    assert begun.ready_at == line.ready_if_started_now
    undo(file, Who("TK", "roast"))
    assert next(one.line for one in plan(file.read(), board.now).make if one.prep == line.prep) == line.line


def test_a_line_of_a_board_says_once_when_it_is_ready(evening: Evening) -> None:
    """And one state of a dish: whoever passes by shall not have to choose."""
    boards = [evening(when).board for when in (time(17, 20), time(19, 45), time(23))]
    shown = [texts(board, (station,)) for board in boards for station in board.state.book.stations]
    read = [line for text in shown for line in text.splitlines()]
    assert any("ready" in line for line in read)
    for line in read:
        assert len(re.findall(r"\bready\b", line)) <= 1, line
        assert len(re.findall(r"\b(?:86|none until|not made)\b", line)) <= 1, line


def test_in_service_plates_go_out_and_some_dishes_run_low(evening: Evening) -> None:
    board = evening(time(19, 45)).board
    assert [line.service for line in board.sittings if line.running] == ["dinner"]
    out = {dish: n for (service, _day, dish), n in board.state.plated.items() if service == "dinner"}
    assert sum(out.values()) > 60
    assert any(line.low for line in board.left)


def test_at_the_close_there_is_something_to_discard_to_decide_and_to_start(evening: Evening) -> None:
    board = evening(time(23)).board
    closing = board.closing
    assert closing.discard
    assert closing.decide
    assert any(line.line.prep == "roll-dough" for line in board.make)
    assert [station for (day, station) in board.state.signed if day == TODAY] == ["fish"]
    left_open = [(close.day.isoformat(), close.stations) for close in board.open_closes if close.day < TODAY]
    assert left_open == [("2026-06-12", ("sauce",))], "of the nights before one bench has not signed"


def test_what_is_held_hot_for_sunday_begins_on_sunday_and_lasts_through_lunch(evening: Evening) -> None:
    """New potatoes keep for some hours. Where the bench has too much to do on Sunday they are late by that, not by the
    hours since an evening in which they could not begin."""
    board = evening(time(23)).board
    potatoes = min((line for line in board.make if line.prep == "new-potatoes"), key=lambda line: line.ready_by)
    lunch = next(one for one in board.sittings if one.service == potatoes.serves[0].service)
    assert potatoes.begins > lunch.starts - timedelta(hours=2)
    assert timedelta(minutes=potatoes.late_minutes) == max(potatoes.ready_at - potatoes.ready_by, timedelta())
    assert potatoes.late_minutes < 60
    assert potatoes.use_by is not None
    assert potatoes.use_by > lunch.starts + timedelta(hours=1)


def test_nobody_took_what_was_not_there_but_what_ran_out(evening: Evening) -> None:
    """Every recipe of the evening found its ingredients."""
    assert [row for row in log_rows(evening(time(23)).file) if row.did == "missing" and not row.dish] == []


def test_papers_and_boards_of_a_whole_evening_say_no_unit_of_pieces_and_no_code(evening: Evening) -> None:
    """What a machine can hold of how the tool speaks, over every list of a full kitchen at its close."""
    board = evening(time(23)).board
    voice = Voice.of(board)
    pages = [as_text.page(what, board, "Kitchen", 100) for what in FROM_THE_BOARD]
    pages.append(text_pages.closing(board.closing, board, "Kitchen", 100))
    pages.append(text_pages.log(log_rows(evening(time(23)).file), voice, "Kitchen", 100))
    rows = [row for section in sections(board, (), ()) for row in section.rows]
    pages.append("\n".join(f"{row.when} {row.what} {row.amount} {row.words} {row.extra}" for row in rows))
    said = "\n".join(pages)
    assert len(said) > 10_000
    assert not re.findall(r"[0-9½] each\b", said)
    assert not re.findall(r"good past|past-use-by|not-needed|no-date|sent-back", said)
