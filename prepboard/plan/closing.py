"""The close: what must be discarded, what is to be decided, what carries over, what starts tonight.

At closing time a batch past its use-by, or blocked, is discarded. A good one whose use-by comes before it is next
needed is to be decided. The rest carries over, to be used first if it expires by the end of the next business day.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

from prepboard.book.days import ONE_DAY, Days
from prepboard.plan.costs import cost_of
from prepboard.plan.lines import CarryOver, Closing, MakeLine, Note, Parting, Pull
from prepboard.plan.needs import work_out
from prepboard.plan.occasions import ahead
from prepboard.plan.pars import pars
from prepboard.plan.runs import Bench, horizon
from prepboard.plan.state import Batch, State

FURTHEST_LOOK = timedelta(days=14)
"""Further ahead than this no need is looked for: what is good longer carries over."""


def close(state: State, now: datetime, make: tuple[MakeLine, ...], pull: tuple[Pull, ...]) -> Closing:
    """The close's lists as if the kitchen closed now; every batch with something left is on exactly one."""
    needed = next_needed(state, now)
    days = state.book.kitchen.days
    tomorrow = days.opens(days.business_day(now) + ONE_DAY)
    discard: list[Parting] = []
    decide: list[Parting] = []
    carry: list[CarryOver] = []
    for batch in sorted(state.batches, key=lambda one: (one.use_by is None, one.use_by or one.made_at, one.code)):
        if parting := _must_go(state, batch, now):
            discard.append(parting)
        elif parting := _to_decide(state, batch, now, needed.get(batch.prep)):
            decide.append(parting)
        else:
            carry.append(CarryOver(batch, use_first(days, batch, now)))
    tonight = tuple(line for line in make if line.start_by < tomorrow)
    return Closing(
        tuple(discard),
        tuple(decide),
        tuple(carry),
        tonight,
        tuple(line for line in pull if line.take_out_at < tomorrow),
    )


def use_first(days: Days, batch: Batch, now: datetime) -> bool:
    """Whether a batch expires by the end of the next business day; frozen ones do not count down."""
    if batch.use_by is None or batch.store == "frozen":
        return False
    next_day: date = days.business_day(now) + ONE_DAY
    return batch.use_by <= days.opens(next_day + ONE_DAY)


def next_needed(state: State, now: datetime) -> dict[str, datetime]:
    """When each prep is next needed, by a service or a run, whether or not another batch covers that need; looked
    for as far as the last use-by on hand."""
    use_bys = [batch.use_by for batch in state.batches if batch.use_by and batch.store != "frozen"]
    until = max(horizon(state, now), min(max(use_bys, default=now), now + FURTHEST_LOOK))
    bench = Bench(state, now)
    held = ahead(state, now, until)
    found: dict[str, datetime] = {}
    for answer in work_out(state, now, until, pars(state, now, until, held), bench).answers:
        need = answer.need
        at = max(need.occasion.starts, now) if need.occasion else need.at
        if need.amount and (need.prep not in found or at < found[need.prep]):
            found[need.prep] = at
    return found


def _must_go(state: State, batch: Batch, now: datetime) -> Parting | None:
    if batch.use_by is not None and batch.use_by <= now:
        note = Note("past use-by", {"at": batch.use_by, "store": batch.store})
        return Parting(batch, "past-use-by", note, cost_of(state.book, batch.prep, batch.left))
    if batch.blocked:
        note = Note("blocked", {"why": batch.blocked})
        return Parting(batch, "unsafe", note, cost_of(state.book, batch.prep, batch.left))
    return None


def _to_decide(state: State, batch: Batch, now: datetime, needed: datetime | None) -> Parting | None:
    if batch.store == "frozen" or batch.use_by is None or batch.use_by > now + FURTHEST_LOOK:
        return None
    if needed is not None and needed < batch.use_by:
        return None
    note = Note("next needed", {"until": batch.use_by, "at": needed})
    return Parting(batch, "not-needed", note, cost_of(state.book, batch.prep, batch.left))
