"""Making way for what is late is tried as often as is worth it: in a hotel hundreds of runs are late at once."""

from __future__ import annotations

from datetime import timedelta

import pytest
from msgspec.structs import replace
from random_kitchens import NOW, kitchen

from prepboard.plan.board import plan
from prepboard.plan.floor import pinned
from prepboard.plan.solver.rivals import Rivals


@pytest.fixture
def tried(monkeypatch):
    """The late runs for which others were to make way."""
    found = []
    make_way = Rivals.make_way

    def counted(self, index):
        found.append(index)
        make_way(self, index)

    monkeypatch.setattr(Rivals, "make_way", counted)
    return found


def press_when_all_is_late() -> None:
    """A kitchen in which nobody began anything for three hours, and then somebody presses a key."""
    state = kitchen(7, 24, tight=True)
    board = plan(state, NOW, moving=True)
    kept = replace(state, placements=board.placing.placements, placed_for=board.placing.digest)
    plan(kept, NOW + timedelta(hours=7), moving=True)


def test_so_many_are_tried_as_fit_into_the_placements_that_it_may_cost(tried, monkeypatch):
    press_when_all_is_late()
    every = len(tried)
    tried.clear()
    monkeypatch.setattr(pinned, "MOST_PLACED", 1)
    press_when_all_is_late()
    assert 0 < len(tried) < every
