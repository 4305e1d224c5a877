"""Coming: what runs will give of a prep, and when; and what other sittings of the day still take."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime

from msgspec import Struct, field

from prepboard.plan.demand.expected import asked_of
from prepboard.plan.demand.occasions import Occasion, occasions
from prepboard.plan.demand.pars import portion
from prepboard.plan.demand.plating import Plating
from prepboard.plan.given.group import Transfer
from prepboard.plan.given.state import State
from prepboard.plan.service.expecting import Evening
from prepboard.plan.service.thawing import thawed_at
from prepboard.plan.shown.lines import MakeLine, UnderWay

Amounts = Mapping[str, tuple[tuple[datetime, int], ...]]
"""Prep -> (when, how much), in order of time."""


class Coming(Struct, frozen=True):
    """What is not there yet."""

    under_way: Amounts = field(default_factory=dict)
    planned: Amounts = field(default_factory=dict)

    def next_of(self, prep: str, before: datetime) -> datetime | None:
        """When the next of a prep is there, if that is before a moment: a run under way first, then a planned one."""
        for amounts in (self.under_way, self.planned):
            if soon := [at for at, amount in amounts.get(prep, ()) if amount and at < before]:
                return soon[0]
        return None

    def by(self, prep: str, moment: datetime) -> int:
        """How much comes of a prep until a moment, of all runs."""
        every = (*self.under_way.get(prep, ()), *self.planned.get(prep, ()))
        return sum(amount for at, amount in every if at <= moment)


NOTHING = Coming()


def coming(
    state: State,
    now: datetime,
    make: Iterable[MakeLine],
    under_way: Iterable[UnderWay],
    vans: Iterable[tuple[Transfer, datetime]] = (),
) -> Coming:
    """What the runs under way and those planned will give, what thaws or could be taken out to, and what is on its way
    here."""
    given: dict[str, list[tuple[datetime, int]]] = defaultdict(list)
    for one, there in vans:
        given[one.prep].append((there, one.amount))
    for run in under_way:
        for prep, amount in (run.outputs or {run.prep: run.amount}).items():
            given[prep].append((run.ready_at, amount))
    later: dict[str, list[tuple[datetime, int]]] = defaultdict(list)
    for line in make:
        for prep, amount in line.outputs.items():
            later[prep].append((line.ready_at, amount))
    for batch in state.batches:
        if not batch.blocked and not batch.set_aside and (thawed := thawed_at(state.book, batch, now)):
            (later if batch.store == "frozen" else given)[batch.prep].append((thawed, batch.left))
    return Coming(_in_order(given), _in_order(later))


def _in_order(found: Mapping[str, list[tuple[datetime, int]]]) -> Amounts:
    return {prep: tuple(sorted(amounts)) for prep, amounts in found.items()}


def taken_by_others(state: State, now: datetime, mine: Occasion, comes: Coming) -> dict[str, dict[str, int]]:
    """Prep -> service -> what it still takes of what is there now: what nothing that is set aside for it or comes in
    time will give. Those of the same business day that still expect guests."""
    day, found = mine.day, defaultdict[str, dict[str, int]](dict)
    later = state.book.kitchen.days.next_opening(day)
    for other in occasions(state, now, later):
        if other.day != day or other.key == mine.key:
            continue
        by, need = other.ends if other.running(now) else other.starts, other.need
        aside: dict[str, int] = defaultdict(int)
        for one in state.batches:
            if one.set_aside == need:
                aside[one.prep] += one.left
        for prep, amount in _still_takes(state, now, other).items():
            if (lacking := amount - aside[prep] - comes.by(prep, by)) > 0:
                found[prep][other.service.id] = lacking
    return found


def _still_takes(state: State, now: datetime, other: Occasion) -> dict[str, int]:
    evening, takes = Evening(state, now, other, asked_of(state, now, other)), defaultdict[str, float](float)
    plating = Plating(state, now, other)
    for dish, its in evening.asked.items():
        if other.service.function:
            plates = plating.still(dish, its.portions)
        elif its.fixed:
            plates = max(0.0, its.portions - state.plated.get((*other.key, dish), 0))
        else:
            plates = evening.portions(dish, max(now, other.starts), other.ends)
        for item in state.book.dishes[dish].plate:
            if item in state.book.preps and plates:
                takes[item] += plates * portion(state, other.day, dish, item)
    return {prep: round(amount) for prep, amount in takes.items()}
