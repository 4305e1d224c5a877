"""What is taken before it is thawed is taken, and the answer says so, as the line did."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction

import pytest
from conftest import kitchen_file

from prepboard.paper.as_json import shown
from prepboard.paper.sentences.waiting import not_there
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import plan
from prepboard.store.actions.food.making import done, start
from prepboard.store.actions.food.places import thaw
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

NOW = datetime(2026, 10, 31, 9, 0, tzinfo=UTC)
COOK = Who("ab", "sauce")
BOOK = """
name = "Small"
time_zone = "UTC"

[services.dinner]
starts = "18:00"
ends = "22:00"
covers = 20

[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = "100 g" }

[preps.pie]
name = "Pie"
keeps = "3 days"
makes = "2 kg"
uses = { stew = "500 g" }
steps = [{ do = "Fill", hands_on = "30 min" }]

[preps.stew]
name = "Stew"
store = "frozen"
keeps = { frozen = "60 days", chilled = "3 days" }
thaw = "4 h"
makes = "2 kg"
"""
STILL = "still frozen: Stew 500 g"


@pytest.fixture
def file(tmp_path):
    file = kitchen_file(tmp_path, NOW, COOK, kitchen=BOOK)
    yield file
    file.close()


def _stew(file: KitchenFile) -> str:
    """2 kg of it in the freezer; answers its batch."""
    return done(file, COOK, prep="stew").batches[0]


def _said(file: KitchenFile) -> tuple[str, list[object]]:
    """What the line says before it is started, to people and to scripts."""
    board = plan(file.read(), file.clock.now())
    line = next(one for one in board.make if one.prep == "pie")
    as_shown = next(one for one in shown("make", board) if one["prep"] == "pie")
    return not_there(line, Voice.of(board)), [one.get("frozen") for one in as_shown["not_there"]]


def test_a_run_that_takes_from_the_freezer_says_so_before_and_as_it_is_started(file):
    _stew(file)
    assert _said(file) == (STILL, [True])
    assert start(file, COOK, "pie", Fraction(1)).text.endswith(STILL)


@pytest.mark.parametrize(("hours", "still"), [(3, STILL), (4, "")])
def test_so_does_one_that_takes_what_is_out_of_the_freezer_for_less_than_it_takes_to_thaw(file, hours, still):
    thaw(file, COOK, _stew(file))
    file.clock.at = NOW.replace(hour=9 + hours)
    assert _said(file)[0] == still
    assert start(file, COOK, "pie", Fraction(1)).text.partition("run ")[2].partition("; ")[2] == still
