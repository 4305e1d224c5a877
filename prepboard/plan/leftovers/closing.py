"""The close: what must be discarded, what is to be decided, what carries over, what starts tonight.

At closing time a batch past its use-by, or blocked, is discarded. A good one whose use-by comes before it is next
needed is to be decided. The rest carries over, to be used first if it expires by the end of the next business day.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from datetime import datetime, timedelta
from fractions import Fraction

from msgspec import Struct, field

from prepboard.book.book import Book
from prepboard.book.days import ONE_DAY, Days
from prepboard.plan.demand.occasions import ahead, occasions
from prepboard.plan.demand.pars import pars
from prepboard.plan.given.state import Batch, State
from prepboard.plan.leftovers.freezing import gains
from prepboard.plan.needs.needs import work_out
from prepboard.plan.runs.costs import cost_of
from prepboard.plan.runs.horizon import horizon, longest_chain
from prepboard.plan.runs.runs import RunTimes
from prepboard.plan.runs.still_takes import still_takes
from prepboard.plan.runs.stock import Need
from prepboard.plan.service.freshness import fresh_until
from prepboard.plan.shown.closing_lines import CarryOver, Closing, Parting
from prepboard.plan.shown.lines import MakeLine, Note, Pull

A_WEEK = timedelta(days=7)


def close(state: State, now: datetime, make: tuple[MakeLine, ...], pull: tuple[Pull, ...]) -> Closing:
    """The close's lists as if the kitchen closed now; every batch with something left is on exactly one."""
    needed = next_needed(state, now)
    needed.wait_for(make, {item for run in state.runs for _step, item, _amount in still_takes(run)})
    days = state.book.kitchen.days
    tomorrow, soon = days.opens(days.business_day(now) + ONE_DAY), soon_over(days, now)
    discard: list[Parting] = []
    decide: list[Parting] = []
    carry: list[CarryOver] = []
    for batch in sorted(state.batches, key=lambda one: (one.use_by is None, one.use_by or one.made_at, one.code)):
        if parting := _must_go(state, batch, now):
            discard.append(parting)
        elif parting := _to_decide(state, batch, needed.of(state.book, batch), now):
            decide.append(parting)
        else:
            carry.append(CarryOver(batch, use_first(batch, soon)))
    tonight = tuple(line for line in make if line.begins < tomorrow)
    return Closing(
        tuple(discard),
        tuple(decide),
        tuple(carry),
        tonight,
        tuple(line for line in pull if line.take_out_at < tomorrow),
    )


def count_from(state: State, now: datetime) -> datetime:
    """From when on a count belongs to this close: the start of the business day's last sitting that has begun, else
    the start of the day. What was counted before that has been served from since."""
    days = state.book.kitchen.days
    opens = days.opens(days.business_day(now))
    begun = (one.starts for one in occasions(state, opens, now) if one.day == days.business_day(now))
    return max(begun, default=opens)


def to_count(closing: Closing) -> tuple[Batch, ...]:
    """What the close begins by counting: all that is good and not frozen; packs of goods are not counted."""
    good = [*(line.batch for line in closing.decide), *(line.batch for line in closing.carry_over)]
    return tuple(batch for batch in good if batch.store != "frozen" and not batch.pack)


def soon_over(days: Days, now: datetime) -> datetime:
    """The end of the next business day."""
    return days.opens(days.business_day(now) + 2 * ONE_DAY)


def use_first(batch: Batch, soon: datetime) -> bool:
    """Whether a batch expires by then; frozen ones do not count down."""
    return batch.use_by is not None and batch.store != "frozen" and batch.use_by <= soon


