"""More now: what is short while a service runs, and can still be made in time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from fractions import Fraction

from prepboard.book.book import Prep
from prepboard.plan.needs.ledger import Ledger
from prepboard.plan.runs.runs import Planned, thaw
from prepboard.plan.runs.stock import Need
from prepboard.plan.shown.lines import Note


def is_under_way(need: Need, now: datetime) -> bool:
    """Whether it is the need of a service that runs now."""
    return need.occasion is not None and need.occasion.running(now)


def in_time(ledger: Ledger, recipe: Prep, need: Need, sizes: Sequence[Fraction]) -> list[Fraction]:
    """Those of the sizes for a short that are ready before the service ends; where none is, the largest that is."""
    ready = [size for size in sizes if _ready(ledger, recipe, need.prep, size) < need.until]
    if ready:
        return ready
    size = sizes[-1] - recipe.sizes.step
    while size >= recipe.sizes.smallest:
        if _ready(ledger, recipe, need.prep, size) < need.until:
            return [size]
        size -= recipe.sizes.step
    return []


def more_now(run: Planned, ready: datetime, now: datetime) -> list[Note]:
    """On a run for a service under way: that it helps when it starts now, how much it gives and when, or that what it
    takes is there too late."""
    need = run.need
    if not is_under_way(need, now) or run.ready_by > now:
        return []
    if ready >= need.until:
        return [Note("too late", {"at": ready})]
    given = run.outputs[need.prep]
    return [Note("make more now", {"item": need.prep, "amount": given, "size": run.size, "at": ready})]


def _ready(ledger: Ledger, recipe: Prep, prep: str, size: Fraction) -> datetime:
    placed = ledger.run_times.after(recipe, size, ledger.now)
    return (placed[-1].ends if placed else ledger.now) + thaw(ledger.book.preps[prep])
