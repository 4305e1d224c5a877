"""Lasting: how early a run may be over so that its batch lasts until it is wanted.

A batch is not placed to be ready so early that it ends before what it is for: then the run is late, never early.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from msgspec import Struct

from prepboard.book.days import ONE_DAY
from prepboard.book.safety.life import ends_by_days
from prepboard.plan.floor.floor import MINUTE, Floor
from prepboard.plan.floor.too_late import wasted
from prepboard.plan.runs.runs import NO_TIME, Planned, RunTimes, thaw
from prepboard.plan.runs.stock import Lot, Need

A_DAY = 24 * 60


class Lasts(Struct, frozen=True, gc=False):
    """From when on a batch lasts for what it is for, in the floor's minutes."""

    fresh: int = 0
    """Before this the step must not begin; 0 where it does not matter."""
    step: int = -1
    """The step with which day 1 begins; -1: the moment at which the run is over."""
    grain: int = 1
    """A life ends later by whole days, or by minutes."""
    until: datetime | None = None
    """The last moment for which it lasts then."""


ANY = Lasts()


def lasting_from(run: Planned, by_name: Mapping[str, Planned], floor: Floor, run_times: RunTimes) -> Lasts:
    """From when on the batch lasts for all that it lasts for where the run lies, or alone; of one that lies nowhere yet
    until it is taken at all, where that can be. One that is late lasts as long as if it were begun now, where that is
    of use to anybody."""
    if not run.made:
        return ANY
    prep = run.need.prep
    for_it = [need for need, _ in run.serves if need.prep == prep]
    lot = run.lots[prep]
    if _is_fresh_for(run):
        for_it = [need for need in for_it if need.occasion is not None]
        good = min((end for need in for_it if (end := lot.for_guests(need.ready_by))), default=None)
    else:
        good = _good_until(lot, for_it)
    if good is None:
        return ANY
    late = run.made is not run.steps
    if late and not wasted(run):
        return _bound(run, good, NO_TIME, floor, run_times)
    spare = min([good - to for to in map(lasts_to, for_it) if to <= good], default=None)
    if late or run.steps is run.alone:
        life = good - run.made[-1].ends
        lacks = max([_lacks(need, good, life) for need in for_it], default=NO_TIME)
        if lacks > NO_TIME and _helps(run, _later(run, lacks, run_times), for_it, by_name, run_times):
            spare = -lacks
    return ANY if spare is None else _bound(run, good, spare, floor, run_times)


def _good_until(lot: Lot, needs: Sequence[Need]) -> datetime | None:
    """Until when a batch is good; one that goes into the freezer for the need that it lasts for worst. By being made
    earlier that loses one day at most, whenever it is made: of one that has a day to spare the frozen life counts."""
    if lot.thaw is None:
        return lot.good_until
    ends = [end for need in needs if (end := lot.ends(need)) is not None and end - lasts_to(need) < ONE_DAY]
    return min(ends, default=lot.good_until)


def _bound(run: Planned, good: datetime, spare: timedelta, floor: Floor, run_times: RunTimes) -> Lasts:
    """The bound of a run whose batch is good longer than it must be by so much; by less than nothing: not as long."""
    if not _counts_days(run, run_times):
        return Lasts(floor.minute_after(run.made[-1].ends - spare), until=good - spare - MINUTE)
    days, first = run_times.book.kitchen.days, run_times.counts_from(run.recipe)
    over = spare // ONE_DAY  # rounded down: what lacks is made up for by whole days
    day_one = days.business_day(_moment(run, first))
    midnight = ends_by_days(run_times.book, run_times.book.preps[run.need.prep], day_one)
    if not over and midnight is not None and run.made[-1].ends >= midnight:
        # Over before, on the same day 1, it would be good to that midnight only.
        return Lasts(floor.minute_after(midnight), grain=A_DAY, until=good - MINUTE)
    opens = days.opens(day_one - over * ONE_DAY)
    step = first if first < len(run.made) else -1
    return Lasts(floor.minute_after(opens), step, A_DAY, good - over * ONE_DAY - MINUTE)


def lasts_to(need: Need) -> datetime:
    """Until when a batch must at least be good for a need: up to the end of a sitting, past the moment at which a run
    takes it."""
    return need.until if need.occasion is not None else need.until + MINUTE


def _later(run: Planned, lacks: timedelta, run_times: RunTimes) -> timedelta:
    """By how much the run would have to be later for its batch to be good so much longer."""
    if not _counts_days(run, run_times):
        return lacks
    days = run_times.book.kitchen.days
    at = _moment(run, run_times.counts_from(run.recipe))
    return days.opens(days.business_day(at) - (-lacks // ONE_DAY) * ONE_DAY) - at


def _lacks(need: Need, good: datetime, life: timedelta) -> timedelta:
    """By how much a batch of such a life ends too early for a need; nothing, or less, where it does not. For guests one
    that ends while they come is good for those who came by then, but one that ends before they come is for nobody."""
    if need.occasion is not None and (good > need.at or life <= need.until - need.at):
        return need.at + MINUTE - good
    return lasts_to(need) - good


def _helps(
    run: Planned, more: timedelta, needs: Sequence[Need], by_name: Mapping[str, Planned], run_times: RunTimes
) -> bool:
    """Whether a run that begins so much later would still be of use, hours and lives being as they are."""
    steps = run_times.after(run.recipe, run.size, run.made[0].begins + more)
    if not steps:
        return False
    ready = steps[-1].ends
    there = ready + thaw(run_times.book.preps[run.need.prep])
    for need in needs:
        user = by_name.get(need.key)
        if need.occasion is not None and there >= need.occasion.ends:
            return False
        if user is not None and user.recipe.steps:
            at = next((use.step or 0 for use in user.recipe.uses if use.item == need.prep), 0)
            moments = run_times.moments_after(user.recipe, user.size, run_times.now, {at: there})
            if not moments:
                return False
            if moments[at] >= run_times.good_at(run, run.need.prep, steps, ready, moments[at]):
                return False
    return True


def _counts_days(run: Planned, run_times: RunTimes) -> bool:
    prep = run_times.book.preps[run.need.prep]
    return prep.keeps[prep.store].days is not None and not _is_fresh_for(run)


def _is_fresh_for(run: Planned) -> bool:
    """Whether guests are to have it fresh: that counts minutes, and is over sooner than it keeps."""
    prep = run.need.prep
    fresh = run.lots[prep].fresh_for is not None
    return fresh and any(need.occasion is not None and need.prep == prep for need, _ in run.serves)


def _moment(run: Planned, after: int) -> datetime:
    """When so many of its steps are over; with none, when the run begins."""
    return run.made[after - 1].ends if after else run.made[0].begins
