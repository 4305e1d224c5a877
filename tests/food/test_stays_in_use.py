"""What a sound kitchen makes stays in use: the starter's food under every rule book, the demo's on its Saturday.

Too short a life is thrown away with the good, and a board that throws away bread is believed no more.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from prepboard.clock import FixedClock
from prepboard.demo import NOW
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import plan
from prepboard.plan.leftovers.closing import close
from prepboard.resources import config_folder
from prepboard.store.actions.food.making import done
from prepboard.store.actions.loading import load_book
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

COOK = Who("ab", "sauce")
SATURDAY = datetime(2026, 10, 31, 12, tzinfo=UTC)
BOOKS = ("food-code-2022", "uk", "ireland", "fsanz")


@pytest.fixture(params=BOOKS)
def starter(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[KitchenFile]:
    folder = tmp_path / "book"
    shutil.copytree(config_folder() / "starter", folder)
    kitchen = next(path for path in folder.glob("*.toml") if "rules =" in path.read_text("utf-8"))
    kitchen.write_text(kitchen.read_text("utf-8").replace("food-code-2022", request.param), "utf-8")
    made = KitchenFile.open(tmp_path / "kitchen.db", FixedClock(SATURDAY), create=True, random=Random(1))
    load_book(made, COOK, folder)
    yield made
    made.close()


def test_what_the_starter_makes_on_one_day_is_there_on_the_next(starter):
    """Roots keep two days, stock and purée three, green sauce 24 hours; nobody has read a thermometer yet."""
    for prep in ("roast-roots", "root-stock", "onion-puree", "green-sauce"):
        done(starter, COOK, prep=prep, sure=True)
    starter.clock = FixedClock(SATURDAY + timedelta(hours=23))
    here = {batch.prep: batch for batch in starter.read().batches}
    assert {prep for prep, batch in here.items() if batch.blocked} == set()
    assert {"roast-roots", "root-stock", "onion-puree", "green-sauce"} <= set(here)
    for prep, batch in here.items():
        assert batch.use_by is None or batch.use_by > starter.clock.now(), prep
    starter.clock = FixedClock(SATURDAY + timedelta(hours=25))
    board = plan(starter.read(), starter.clock.now())
    gone = close(board.state, board.now, board.make, board.pull).discard
    assert [line.batch.prep for line in gone] == ["green-sauce"], "its day is over, and no other's"


def test_nothing_that_needs_no_cold_is_thrown_away_in_the_demo_and_what_goes_says_why(made_demo, tmp_path):
    path = shutil.copy(made_demo, tmp_path / "kitchen.db")
    file = KitchenFile.open(Path(path), FixedClock(NOW))
    try:
        board = plan(file.read(), NOW + timedelta(hours=8))
        gone = close(board.state, board.now, board.make, board.pull).discard
        stable = {prep.id for prep in board.state.book.preps.values() if prep.stable or prep.exempt}
        assert stable
        in_its_life = [line for line in gone if line.batch.prep in stable and line.reason != "past-use-by"]
        assert in_its_life == []
        voice = Voice.of(board)
        assert all(note_text(line.note, voice).strip() for line in gone)
    finally:
        file.close()
