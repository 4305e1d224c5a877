"""Lacking: what is not there of what a run takes as it begins. `start` says the same (`store/food/running.py`)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime

from prepboard.plan.given.state import State
from prepboard.plan.runs.runs import Planned
from prepboard.plan.runs.sizes import scaled
from prepboard.plan.shown.lines import NotThere


def on_hand_now(state: State, now: datetime) -> Mapping[str, int]:
    """By prep, what anybody may take this moment, frozen or not: not what is set aside."""
    found: dict[str, int] = defaultdict(int)
    for batch in state.batches:
        good = not batch.blocked and (batch.use_by is None or now < batch.use_by)
        if good and not batch.set_aside and batch.made_at <= now:
            found[batch.prep] += batch.left
    return found


def lacks(run: Planned, on_hand: Mapping[str, int], state: State) -> tuple[NotThere, ...]:
    """What is not there of what its first step takes, in the recipe's order."""
    found = []
    for use in run.recipe.uses if run.recipe.steps else ():
        if use.step:
            continue
        short = scaled(use.amount, run.size) - on_hand.get(use.item, 0)
        if use.item in state.missing:
            found.append(NotThere(use.item, None))
        elif use.item in state.book.preps and short > 0:
            found.append(NotThere(use.item, short))
    return tuple(found)