class NextNeeds(Struct, frozen=True):
    """When what is there is next needed, whether or not another batch covers that need: by (prep, "") the first need of
    all, by (prep, need) what that need alone takes, for what is set aside. Guests, and runs."""

    guests: dict[tuple[str, str], datetime] = field(default_factory=dict)
    runs: dict[tuple[str, str], datetime] = field(default_factory=dict)

    def add(self, need: Need, at: datetime) -> None:
        found = self.guests if need.occasion else self.runs
        for key in ("", need.key):
            known = found.get((need.prep, key))
            found[need.prep, key] = at if known is None else min(known, at)

    def wait_for(self, make: Iterable[MakeLine], under_way: Container[str]) -> None:
        """Runs take nothing before the plan begins them: with the hands and places there are that may be long after
        the last moment that would serve, or tomorrow. What runs `under_way` still take goes as it was reckoned."""
        taken: dict[str, datetime] = {}
        for line in make:
            for one in line.takes:
                taken[one.item] = min(one.at, taken.get(one.item, one.at))
        for (prep, key), at in self.runs.items():
            if prep in taken and prep not in under_way:
                self.runs[prep, key] = max(at, taken[prep])

    def of(self, book: Book, batch: Batch) -> datetime | None:
        """When a batch is next needed; guests take it as long as it is fresh."""
        key, fresh = (batch.prep, batch.set_aside), fresh_until(book, batch)
        guests = self.guests.get(key)
        if guests is not None and fresh is not None and guests >= fresh:
            guests = None
        return min((at for at in (guests, self.runs.get(key)) if at is not None), default=None)


def next_needed(state: State, now: datetime) -> NextNeeds:
    """When everything that counts down is next needed, by a service or a run.

    First as far as the plan looks; then, for what nothing there needs in time, as far as the last use-by on hand,
    and a chain further, since a run for a later service may take it before then. Never less than a week, so that
    whoever decides is told when it would be wanted.
    """
    found = NextNeeds()
    until = horizon(state, now)
    counts_down = [
        (batch, batch.use_by) for batch in state.batches if batch.use_by and batch.store != "frozen" and not batch.pack
    ]
    _look(state, now, until, {batch.prep for batch, _use_by in counts_down}, found)
    open_still = [(batch, use_by) for batch, use_by in counts_down if not _needed_before(state, batch, use_by, found)]
    if open_still:
        last = max(now + A_WEEK, *(use_by for _batch, use_by in open_still))
        wanted = {batch.prep for batch, _use_by in open_still}
        _look(state, now, max(until, last + longest_chain(state.book)), wanted, found)
    return found


def _needed_before(state: State, batch: Batch, use_by: datetime, found: NextNeeds) -> bool:
    at = found.of(state.book, batch)
    return at is not None and at < use_by


def _look(state: State, now: datetime, until: datetime, preps: Iterable[str], found: NextNeeds) -> None:
    """Finds the first needs of some preps; of the others only what leads to them is planned."""
    above = above_and_beside(state.book, preps)
    known = [par for par in pars(state, now, until, ahead(state, now, until)) if par.prep in above]
    for answer in work_out(state, now, until, known, RunTimes(state, now)).answers:
        need = answer.need
        if need.amount:
            found.add(need, max(need.occasion.starts, now) if need.occasion else need.at)


def above_and_beside(book: Book, preps: Iterable[str]) -> set[str]:
    """These preps, all whose runs take any of them, up to the plates, and what comes out of the same runs."""
    above = set(preps)
    for group in reversed(book.together):
        takes = {use.item for prep in group for use in book.preps[prep].uses}
        if not above.isdisjoint((*group, *takes)):
            above.update(group)
    return above


def _cost(book: Book, batch: Batch) -> Fraction | None:
    """What is left cost; None where no price is known, and for a pack, whose contents nobody counts."""
    return None if batch.pack else cost_of(book, batch.prep, batch.left)


def _must_go(state: State, batch: Batch, now: datetime) -> Parting | None:
    if batch.use_by is not None and batch.use_by <= now:
        note = Note("past use-by", {"at": batch.use_by, "store": batch.store, "why": batch.why})
        return Parting(batch, "past-use-by", note, _cost(state.book, batch))
    if batch.blocked:
        note = Note("blocked", {"why": batch.blocked})
        return Parting(batch, "unsafe", note, _cost(state.book, batch))
    return None


def _to_decide(state: State, batch: Batch, needed: datetime | None, now: datetime) -> Parting | None:
    if batch.kept or batch.pack or batch.store == "frozen" or batch.use_by is None:
        return None
    if needed is not None and needed < batch.use_by:
        return None
    fresh = fresh_until(state.book, batch)
    note = Note("next needed", {"until": batch.use_by, "at": needed})
    if needed is None and fresh is not None:
        note = Note("fresh no more", {"until": batch.use_by, "fresh": fresh})
    return Parting(batch, "not-needed", note, _cost(state.book, batch), gains(state, batch, now))
