"""Waiting: what holds up the first delayed step of a late line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from msgspec import Struct

from prepboard.plan.floor.floor import MINUTE
from prepboard.plan.floor.lasting import lasts_to
from prepboard.plan.floor.placing import Placing
from prepboard.plan.given.state import Placed
from prepboard.plan.runs.heating import hot_from
from prepboard.plan.runs.hours import Hours
from prepboard.plan.runs.runs import Planned, RunTimes, thaw
from prepboard.plan.runs.staying import stays
from prepboard.plan.runs.today import cooks, places, waits_for
from prepboard.plan.shown.lines import WaitsFor


class Held(Struct, frozen=True, gc=False):
    """Hands, or a place, that a step of some run takes, planned or under way."""

    run: str
    prep: str
    begins: datetime
    until: datetime


class AtWork(Struct, frozen=True):
    """What takes hands and places where everything lies, that which ends last first."""

    hands: Mapping[str, Sequence[Held]]
    """By station."""
    places: Mapping[str, Sequence[Held]]
    """By piece of equipment."""


def all_at_work(planned: Sequence[Planned], placing: Placing, run_times: RunTimes) -> AtWork:
    """Every step that lies somewhere."""
    lies = [(run.name, run.recipe, run.steps) for run in planned if run.name in placing.placements]
    lies += [(run.code, run.recipe, placing.under_way.get(run.code, ())) for run in run_times.state.runs]
    hands: dict[str, list[Held]] = defaultdict(list)
    places: dict[str, list[Held]] = defaultdict(list)
    for name, recipe, steps in lies:
        for placed in steps:
            hands[placed.station].append(Held(name, recipe.id, placed.begins, placed.hands_until))
            if placed.equipment is not None:
                until = placed.ends if recipe.steps[placed.step].holds == "all" else placed.hands_until
                places[placed.equipment].append(Held(name, recipe.id, placed.begins, until))
    for held in (*hands.values(), *places.values()):
        held.sort(key=lambda one: one.until, reverse=True)
    return AtWork(hands, places)


def causes_of(planned: Sequence[Planned], at_work: AtWork, run_times: RunTimes) -> dict[str, WaitsFor]:
    """By name of a late run what it waits for where it first has to; those that just take too long have none. What
    gives to a late run and could be over sooner is no cause, and is not late itself: it is needed when that begins."""
    loose: set[str] = set()
    late = {run.name for run in planned if is_late(run)}
    for run in reversed(planned):
        needs = [need for need in (*(need for need, _ in run.serves), *run.draw) if need.run_of is not None]
        if not any(need.key in late for need in needs):
            continue
        held_up = _held_up(run, at_work, run_times, loose)
        if held_up is None or held_up.cause is not None:
            continue
        loose.add(run.name)
        if is_late(run) and all(need.run_of is not None for need, _ in run.serves):
            run.ready_by = max(run.ready_by, min(need.ready_by for need in needs))
    found = {run.name: _held_up(run, at_work, run_times, loose) for run in planned if is_late(run)}
    return {name: held_up.cause for name, held_up in found.items() if held_up and held_up.cause}


def is_late(run: Planned) -> bool:
    return run.ready + thaw(run.recipe) > run.ready_by


class HeldUp(Struct, frozen=True, gc=False):
    """That some step of a run begins later than it could by itself."""

    cause: WaitsFor | None
    """What holds it; None where nothing does."""


def _held_up(run: Planned, at_work: AtWork, run_times: RunTimes, loose: Collection[str]) -> HeldUp | None:
    """What holds up the first step that something does; None for a run that begins now and goes on at once. What comes
    of `loose` runs holds nobody up."""
    if len(run.steps) != len(run.recipe.steps) or not run.steps:
        return None
    not_in = _not_in(run, run_times)
    if not_in is not None:
        return HeldUp(not_in)
    comes = waits_for(run, run_times.state.missing, run_times.now)
    chain = run_times.chain(run.recipe, run.size, run.station or None)
    soonest, delayed = run_times.now, False
    for placed, length in zip(run.steps, chain, strict=True):
        # A step may begin later since a later one could not follow it in time.
        delayed = delayed or placed.begins >= soonest + MINUTE
        found = _cause(run, placed, comes, at_work, run_times, loose) if delayed else None
        if delayed and found is None and length.rigid:
            found = _nobody_takes_it_out(run, placed, run_times)
        if found is not None:
            return HeldUp(found)
        soonest = placed.hands_until + length.least
    return HeldUp(_would_not_last(run, run_times)) if delayed else None


def _not_in(run: Planned, run_times: RunTimes) -> WaitsFor | None:
    """Goods that were due and that nobody said are there: it cannot be begun, whatever the plan hopes."""
    for use in run.recipe.uses:
        due = run_times.state.missing.get(use.item)
        if due is not None and due <= run_times.now:
            return WaitsFor("delivery", use.item, due, use.step or 0)
    return None


def _nobody_takes_it_out(run: Planned, placed: Placed, run_times: RunTimes) -> WaitsFor | None:
    """A wait that may not stretch would be over, a minute earlier, while nobody is there."""
    station = placed.station or run.station or run.recipe.station
    hours, out = run_times.hours(station), placed.ends - MINUTE
    opens = hours.is_open(out) and not hours.is_open(out - MINUTE)
    return WaitsFor("hours", station, out, placed.step) if opens else None


def _would_not_last(run: Planned, run_times: RunTimes) -> WaitsFor | None:
    """Begun a minute earlier its batch would end before what it is for."""
    prep = run.need.prep
    good = run.lots[prep].good_until
    for_it = [lasts_to(need) for need, _ in run.serves if need.prep == prep]
    if good is None or not for_it:
        return None
    moments = [*(step.begins - MINUTE for step in run.steps), run.steps[-1].ends - MINUTE]
    earlier = run_times.good_from(run.recipe, prep, moments, moments[-1])
    lot = run.lots[prep]
    if lot.fresh_for is not None and lot.fresh_until is not None:
        for_it = [need.until for need, _ in run.serves if need.prep == prep and need.occasion is not None]
        good, earlier = min(good, lot.fresh_until), min(earlier, moments[-1] + lot.fresh_for)
    lasts = [until for until in for_it if earlier < until <= good]
    return WaitsFor("life", prep, run.begins) if lasts else None


def _cause(
    run: Planned,
    placed: Placed,
    comes: Mapping[int, datetime],
    at_work: AtWork,
    run_times: RunTimes,
    loose: Collection[str],
) -> WaitsFor | None:
    """Of several causes the one that ends last: that which still held a minute before the step begins."""
    before = placed.begins - MINUTE
    goods = comes.get(placed.step)
    if goods is not None and goods > before:
        missing = run_times.state.missing
        item = next(use.item for use in run.recipe.uses if (use.step or 0) == placed.step and use.item in missing)
        return WaitsFor("delivery", item, missing[item], placed.step)
    at_step = {use.item: use.step or 0 for use in run.recipe.uses}
    for need in run.takes:
        there = max((lot.there for lot, _ in need.drawn if lot.name not in loose), default=None)
        if at_step[need.prep] == placed.step and there is not None and there > before:
            return WaitsFor("ingredient", need.prep, there, placed.step)
    station = placed.station or run.station or run.recipe.station
    if placed.hands_until > placed.begins:
        if not _is_there(station, before, run_times):
            return WaitsFor("hours", station, placed.begins, placed.step)
        leaves = _leaves(at_work.hands.get(station, ()), run, placed)
        if leaves is not None:
            return WaitsFor("hands", station, leaves.until, placed.step, leaves.prep)
        if _others_come_back(station, run, placed, at_work, run_times):
            return WaitsFor("hours", station, placed.begins, placed.step)
    if placed.equipment is not None:
        leaves = _leaves(at_work.places.get(placed.equipment, ()), run, placed)
        if leaves is not None:
            return WaitsFor("place", placed.equipment, leaves.until, placed.step, leaves.prep)
        return _does_not_work(placed, before, run_times) or _is_not_hot(placed, before, run_times)
    return None


def _is_there(station: str, at: datetime, run_times: RunTimes) -> bool:
    """Whether anybody is at a station: in its hours, of whose cooks some work that day, or since somebody stays."""
    state, known = run_times.state, run_times.book.stations.get(station)
    if not run_times.hours(station).is_open(at):
        return False
    if known is None or cooks(state, known, run_times.book.kitchen.days.business_day(at)):
        return True
    return any(since <= at < until for since, until in stays(state, station))


def _others_come_back(station: str, run: Planned, placed: Placed, at_work: AtWork, run_times: RunTimes) -> bool:
    """Whether a break ends as a step begins, in which whoever stayed was busy with something else to the end."""
    book, before = run_times.book, placed.begins - MINUTE
    written = Hours(book.stations.get(station), book.kitchen.days, placed.begins)
    if written.is_open(before) or not written.is_open(placed.begins):
        return False
    held = at_work.hands.get(station, ())
    return any(one.begins <= before < one.until and one.run != run.name for one in held)


def _leaves(held: Sequence[Held], run: Planned, placed: Placed) -> Held | None:
    """Of what other runs hold, the last to end first, that which ends as a step begins: what is held longer is not in
    its way, there are other hands, or places."""
    before = placed.begins - MINUTE
    for one in held:
        if one.until <= before:
            return None
        if one.until < placed.begins + MINUTE and one.begins <= before and one.run != run.name:
            return one
    return None


def _does_not_work(placed: Placed, before: datetime, run_times: RunTimes) -> WaitsFor | None:
    """Fewer places work on the day before than it takes."""
    equipment, days = run_times.book.equipment[placed.equipment or ""], run_times.book.kitchen.days
    if places(run_times.state, equipment, days.business_day(before)) >= len(placed.places):
        return None
    return WaitsFor("works", equipment.id, placed.begins, placed.step)


def _is_not_hot(placed: Placed, before: datetime, run_times: RunTimes) -> WaitsFor | None:
    equipment = run_times.book.equipment[placed.equipment or ""]
    hot = hot_from(run_times.state, equipment, placed.begins)
    return WaitsFor("place", equipment.id, hot, placed.step) if hot is not None and hot > before else None
