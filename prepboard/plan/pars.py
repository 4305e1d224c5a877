"""Pars: how much of each prep should be on hand when a service starts.

By mix: the smallest amount that covers the sitting with the service level, each guest choosing independently. By
count: the count and a margin, in whole portions. Standing: whatever the covers say. By hand wins over all.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from math import ceil

from prepboard.book.book import Book, Prep
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand import Demand, GuestUse, demand
from prepboard.plan.lines import Basis
from prepboard.plan.occasions import Occasion, Table, occasions, table
from prepboard.plan.state import State


@dataclass(frozen=True, slots=True)
class Par:
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

    def chance(self, amount: int) -> float | None:
        """The chance that an amount covers the sitting."""
        return None if self.demand is None else self.demand.chance(amount - self.counted)


def pars(state: State, now: datetime, until: datetime, held: tuple[Occasion, ...]) -> list[Par]:
    """All pars of the given occasions, and the standing pars of the days up to `until` that no sitting needs."""
    found: list[Par] = []
    served: set[tuple[str, date]] = set()
    for occasion in held:
        portions = _portions(state, occasion)
        served.update((prep, occasion.day) for prep in portions.plates)
        found += [par for prep in portions.plates if (par := _par(state, occasion, portions, prep, now))]
        found += _only_by_hand(state, occasion, portions.plates)
    found += _standing_alone(state, now, until, served)
    return found


@dataclass(frozen=True, slots=True)
class _Portions:
    """What one plate of each dish on offer takes, and who takes which dish; it remembers what follows from that."""

    table: Table
    plates: dict[str, dict[str, int]]
    """prep -> dish -> amount on a plate."""
    counts: dict[str, int]
    fixed_only: bool
    """A function: dishes without a count get nothing."""
    demands: dict[tuple[str, int], Demand | None] = field(default_factory=dict)

    def demand(self, prep: str, guests: int) -> Demand | None:
        """What so many guests take of a prep by chance; None when nobody takes any."""
        if (prep, guests) not in self.demands:
            use = () if self.fixed_only else guest_use(self.table, self.plates[prep], frozenset(self.counts))
            self.demands[prep, guests] = demand(guests, use) if use else None
        return self.demands[prep, guests]


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
    return _Portions(offered, dict(plates), counts, occasion.service.counts is not None)


def _par(state: State, occasion: Occasion, portions: _Portions, prep_id: str, now: datetime) -> Par | None:
    prep = state.book.preps[prep_id]
    plates = portions.plates[prep_id]
    to_come = 1.0 - occasion.come_by(now)
    guests = ceil(occasion.covers * to_come - 1e-9)
    by_chance = portions.demand(prep_id, guests)
    counted, counted_use = _by_count(occasion, portions, plates, to_come)
    computed = counted + (by_chance.quantile(service_level(state.book, prep)) if by_chance else 0)
    whole = portions.demand(prep_id, occasion.covers)
    expected = counted_use + (round(whole.mean * Fraction(to_come)) if whole else 0)
    source: Basis = "mix" if by_chance else "count"
    if by_chance and prep.cost_short is not None and prep.cost_over is not None:
        source = "money"
    percent = occasion.tonight.percent
    amount = -(-computed * (100 + percent) // 100)
    standing = _standing(state, prep, occasion.day)
    if standing is not None and standing > amount and occasion.starts > now:
        amount, source = standing, "standing"
    if prep_id in occasion.tonight.pars:
        gone = _plated(state, occasion, plates)
        amount, source = max(0, occasion.tonight.pars[prep_id] - gone), "by hand"
        expected = min(expected, amount)
    if not amount and not expected:
        return None
    return Par(
        prep_id,
        occasion,
        occasion.need,
        occasion.day,
        _ready_by(state, occasion, prep_id, now),
        amount,
        expected,
        source,
        by_chance,
        counted,
    )


def service_level(book: Book, prep: Prep) -> float:
    """The chance that a par of this prep must cover: from money cu / (cu + co) (the single-period rule; Snyder and
    Shen, Fundamentals of Supply Chain Theory, 2nd ed., section 4.3), else its own, else the kitchen's."""
    if prep.cost_short is not None and prep.cost_over is not None and prep.cost_short + prep.cost_over > 0:
        return float(prep.cost_short / (prep.cost_short + prep.cost_over))
    return prep.service_level if prep.service_level is not None else book.kitchen.service_level


def guest_use(offered: Table, plates: dict[str, int], counted: frozenset[str] = frozenset()) -> GuestUse:
    """What one guest takes of a prep, by chance: of each course at most one dish, or a menu with each of its
    dishes. `plates` is dish -> amount; dishes in `counted` are known and take no part. Empty when nobody does."""
    chosen = {dish: amount for dish, amount in plates.items() if dish not in counted}
    total: dict[int, Fraction] = defaultdict(Fraction)
    free = 1 - sum((menu.share for menu in offered.menus), Fraction(0))
    for menu in (*offered.menus, None):
        weight = menu.share if menu else free
        if not weight:
            continue
        sure = sum(chosen[dish] for dish in menu.dishes if dish in chosen) if menu else 0
        taken = offered.courses(menu) if menu else set()
        for amount, chance in _choices(offered, chosen, taken).items():
            total[amount + sure] += weight * chance
    use = tuple(sorted((amount, chance) for amount, chance in total.items() if chance))
    return use if any(amount for amount, _ in use) else ()


def _choices(offered: Table, plates: dict[str, int], taken: set[str]) -> dict[int, Fraction]:
    """What a guest takes by free choice in the courses that are not `taken` by a menu."""
    by_course: dict[str, dict[int, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for dish, amount in plates.items():
        course, share = offered.dishes[dish].course, offered.own_share[dish]
        if course is None:
            whole = share.numerator // share.denominator
            by_course[f" {dish}"][(whole + 1) * amount] += share - whole
            by_course[f" {dish}"][whole * amount] += 1 - (share - whole)
        elif course not in taken:
            by_course[course][amount] += share
    use = {0: Fraction(1)}
    for course, choices in by_course.items():
        if not course.startswith(" "):
            choices[0] += 1 - sum(choices.values())
        both: dict[int, Fraction] = defaultdict(Fraction)
        for one, chance in use.items():
            for other, of_other in choices.items():
                both[one + other] += chance * of_other
        use = both
    return use


def _by_count(occasion: Occasion, portions: _Portions, plates: dict[str, int], to_come: float) -> tuple[int, int]:
    """Par and expected use of the dishes whose number is fixed: the margin is made up to whole portions."""
    par = use = 0
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


def _ready_by(state: State, occasion: Occasion, prep: str, now: datetime) -> datetime:
    if occasion.starts > now:
        return occasion.set_by
    return state.short_since.get((prep, occasion.need), now)


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
    firsts: dict[date, Occasion] = {}
    for occasion in occasions(state, days.opens(day), until):
        firsts.setdefault(occasion.day, occasion)
    while days.opens(day) <= until:
        first = firsts.get(day)
        for prep in state.book.preps.values():
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
