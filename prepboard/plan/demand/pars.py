"""Pars: how much of each prep should be on hand when a service starts.

By mix: the smallest amount that covers the sitting with the service level, guests of one night being more alike than
independent ones (`spread`). By history: the same of what its dishes sold lately. By count: the count and a margin, in
whole portions. Standing: whatever the covers say, once a business day. By hand wins over all. What a sitting is
expected to use is one number, whichever of them its par is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterator, Mapping, Sequence
from datetime import date, datetime
from fractions import Fraction
from math import ceil
from operator import is_
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.amounts import DUST, MILLION
from prepboard.book.book import Prep
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.chances import PrepDemand
from prepboard.plan.demand.choosing import guest_use
from prepboard.plan.demand.expected import AtSitting, at_sitting, counts_of
from prepboard.plan.demand.grids import A_THOUSANDTH
from prepboard.plan.demand.levels import level_from_money, service_level
from prepboard.plan.demand.occasions import Curve, Occasion, Table, occasions, table
from prepboard.plan.demand.plating import Plating
from prepboard.plan.demand.sales import Sales
from prepboard.plan.demand.straying import each, straying
from prepboard.plan.demand.summed import summed
from prepboard.plan.given.state import Sitting, State
from prepboard.plan.memory import Pages, memory_of
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
    demand: PrepDemand | None
    """What the guests by chance will take, before `percent`; None where chance has no part."""
    counted: int = 0
    """The part that is by count, beside the demand."""
    stage: Stage | None = None
    promise: float | None = None
    """The chance that the computed par makes in whole portions."""
    dishes: tuple[DishSales, ...] = ()
    percent: int = 0
    """By how much a sous chef scaled the demand."""
    portion: int = 0
    """The smallest amount on a plate; 0 where no dish takes it."""
    goes: Curve = ()
    """When which share of it goes out, at a sitting."""

    @property
    def tolerance(self) -> int:
        """What lacks less than this, lacks nothing: a thousandth of a portion."""
        return max(DUST, self.portion // A_THOUSANDTH)

    def chance(self, amount: int) -> float | None:
        """The chance that an amount covers the sitting."""
        if self.demand is None:
            return None
        return self.demand.chance(amount * 100 // (100 + self.percent) - self.counted)


def pars(state: State, now: datetime, until: datetime, held: tuple[Occasion, ...]) -> list[Par]:
    """All pars of the given occasions, and the standing pars of the days up to `until` that no sitting needs."""
    found: list[Par] = []
    served: set[tuple[str, date]] = set()
    standing = _standing_preps(state)
    firsts = _firsts(state, now, held) if standing else {}
    for occasion in held:
        sold = at_sitting(state, now, occasion)
        portions = _portions(state, occasion, sold.moved)
        if standing:
            served.update((prep, occasion.day) for prep in portions.plates)
        found += _known_of_sitting(state, occasion, sold, portions, now, firsts)
        found += _only_by_hand(state, occasion, portions.plates)
    if standing:
        found += _standing_alone(state, now, until, standing, served)
    return found


def _standing_preps(state: State) -> list[Prep]:
    """Those that have a standing par, by the book or by hand."""
    by_hand = {*state.standing, *(prep for prep, _weekday in state.standing_on)}
    return [prep for prep in state.book.preps.values() if prep.par or prep.id in by_hand]


class _Portions(Struct, frozen=True, eq=False):
    """What one plate of each dish on offer takes, and who takes which dish."""

    table: Table
    plates: dict[str, dict[str, int]]
    """prep -> dish -> amount on a plate."""
    counts: dict[str, int]
    by_count: frozenset[str]
    """The dishes of `counts`."""
    fixed_only: bool
    """A function: dishes without a count get nothing."""
    spread: float
    demands: Pages[Hashable, PrepDemand | Literal[False]]

    def demand(self, prep: str, guests: int, by_history: frozenset[str]) -> PrepDemand | None:
        """What so many guests take of a prep by choosing from the mix; None when nobody takes any so."""
        if self.fixed_only:
            return None
        known = by_history.intersection(self.plates[prep])
        key = prep, guests, known, self
        found = self.demands[key]
        if found is None:
            found = self.demands.keep(key, self._as_elsewhere(prep, guests, known.union(self.counts)))
        return found or None

    def _as_elsewhere(self, prep: str, guests: int, known: frozenset[str]) -> PrepDemand | Literal[False]:
        """What that comes to; without menus it follows from the dishes that take the prep alone, and is the same at any
        sitting that offers them so."""
        if self.table.menus:
            return self._work_out(prep, guests, known) or False
        plates = self.plates[prep]
        # By whole numbers: to name a fraction takes as long as to multiply it.
        shares = self.table.own_share
        own = tuple([(dish, amount, *shares[dish].as_integer_ratio()) for dish, amount in plates.items()])
        key = own, guests, known.intersection(plates), self.spread
        found = self.demands[key]
        return self.demands.keep(key, self._work_out(prep, guests, known) or False) if found is None else found

    def _work_out(self, prep: str, guests: int, known: frozenset[str]) -> PrepDemand | None:
        plates = self.plates[prep]
        more_than_one = frozenset(
            dish
            for dish in plates
            if self.spread and dish not in known and self.table.dishes[dish].course is None
            if self.table.own_share[dish] > 1
        )
        use = guest_use(self.table, plates, known | more_than_one)
        parts = [straying(guests, use, self.spread)] if use else []
        for dish in plates:
            if dish in more_than_one and plates[dish]:
                parts.append(each(guests, self.table.share(dish), self.spread).scaled(plates[dish]))
        return summed(tuple(parts)) if parts else None


def portion(state: State, day: date, dish: str, item: str) -> int:
    """How much of a prep one plate takes on a business day, as it was last set."""
    return state.portions.get((day, dish, item), state.book.dishes[dish].plate[item])


def _portions(state: State, occasion: Occasion, more: Mapping[str, float]) -> _Portions:
    """Remembered by all that it depends on: it changes with a menu, not with a minute or a plate."""
    tonight = occasion.tonight
    changed = (tonight.shares, tonight.counts, state.portions, more)
    key = (occasion.key, tonight.off, *(frozenset(mapping.items()) for mapping in changed))
    known: Pages[object, _Portions] = memory_of(state.book).pages("portions")
    return known[key] or known.keep(key, _work_out_portions(state, occasion, more))


def _work_out_portions(state: State, occasion: Occasion, more: Mapping[str, float]) -> _Portions:
    offered = _as_moved(table(state.book, occasion), more)
    plates: dict[str, dict[str, int]] = defaultdict(dict)
    for dish in offered.dishes.values():
        for item in dish.plate:
            if item in state.book.preps:
                plates[item][dish.id] = portion(state, occasion.day, dish.id, item)
    counts = {dish: count for dish, count in counts_of(occasion).items() if dish in offered.dishes}
    fixed_only, spread = occasion.service.counts is not None, state.book.kitchen.spread
    demands = memory_of(state.book).pages("demands by mix")
    return _Portions(offered, dict(plates), counts, frozenset(counts), fixed_only, spread, demands)


def _as_moved(offered: Table, more: Mapping[str, float]) -> Table:
    """The table with the shares of the guests who choose another dish, since theirs is off; a course takes no more
    than all of them."""
    if not more:
        return offered
    own = {dish: share * Fraction(more.get(dish, 1.0)) for dish, share in offered.own_share.items()}
    courses: dict[str, Fraction] = defaultdict(Fraction)
    for dish, share in own.items():
        courses[offered.dishes[dish].course or ""] += share
    for dish in own:
        course = offered.dishes[dish].course
        if course and courses[course] > 1:
            own[dish] /= courses[course]
    return replace(offered, own_share=own)


def _firsts(state: State, now: datetime, held: tuple[Occasion, ...]) -> dict[tuple[str, date], str]:
    """(prep, business day) -> the need of the day's first sitting that has it on a plate: the one that asks for a
    standing par. It may be over."""
    days, firsts = state.book.kitchen.days, dict[tuple[str, date], str]()
    if not held:
        return firsts
    earlier = occasions(state, days.opens(held[0].day), held[-1].starts)
    for occasion in earlier:
        for dish in table(state.book, occasion).dishes.values():
            for item in dish.plate:
                firsts.setdefault((item, occasion.day), occasion.need)
    return firsts


def _known_of_sitting(
    state: State,
    occasion: Occasion,
    known: AtSitting,
    portions: _Portions,
    now: datetime,
    firsts: Mapping[tuple[str, date], str],
) -> Sequence[Par]:
    """The pars of a sitting: before it begins no minute changes them, nor a plate but those of a function, and where a
    par by hand is less what went out already."""
    by_plates = occasion.service.function or occasion.tonight.pars
    if now >= occasion.starts or (by_plates and any(occasion.plates_of(state.plated).values())):
        return tuple(_of_sitting(state, occasion, known, portions, now, firsts))
    of, standing = (occasion, known, portions), (firsts, state.standing, state.standing_on)
    pages: Pages[Sitting, _Known] = memory_of(state.book).pages("pars of sittings")
    found = pages[occasion.key]
    if found is None or not all(map(is_, found.of, of)) or found.standing != standing:
        of_sitting = tuple(_of_sitting(state, occasion, known, portions, now, firsts))
        found = pages.keep(occasion.key, _Known(of, standing, of_sitting))
    return found.pars


class _Known(Struct, frozen=True, eq=False):
    """The pars of a sitting, the very things that they were worked out of, and what is standing."""

    of: tuple[object, ...]
    standing: tuple[object, ...]
    pars: tuple[Par, ...]


def _of_sitting(
    state: State,
    occasion: Occasion,
    known: AtSitting,
    portions: _Portions,
    now: datetime,
    firsts: Mapping[tuple[str, date], str],
) -> Iterator[Par]:
    """The pars of the preps on a sitting's plates."""
    to_come, plating = 1.0 - occasion.come_by(now), Plating(state, now, occasion)
    need, tonight, sold = occasion.need, occasion.tonight, known.sales
    guests = ceil(occasion.covers * to_come - 1e-9)
    for prep_id, plates in portions.plates.items():
        prep = state.book.preps[prep_id]
        by_mix = portions.demand(prep_id, guests, sold.by_history)
        by_chance = _by_chance(known, plates, by_mix, to_come)
        counted = _by_count(occasion, portions, plates, plating, to_come)
        computed = by_chance.quantile(service_level(state.book, prep)) if by_chance else 0
        amount = _in_portions(prep, plates, -(-(counted + computed) * (100 + tonight.percent) // 100))
        expected = round(sum(plating.still(dish, known.portions(dish)) * amount for dish, amount in plates.items()))
        wanted_at = _wanted_at(occasion, plating, known, plates)
        ahead = wanted_at > now
        source = _source(sold, prep, plates, by_chance)
        standing = _standing(state, prep, occasion.day) if firsts.get((prep_id, occasion.day)) == need else None
        if standing is not None and standing > amount and ahead:
            amount, source = standing, "standing"
        if prep_id in tonight.pars:
            gone = _plated(state, occasion, plates)
            amount, source = max(0, tonight.pars[prep_id] - gone), "by hand"
        if not amount and not expected:
            continue
        by_itself = by_chance is not None and source in ("mix", "history", "money")
        yield Par(
            prep_id,
            occasion,
            need,
            occasion.day,
            occasion.set_by + (wanted_at - occasion.starts) if ahead else state.short_since.get((prep_id, need), now),
            amount,
            expected,
            source,
            by_chance,
            counted,
            sold.stage(plates, portions.by_count) if by_itself else None,
            by_chance.chance(computed) if by_chance and by_itself and not tonight.special else None,
            sold.lines(plates, portions.by_count),
            tonight.percent,
            min((amount for amount in plates.values() if amount), default=0),
            plating.together({dish: known.portions(dish) for dish in plates}, plates),
        )


def _wanted_at(occasion: Occasion, plating: Plating, known: AtSitting, plates: dict[str, int]) -> datetime:
    """When the first plate that takes a prep goes out, of those still to come."""
    if not occasion.service.function:
        return occasion.starts
    begins = (plating.begins(dish) for dish in plates if plating.still(dish, known.portions(dish)) > 0)
    return min(begins, default=occasion.starts)


def _by_chance(
    known: AtSitting, plates: dict[str, int], by_mix: PrepDemand | None, to_come: float
) -> PrepDemand | None:
    """What the guests still to come take by chance: dishes that history knows each for itself, the others by mix."""
    if not known.sales.by_history:
        return by_mix
    parts = [*known.sales.demands(plates, to_come, known.moved), *([by_mix] if by_mix else [])]
    return summed(tuple(parts)) if parts else None


def _in_portions(prep: Prep, plates: Mapping[str, int], amount: int) -> int:
    """A computed par as a whole number of portions, where its dishes take the same; of pieces whole ones always."""
    sizes = {size for size in plates.values() if size}
    if len(sizes) == 1:
        size = sizes.pop()
        amount = -(-(amount - size // A_THOUSANDTH) // size) * size if amount > 0 else 0
    if prep.measure.kind == "count":
        amount = -(-(amount - DUST) // MILLION) * MILLION if amount > 0 else 0
    return amount


def _source(sold: Sales, prep: Prep, plates: dict[str, int], by_chance: PrepDemand | None) -> Basis:
    if by_chance is None:
        return "count"
    if level_from_money(prep) is not None:
        return "money"
    return "history" if sold.by_history.intersection(plates) else "mix"


def _by_count(occasion: Occasion, portions: _Portions, plates: dict[str, int], plating: Plating, to_come: float) -> int:
    """The par of the dishes whose number is fixed: the margin is made up to whole portions."""
    if portions.by_count.isdisjoint(plates):
        return 0
    par = 0
    for dish, count in portions.counts.items():
        if dish in plates:
            still = plating.still(dish, count) if occasion.service.function else count * to_come
            left = ceil(still - 1e-9)
            par += ceil(left * (1 + occasion.service.over)) * plates[dish]
    return par


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


def _standing_alone(
    state: State, now: datetime, until: datetime, standing: Sequence[Prep], served: set[tuple[str, date]]
) -> Iterator[Par]:
    """Standing pars of preps on no dish of a day's services: needed at the day's first sitting, with expected use
    0; on a day without one, when the station opens, unless it does not, or there was no plan yet by then."""
    days = state.book.kitchen.days
    day = days.business_day(now)
    firsts: dict[date, Occasion] = {}
    for occasion in occasions(state, days.opens(day), until):
        firsts.setdefault(occasion.day, occasion)
    while days.opens(day) <= until:
        first = firsts.get(day)
        for prep in standing:
            amount = _standing(state, prep, day)
            if not amount or (prep.id, day) in served:
                continue
            if first is None:
                at = opening(state, prep.station, day)
                if _closed(state, prep.station, day) or (state.new_at is not None and at < state.new_at):
                    continue
                yield Par(prep.id, None, f"open.{day.isoformat()}", day, at, amount, 0, "standing", None)
            elif prep.id not in first.tonight.pars and first.ends > now:
                yield Par(prep.id, first, first.need, day, first.set_by, amount, 0, "standing", None)
        day += ONE_DAY


def _closed(state: State, station: str, day: date) -> bool:
    """Whether nobody is at a station all day, by its hours."""
    found = state.book.stations.get(station)
    return found is not None and found.hours is not None and not found.hours.on(day)


def opening(state: State, station: str, day: date) -> datetime:
    """When a station opens on a business day; when the day does where it keeps no hours."""
    days = state.book.kitchen.days
    found = state.book.stations.get(station)
    windows = found.hours.on(day) if found and found.hours else None
    return days.in_day(day, windows[0][0]) if windows else days.opens(day)
