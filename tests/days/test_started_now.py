"""If started now: what a line says is what `start` gives and what is under way says right after, to the minute, and
what is not there for it is said in the same words."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import time as of_day
from datetime import timedelta
from itertools import count
from pathlib import Path
from random import Random

import pytest
from days.obedient import COOK, MINUTE, Obedient, copied, opened
from random_kitchens import NOW, TWO_A_DAY, text_of

from prepboard.clock import FixedClock
from prepboard.demo import later
from prepboard.paper.sentences.waiting import not_there
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.planner import Planner
from prepboard.plan.shown.lines import MakeLine
from prepboard.store.actions.food.making import start
from prepboard.store.file.who import Did, Unsure
from prepboard.store.kitchen_file import KitchenFile

LOOKS = timedelta(minutes=97)
KITCHENS = [
    (6, {"runs": 12, "sittings": TWO_A_DAY}),
    (7, {"runs": 12, "benches": 3, "racks": 6}),
    (5, {"runs": 10, "thaws": True}),
    (1, {"runs": 10, "tight": True}),
]


def _started(file: KitchenFile, line: MakeLine) -> tuple[Did, bool]:
    """What is answered, and whether food that may not be used was asked about first, of what the line lacks."""
    try:
        return start(file, COOK, line.prep, line.size, line.line), False
    except Unsure:
        assert line.lacks
    return start(file, COOK, line.prep, line.size, line.line, sure=True), True


def _press_each(file: KitchenFile, one_in: int = 1, one_lacking_in: int = 1) -> tuple[Board, list[str], int]:
    """Starts every line on a copy, or one in so many of those that lack nothing and of those that lack something; what
    was not as its line said, and how many of them lacked something."""
    planner, wrong, lacked = Planner(), [], 0
    seen = {True: count(), False: count()}
    board = planner.board(file.read(), file.clock.now())
    voice = Voice.of(board)
    for line in board.make:
        if not line.steps or any(note.kind == "cannot fit" for note in line.notes):
            continue
        if next(seen[bool(line.lacks)]) % (one_lacking_in if line.lacks else one_in):
            continue
        other = copied(file, planner)
        try:
            did, asked = _started(other, line)
            run = next(one for one in other.planner.board(other.read(), board.now).under_way if one.run == did.run)
        finally:
            other.close()
        if abs(run.ready_at - line.ready_if_started_now) >= MINUTE:
            wrong.append(f"{line.line}: said {line.ready_if_started_now}, gives {run.ready_at}")
        lacking = not_there(line, voice)
        lacked += bool(lacking)
        if not asked and did.text.partition("; ")[2] != lacking:
            wrong.append(f"{line.line}: said {lacking!r}, answered {did.text!r}")
    return board, wrong, lacked


@pytest.mark.parametrize(("seed", "settings"), KITCHENS)
def test_every_line_says_what_start_gives_and_what_is_not_there_for_it(tmp_path, seed, settings):
    """Morning and noon of drawn kitchens in which what goes in is still to be made, under way, or there."""
    file = opened(tmp_path, text_of(seed, strict=seed % 2 == 0, **settings), NOW)
    try:
        kitchen, lacked = Obedient(file, seed, looks=LOOKS, seconds=True, tries=0), 0
        for hours in (3, 20):
            kitchen.work(NOW + timedelta(hours=hours))
            _board, wrong, lack = _press_each(file)
            assert wrong == []
            lacked += lack
    finally:
        file.close()
    assert lacked


def test_so_do_those_of_an_evening(tmp_path: Path, demo_at: Callable[[of_day], Path]):
    path = Path(shutil.copy(demo_at(of_day(23)), tmp_path / "kitchen.db"))
    file = KitchenFile.open(path, FixedClock(later(of_day(23))), random=Random(1))
    try:
        board, wrong, lacked = _press_each(file, one_in=6, one_lacking_in=2)
    finally:
        file.close()
    assert wrong == []
    assert lacked >= 5
    assert "buttermilk-rolls" in {line.prep for line in board.make if line.lacks}
