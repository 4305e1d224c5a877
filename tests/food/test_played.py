"""Whatever is done with food, it is never good longer than a small reckoning by the codes' sentences, nor shorter.

The reckoning (`reckoning.py`) shares nothing with what it checks; `playing.py` does what the dice say with both. The
same plays by the thousand, from printed seeds: `tests/benchmarks/played_food.py`.
"""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.food.played_actions import ACTIONS
from tests.food.played_kitchen import Ready, get_ready
from tests.food.playing import THEMES, drawn, played

KITCHENS = (("food-code-2022", False), ("food-code-2022", True), ("uk", False), ("ireland", False), ("fsanz", False))
DRAWN, BY_HYPOTHESIS = 100 if os.environ.get("PREPBOARD_LONG") else 15, 5
"""Histories in each kitchen, each another: 100 together."""


_READY: dict[tuple[str, bool], Ready] = {}


@pytest.fixture(scope="module", params=KITCHENS, ids=lambda one: one[0] + ("-hold" if one[1] else ""))
def ready(request, tmp_path_factory):
    rules, hold = request.param
    if request.param not in _READY:
        _READY[request.param] = get_ready(tmp_path_factory.mktemp("played") / "kitchen", rules, hold=hold)
    return _READY[request.param]


def test_drawn_histories_are_answered_as_the_codes_say(ready):
    seeds = (f"{ready.rules} {ready.hold} {number}" for number in range(DRAWN))
    asked = sum(played(ready, drawn(seed, most=22)).asked for seed in seeds)
    assert asked > 40 * DRAWN  # Plays in which nothing happens would show nothing.


def kinds_of(theme):
    return [number for number, (name, _action) in enumerate(ACTIONS) if not theme or name in theme]


numbers = st.integers(0, 59)
plays = st.sampled_from(THEMES).flatmap(
    lambda theme: st.lists(st.tuples(st.sampled_from(kinds_of(theme)), numbers, numbers, numbers), max_size=20)
)


@settings(max_examples=BY_HYPOTHESIS, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(ops=plays)
def test_any_play_is_answered_as_the_codes_say(ready, ops):
    """Where it differs hypothesis finds the shortest play that still does."""
    played(ready, ops)
