"""Late kitchens: as little late as can be, proved by another search.

The least lateness of each drawn kitchen was proved by OR-Tools' CP-SAT 9.15 on the same jobs
(`tests/benchmarks/late_kitchens.py`, which draws twenty more of them and asks anew).
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from random import Random

import pytest
from placing_checker import faults
from random_kitchens import kitchen

from prepboard.plan.board import plan

DAY = datetime(2026, 10, 31, tzinfo=UTC)
"""Dinner is at 18:00, half of its guests want each dish."""

PROVED = [(5006, 1, 265), (5116, 2, 0), (5124, 3, 0), (5128, 0, 203)]
"""(seed, lines that are too late for their sitting, minutes that the others which sittings ask for are late): what is
of no use any more gets no later."""


@pytest.mark.parametrize(("seed", "lost", "minutes"), PROVED)
def test_nothing_is_later_than_the_best_order_has_it(seed: int, lost: int, minutes: int) -> None:
    chance = Random(seed)
    state = kitchen(seed, chance.randrange(6, 13), tight=seed % 2 == 0)
    now = DAY + timedelta(hours=chance.randrange(8, 15), minutes=chance.randrange(60))
    board = plan(state, now)
    asked = [line for line in board.make if any(use.run_of is None for use in line.serves)]
    assert faults(board) == []
    late = sum(line.late_minutes for line in asked if not line.too_late)
    assert (sum(line.too_late for line in asked), late) == (lost, minutes)
