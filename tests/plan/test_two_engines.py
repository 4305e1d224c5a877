"""The plan times a chain twice: one run alone, in a kitchen's hours and as moments (`runs/timing.py`), and all runs
with the hands and places there are, in minutes (`solver/chains.py`). Where nothing else is there, one is the other's
reference: the same minutes for the same recipe, forwards and backwards."""

from __future__ import annotations

from datetime import datetime, timedelta
from fractions import Fraction
from random import Random

import pytest
from random_kitchens import NOW, kitchen

from prepboard.plan.floor.floor import Floor
from prepboard.plan.floor.making import work_of
from prepboard.plan.runs.runs import RunTimes
from prepboard.plan.runs.timing import backward, begins_forward
from prepboard.plan.solver.chains import earliest_chain, latest_chain
from prepboard.plan.solver.jobs import in_blocks

BACK = timedelta(days=20)
DAYS = 40
"""As far as a floor reaches here: farther than any of these chains."""


@pytest.mark.parametrize("seed", range(6))
def test_both_engines_lay_a_chain_at_the_same_minutes(seed: int) -> None:
    chance, state = Random(seed), kitchen(seed, 8, tight=seed % 2 == 0)
    run_times, floor = RunTimes(state, NOW), Floor(state, NOW - BACK, DAYS * 24 * 60)
    compared = 0
    for recipe in state.book.preps.values():
        size = Fraction(chance.randrange(2, 5), 2)
        steps = run_times.chain(recipe, size)
        blocks = in_blocks(work_of(recipe, size, floor, recipe.station).steps)
        for _moment in range(6):
            at = NOW + timedelta(minutes=chance.randrange(-3 * 24 * 60, 3 * 24 * 60))
            last = backward(steps, at)
            found = latest_chain(blocks, floor.minute(at))
            assert _moments(found, floor) == (None if last is None else [placed.begins for placed in last])
            first = begins_forward(steps, at)
            after = [floor.minute(at), *([0] * (len(steps) - 1))]
            assert _moments(earliest_chain(blocks, after, floor.length), floor) == first
            compared += 1
    assert compared >= 40


def _moments(begins: list[int] | None, floor: Floor) -> list[datetime] | None:
    return None if begins is None else [floor.instant(begin) for begin in begins]
