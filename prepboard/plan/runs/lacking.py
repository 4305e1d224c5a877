"""Lacking: what is not there, or not thawed, of what a run takes as it begins. `start` says the same
(`store/food/running.py`)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime

from prepboard.book.freshness import is_still_frozen
from prepboard.plan.given.state import Batch, State
from prepboard.plan.runs.runs import Planned
from prepboard.plan.runs.sizes import scaled
from prepboard.plan.shown.lines import NotThere


def on_hand_now(state: State, now: datetime) -> Mapping[str, int]:
    """By prep, what anybody may take this moment, frozen or not: not what is set aside."""
    return _amounts(batch for batch in state.batches if _may_be_taken(batch, now))


def frozen_now(state: State, now: datetime) -> Mapping[str, int]:
    """By prep, how much of that is not thawed."""
    return _amounts(
        batch
        for batch in state.batches
        if is_still_frozen(state.book.preps.get(batch.prep), batch.store, batch.stays, now)
        and _may_be_taken(batch, now)
    )


def _may_be_taken(batch: Batch, now: datetime) -> bool:
    good = not batch.blocked and (batch.use_by is None or now < batch.use_by)
    return good and not batch.set_aside and batch.made_at <= now


def _amounts(batches: Iterable[Batch]) -> Mapping[str, int]:
    found: dict[str, int] = defaultdict(int)
    for batch in batches:
        found[batch.prep] += batch.left
    return found


def lacks(run: Planned, on_hand: Mapping[str, int], frozen: Mapping[str, int], state: State) -> tuple[NotThere, ...]:
    """What is not there of what its first step takes, or only there frozen, in the recipe's order: what is thawed is
    taken first."""
    found = []
    for use in run.recipe.uses if run.recipe.steps else ():
        if use.step:
            continue
        wanted, there = scaled(use.amount, run.size), on_hand.get(use.item, 0)
        if use.item in state.missing:
            found.append(NotThere(use.item, None))
        elif use.item in state.book.preps and wanted > there:
            found.append(NotThere(use.item, wanted - there))
        ice = frozen.get(use.item, 0)
        if ice and (of_it := min(wanted, there) - (there - ice)) > 0:
            found.append(NotThere(use.item, of_it, frozen=True))
    return tuple(found)
