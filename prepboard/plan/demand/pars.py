"""Pars: how much of each prep should be on hand when a service starts.

By mix: the smallest amount that covers the sitting with the service level, each guest choosing independently. By
history: the same of what its dishes sold lately. By count: the count and a margin, in whole portions. Standing:
whatever the covers say. By hand wins over all.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, datetime
from fractions import Fraction
from math import ceil

from msgspec import Struct, field

from prepboard.book.book import Book, Prep
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.choosing import guest_use
from prepboard.plan.demand.demand import Demand, demand
from prepboard.plan.demand.learning import fold
from prepboard.plan.demand.levels import level_from_money, service_level
from prepboard.plan.demand.occasions import Occasion, Table, occasions, table
from prepboard.plan.demand.sales import Sales, sales
from prepboard.plan.demand.summed import summed
from prepboard.plan.given.state import State
from prepboard.plan.shown.lines import Basis, DishSales, Stage


class Par(Struct, frozen=True, gc=False):
    """The par of one prep at one moment: for a sitting, or for a day on which no sitting needs it."""

    prep: str
    occasion: Occasion | None
    need: str
    day: date
    ready_by: datetime
    amount: int
    expected: int
    source: Basis
    demand: Demand | None
    """What the guests by chance will take; None where chance has no part."""
    counted: int = 0
    """The part that is by count, beside the demand."""
    stage: Stage | None = None
    promise: float | None = None
    """The chance that the computed par makes in whole portions."""
    dishes: tuple[DishSales, ...] = ()

    def chance(self, amount: int) -> float | None:
        """The chance that an amount covers the sitting."""
        return None if self.demand is None else self.demand.chance(amount - self.counted)


def pars(state: State, now: datetime, until: datetime, held: tuple[Occasion, ...]) -> list[Par]:
    """All pars of the given occasions, and the standing pars of the days up to `until` that no sitting needs."""
    found: list[Par] = []
    served: set[tuple[str, date]] = set()
    known = fold(state, now).now
    for occasion in held:
        portions = _portions(state, occasion)
        sold = sales(state, known, occasion, portions.table, portions.by_count)
        served.update((prep, occasion.day) for prep in portions.plates)
        found += _of_sitting(state, sold, portions, now)
        found += _only_by_hand(state, occasion, portions.plates)
    found += _standing_alone(state, now, until, served)
    return found


class _Portions(Struct, frozen=True):
    """What one plate of each dish on offer takes, and who takes which dish; it remembers what follows from that."""

    table: Table
    plates: dict[str, dict[str, int]]
    """prep -> dish -> amount on a plate."""
    counts: dict[str, int]
    by_count: frozenset[str]
    """The dishes of `counts`."""
    fixed_only: bool
    """A function: dishes without a count get nothing."""
    demands: dict[tuple[str, int, frozenset[str]], Demand | None] = field(default_factory=dict)

    def demand(self, prep: str, guests: int, by_history: frozenset[str]) -> Demand | None:
        """What so many guests take of a prep by choosing from the mix; None when nobody takes any so."""
        known = by_history.intersection(self.plates[prep])
        key = prep, guests, known
        if key not in self.demands:
            use = () if self.fixed_only else guest_use(self.table, self.plates[prep], known.union(self.counts))
            self.demands[key] = demand(guests, use) if use else None
        return self.demands[key]


MOST_REMEMBERED = 500
_remembered: dict[object, tuple[Book, _Portions]] = {}


def portion(state: State, day: date, dish: str, item: str) -> int:
    """How much of a prep one plate takes on a business day, as it was last set."""
    return state.portions.get((day, dish, item), state.book.dishes[dish].plate[item])


def _portions(state: State, occasion: Occasion) -> _Portions:
    """Remembered by all that it depends on: it changes with a menu, not with a minute or a plate."""
    tonight = occasion.tonight
    changed = (tonight.shares, tonight.counts, state.portions)
    key = (id(state.book), occasion.key, tonight.off, *(frozenset(mapping.items()) for mapping in changed))
    found = _remembered.get(key)
    if found is None or found[0] is not state.book:
        if len(_remembered) >= MOST_REMEMBERED:
            _remembered.clear()
        found = _remembered[key] = (state.book, _work_out_portions(state, occasion))
    return found[1]


def _work_out_portions(state: State, occasion: Occasion) -> _Portions:
    offered = table(state.book, occasion)
    plates: dict[str, dict[str, int]] = defaultdict(dict)
    for dish in offered.dishes.values():
        for item in dish.plate:
            if item in state.book.preps:
                plates[item][dish.id] = portion(state, occasion.day, dish.id, item)
    counts = {**(occasion.service.counts or {}), **occasion.tonight.counts}
    counts = {dish: count for dish, count in counts.items() if dish in offered.dishes}
    return _Portions(offered, dict(plates), counts, frozenset(counts), occasion.service.counts is not None)


def _of_sitting(state: State, sold: Sales, portions: _Portions, now: datetime) -> Iterator[Par]:
    """The pars of the preps on a sitting's plates."""
    occasion = sold.occasion
    to_come = 1.0 - occasion.come_by(now)
    ahead = occasion.starts > now
    need, tonight = occasion.need, occasion.tonight
    for prep_id, plates in portions.plates.items():
        prep = state.book.preps[prep_id]
        guests = ceil(occasion.covers * to_come - 1e-9)
        by_mix = portions.demand(prep_id, guests, sold.by_history)
        by_chance = _by_chance(sold, plates, by_mix, to_come)
        counted, counted_use = _by_count(occasion, portions, plates, to_come)
        computed = by_chance.quantile(service_level(state.book, prep)) if by_chance else 0
        amount = -(-(counted + computed) * (100 + tonight.percent) // 100)
        expected = counted_use + _expected(sold, portions, prep_id, to_come)
        source = _source(sold, prep, plates, by_chance)
        standing = _standing(state, prep, occasion.day)
        if standing is not None and standing > amount and ahead:
            amount, source = standing, "standing"
        if prep_id in tonight.pars:
            gone = _plated(state, occasion, plates)
            amount, source = max(0, tonight.pars[prep_id] - gone), "by hand"
            expected = min(expected, amount)
        if not amount and not expected:
            continue
        by_itself = by_chance is not None and source in ("mix", "history", "money")
        yield Par(
            prep_id,
            occasion,
            need,
            occasion.day,
            occasion.set_by if ahead else state.short_since.get((prep_id, need), now),
            amount,
            expected,
            source,
            by_chance,
            counted,
            sold.stage(plates, portions.by_count) if by_itself else None,
            by_chance.chance(computed) if by_chance and by_itself and not tonight.special else None,
            sold.lines(plates, portions.by_count),
        )


def _by_chance(sold: Sales, plates: dict[str, int], by_mix: Demand | None, to_come: float) -> Demand | None:
    """What the guests still to come take by chance: dishes that history knows each for itself, the others by mix."""
    if not sold.by_history:
        return by_mix
    parts = [*sold.demands(plates, to_come), *([by_mix] if by_mix else [])]
    return summed(tuple(parts)) if parts else None


def _expected(sold: Sales, portions: _Portions, prep: str, to_come: float) -> int:
    """What the guests still to come are expected to take by chance: their part of what the whole sitting takes."""
    by_mix = portions.demand(prep, sold.occasion.covers, sold.by_history)
    whole = by_mix.mean if by_mix else Fraction(0)
    if sold.by_history:
        whole += sold.expected(portions.plates[prep])
    return round(whole if to_come == 1 else whole * Fraction(to_come))


def _source(sold: Sales, prep: Prep, plates: dict[str, int], by_chance: Demand | None) -> Basis:
    if by_chance is None:
        return "count"
    if level_from_money(prep) is not None:
        return "money"
    return "history" if sold.by_history.intersection(plates) else "mix"


def _by_count(occasion: Occasion, portions: _Portions, plates: dict[str, int], to_come: float) -> tuple[int, int]:
    """Par and expected use of the dishes whose number is fixed: the margin is made up to whole portions."""
    par = use = 0
    if portions.by_count.isdisjoint(plates):
        return 0, 0
    for dish, count in portions.counts.items():
        if dish in plates:
            left = ceil(count * to_come - 1e-9)
            par += ceil(left * (1 + occasion.service.over)) * plates[dish]
            use += left * plates[dish]
    return par, use


def _standing(state: State, prep: Prep, day: date) -> int | None:
    by_hand = state.standing_on.get((prep.id, day.weekday()), state.standing.get(prep.id))
    return by_hand if by_hand is not None else prep.par.on(day) if prep.par else None


def _plated(state: State, occasion: Occasion, plates: dict[str, int]) -> int:
    return sum(state.plated.get((*occasion.key, dish), 0) * amount for dish, amount in plates.items())


def _only_by_hand(state: State, occasion: Occasion, on_plates: dict[str, dict[str, int]]) -> Iterator[Par]:
    """Pars that a sous chef set for preps that no dish of the sitting takes."""
    for prep, amount in occasion.tonight.pars.items():
        if prep in state.book.preps and prep not in on_plates and amount:
            yield Par(prep, occasion, occasion.need, occasion.day, occasion.set_by, amount, 0, "by hand", None)


def _standing_alone(state: State, now: datetime, until: datetime, served: set[tuple[str, date]]) -> Iterator[Par]:
    """Standing pars of preps on no dish of a day's services: needed at the day's first sitting, with expected use
    0; on a day without one, when the station opens."""
    days = state.book.kitchen.days
    day = days.business_day(now)
    by_hand = {*state.standing, *(prep for prep, _weekday in state.standing_on)}
    firsts: dict[date, Occasion] = {}
    for occasion in occasions(state, days.opens(day), until):
        firsts.setdefault(occasion.day, occasion)
    standing = [prep for prep in state.book.preps.values() if prep.par or prep.id in by_hand]
    while days.opens(day) <= until:
        first = firsts.get(day)
        for prep in standing:
            amount = _standing(state, prep, day)
            if not amount or (prep.id, day) in served:
                continue
            if first is None:
                at = opening(state, prep.station, day)
                yield Par(prep.id, None, f"open.{day.isoformat()}", day, at, amount, 0, "standing", None)
            elif prep.id not in first.tonight.pars and first.ends > now:
                yield Par(prep.id, first, first.need, day, first.set_by, amount, 0, "standing", None)
        day += ONE_DAY


def opening(state: State, station: str, day: date) -> datetime:
    """When a station opens on a business day; when the day does where it keeps no hours."""
    days = state.book.kitchen.days
    found = state.book.stations.get(station)
    windows = found.hours.on(day) if found and found.hours else None
    return days.in_day(day, windows[0][0]) if windows else days.opens(day)
