"""Clocks that are wrong: far off, set back, or twenty minutes apart. It is said, and nothing hangs or breaks."""

from __future__ import annotations

import subprocess
import sys
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from functools import partial

import pytest

from prepboard.clock import FixedClock
from prepboard.plan.board import plan
from prepboard.plan.given.state import Line
from prepboard.store.actions.food.making import done, start, step
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.food.stock import count, discard
from prepboard.store.actions.handover import note
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.undoing import undo
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.who import Refused
from prepboard.store.health.about_the_file import about
from prepboard.store.health.health import check
from prepboard.store.kitchen_file import KitchenFile

LITRE = 10**9


@pytest.mark.parametrize("year", [1, 1970, 9999])
def test_an_open_file_whose_clock_goes_astray_neither_shows_nor_writes(kitchen, year):
    kitchen.file.read()
    kitchen.clock.at = datetime(year, 1, 2, tzinfo=UTC)
    for use in (kitchen.file.read, lambda: note(kitchen.file, kitchen.jp, "the walk-in is warm")):
        with pytest.raises(StoreFault, match=f"the clock says it is {year}; set this machine's clock first"):
            use()
    assert kitchen.select("SELECT count(*) FROM notes") == [(0,)]


@pytest.mark.parametrize(
    "apart", [timedelta(minutes=20), timedelta(minutes=-20), timedelta(hours=-3), timedelta(days=-2)], ids=str
)
def test_two_stations_whose_clocks_are_apart_work_on_one_file(kitchen, apart):
    """What one begins the other goes on with; what cannot be is refused in words, and the file stays whole."""
    other = KitchenFile.open(kitchen.file.path, FixedClock(kitchen.clock.at + apart))
    first, second = (kitchen.file, kitchen.jp), (other, kitchen.lm)
    line = Line("lamb-jus", "dinner.2026-10-31", 0)
    for here, there, of in ((first, second, line), (second, first, None)):
        done(*here, prep="brown-stock")
        run = start(*here, "lamb-jus", Fraction(1), of).run
        newest = kitchen.select("SELECT max(code) FROM batches")[0][0]
        tried = [
            partial(step, *there, run),
            partial(done, *there, run=run),
            partial(read, *there, "batch", newest, Fraction(4), "C"),
            partial(plate, *there, kitchen.dinner, "lamb-toast", 1),
            partial(count, *there, "brown-stock", LITRE // 2),
            partial(discard, *there, "brown-stock", LITRE // 10, "spoiled"),
            partial(undo, *there),
            partial(undo, *here),
        ]
        for one in tried:
            with suppress(Refused):
                one()
        for file in (kitchen.file, other):
            plan(file.read(), file.clock.now())
    assert check(kitchen.file) == []
    other.close()


def test_a_clock_that_went_back_is_said(kitchen):
    note(kitchen.file, kitchen.jp, "the walk-in is warm")
    kitchen.later(minutes=-1)
    assert about(kitchen.file).wrong == ()
    kitchen.later(minutes=-19)
    assert about(kitchen.file).wrong == (
        "the last entry is of 14:00, and this machine's clock says 13:40: one of them is wrong",
    )


def test_a_board_says_its_clock_without_what_else_there_is_to_say_of_the_file() -> None:
    """Every start would pay for it."""
    asked = "import sys, prepboard.store.health.clocks; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True).stdout.split()
    health = {name for name in loaded if name.startswith("prepboard.store.health.")}
    assert health == {"prepboard.store.health.clocks"}
