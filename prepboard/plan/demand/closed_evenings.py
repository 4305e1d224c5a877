"""What the closed services have taught: a fold over them in their order, each once.

A sitting is learned when it is over and plates were counted in it. Sittings up to `State.learned_to` are in
`State.learned` already; the others are folded in here, and what is more than two business days old will not be
corrected any more and may be kept (`Fold.settled`).
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from operator import is_
from typing import Any

from msgspec import Struct

from prepboard.book.book import Book, Dish, Service
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.bookings import above_usual, learn_booked, usual_covers, weekday_key
from prepboard.plan.demand.history import (
    FROM_HISTORY,
    guess,
    learn,
    learn_kitchen,
    learn_margin,
    outlook,
    renew,
    stage,
    surprise,
)
from prepboard.plan.demand.levels import level_of_dish
from prepboard.plan.demand.occasions import AsBooked, Table, end_of
from prepboard.plan.given.learned import ClosedEvening, Common, Learned
from prepboard.plan.given.state import Sitting, State, Tonight
from prepboard.plan.memory import Pages, memory_of

COUNTED_ENOUGH = 0.5
"""Of the plates that were expected so many must have been counted, where nobody counted to the end."""

LAST_HOUR = timedelta(hours=1)
SETTLES_AFTER = timedelta(days=3)
"""A sitting may be corrected for two business days after its own."""


class Closed(Struct, frozen=True):
    """A sitting that is over and not learned yet."""

    service: str
    day: date
    ended: datetime
    covers: int
    """As they were booked when it began; of a sitting that was counted elsewhere, how many came."""
    tonight: Tonight
    plates: Mapping[str, int]
    to_the_end: bool
    """Whether plates were counted to its end, as far as is known."""


class Known(Struct, frozen=True):
    """What is known after some services."""

    dishes: Mapping[str, Learned]
    common: Common


class Fold(Struct, frozen=True):
    now: Known
    settled: Known | None
    """What may be kept, of the days up to `settled_to`; None when nothing new has settled."""
    settled_to: date
    forgotten: frozenset[Sitting] = frozenset()
    """The sittings since then of which too few plates were counted for anything to be learned."""


class _Folded(Struct, frozen=True):
    """A fold, the very things that it was asked of, and what they came to."""

    of: tuple[object, ...]
    facts: tuple[Any, ...]
    fold: Fold
    since: datetime
    until: datetime | None
    """From its moment on it is the same until then, within the day: the next sitting is over; None: none is ahead."""


def fold(state: State, now: datetime) -> Fold:
    """Everything learned so far. The last answer is remembered: it changes with a closed service, not with a plate."""
    known: Pages[str, _Folded] = memory_of(state.book).pages("fold")
    last = known["last"]
    of = (
        state.plated,
        state.plated_at,
        state.tonight,
        state.learned,
        state.common,
        state.learned_to,
        state.resets,
    )
    settled_to = state.book.kitchen.days.business_day(now) - SETTLES_AFTER
    if last is not None and all(map(is_, last.of, of)) and _still(last, now, settled_to):
        return last.fold
    every = _with_plates(state)
    closed, resets = [one for one in every if one.ended <= now], [one for one in state.resets if one[0] <= now]
    moments = [one.ended for one in every] + [at for at, _dish in state.resets]
    until = min((at for at in moments if at > now), default=None)
    facts = (state.learned, state.common, state.learned_to, closed, resets, settled_to)
    found = last.fold if last is not None and last.facts == facts else _fold(state, closed, resets, settled_to)
    return known.keep("last", _Folded(of, facts, found, now, until)).fold


def _still(last: _Folded, now: datetime, settled_to: date) -> bool:
    """Whether no sitting was over since, and no day has settled."""
    within = last.since <= now and (last.until is None or now < last.until)
    return within and last.fold.settled_to == settled_to


def _fold(state: State, closed: list[Closed], resets: list[tuple[datetime, str]], settled_to: date) -> Fold:
    end = state.book.kitchen.days.opens(settled_to + ONE_DAY)
    old, new = ([one for one in closed if (one.day <= settled_to) is early] for early in (True, False))
    old_resets, new_resets = ([one for one in resets if (one[0] < end) is early] for early in (True, False))
    known = Known(state.learned, state.common)
    settled = None
    if old_resets or any(_is_new(state, day) and day <= settled_to for _service, day, _dish in state.plated):
        known = settled = _through(state.book, known, old, old_resets)
    forgotten: set[Sitting] = set()
    return Fold(_through(state.book, known, new, new_resets, forgotten), settled, settled_to, frozenset(forgotten))


def _is_new(state: State, day: date) -> bool:
    return state.learned_to is None or day > state.learned_to


def _with_plates(state: State) -> list[Closed]:
    """The sittings in which plates went out, in the order in which they are over."""
    last: dict[Sitting, datetime] = {}
    for (service, day, _dish), at in state.plated_at.items():
        last[service, day] = max(at, last.get((service, day), at))
    plates: dict[tuple[str, date], dict[str, int]] = {}
    for (service, day, dish), n in state.plated.items():
        if _is_new(state, day):
            plates.setdefault((service, day), {})[dish] = n
    found = []
    for (service, day), of_dish in plates.items():
        named = state.book.services.get(service)
        tonight = state.tonight.get((service, day), AsBooked)
        if not any(of_dish.values()) or tonight.special:
            continue
        ended = end_of(state.book, named, day)
        covers, to_the_end = _booked(named, day, tonight), _to_the_end(tonight, last.get((service, day)), ended)
        found.append(Closed(service, day, ended, covers, tonight, of_dish, to_the_end))
    return sorted(found, key=lambda one: (one.ended, one.service))


def _to_the_end(tonight: Tonight, last: datetime | None, ended: datetime) -> bool:
    """Whether somebody ended it, the `last` plate went out in its last hour, or it was counted elsewhere."""
    if tonight.ended is not None or tonight.listed is not None:
        return True
    return last is None or last >= ended - LAST_HOUR


def _booked(service: Service | None, day: date, tonight: Tonight) -> int:
    if tonight.listed is not None and tonight.came is not None:
        return tonight.came
    if tonight.at_start is not None:
        return tonight.at_start
    return tonight.covers if tonight.covers is not None else (service.covers.on(day) or 0) if service else 0


def _through(
    book: Book,
    known: Known,
    closed: list[Closed],
    resets: list[tuple[datetime, str]],
    forgotten: set[Sitting] | None = None,
) -> Known:
    """What is known after these; sittings that teach nothing since too little was counted go to `forgotten`."""
    dishes, common = dict(known.dishes), known.common
    levels = {dish.id: level_of_dish(book, dish) for dish in book.dishes.values()}
    happenings: list[Closed | tuple[datetime, str]] = [*closed, *resets]
    for happened in sorted(happenings, key=_moment):
        if isinstance(happened, Closed):
            learned = _learn_sitting(book, happened, dishes, common, levels)
            if learned is None and forgotten is not None:
                forgotten.add((happened.service, happened.day))
            common = learned or common
        elif happened[1] in dishes:
            dishes[happened[1]] = renew(dishes[happened[1]], common)
    return Known(dishes, common)


def _learn_sitting(
    book: Book, closed: Closed, dishes: dict[str, Learned], common: Common, levels: Mapping[str, float]
) -> Common | None:
    """Learns all dishes of a sitting with what was known before it; answers what the kitchen learned, None where too
    little was counted."""
    key, booked = weekday_key(closed.service, closed.day), float(closed.covers)
    usual = usual_covers(common, closed.service, key, booked)
    above, surprises, taught = (
        above_usual(common, closed.service, key, booked),
        list[float](),
        list[tuple[Learned, Learned]](),
    )
    if not closed.to_the_end and _forgotten(book, closed, dishes, common, key, above):
        return None
    for dish in _offered(book, closed):
        plates = closed.plates.get(dish.id, 0)
        if dish.id not in dishes and not plates:
            # Before its first plate nobody knows whether it was on offer.
            continue
        before = dishes.get(dish.id) or guess(share_of(book, dish, closed.service) * (usual or 1.0))
        of_dish = above if dish.use_covers else 0.0
        seen = outlook(before, key, of_dish, common)
        out = closed.tonight.out.get(dish.id)
        ran_out = (out is not None and out < closed.ended) or dish.id in closed.tonight.off
        evening = ClosedEvening(closed.service, closed.day, plates, 0, ran_out)
        par, surprised = surprise(seen, evening, levels[dish.id])
        if before.count >= FROM_HISTORY:
            surprises.append(surprised)
        evening = ClosedEvening(closed.service, closed.day, plates, par, ran_out)
        dishes[dish.id] = learn(before, evening, key, seen, of_dish, hit=plates <= par and not ran_out)
        taught.append((before, dishes[dish.id]))
    common = learn_kitchen(learn_margin(common, surprises), key, taught)
    return learn_booked(common, closed.service, key, booked)


def _moment(happened: Closed | tuple[datetime, str]) -> datetime:
    return happened.ended if isinstance(happened, Closed) else happened[0]


def _offered(book: Book, closed: Closed) -> list[Dish]:
    """The dishes that the guests could choose; those by a fixed count were not chosen. A dish that was taken off
    before any went out was not offered."""
    counts = (book.services[closed.service].counts or {}) if closed.service in book.services else {}
    listed, off = closed.tonight.listed, closed.tonight.off
    return [
        dish
        for dish in book.dishes.values()
        if dish.id not in counts
        and dish.id not in closed.tonight.counts
        and (
            closed.plates.get(dish.id, 0) > 0
            or (dish.id not in off and (dish.id in listed if listed is not None else _on_the_menu(dish, closed)))
        )
    ]


def _on_the_menu(dish: Dish, closed: Closed) -> bool:
    in_season = (dish.first_day or closed.day) <= closed.day <= (dish.last_day or closed.day)
    return in_season and closed.service in dish.services


def _forgotten(
    book: Book, closed: Closed, dishes: Mapping[str, Learned], common: Common, key: str, above: float
) -> bool:
    """Whether less than half of the plates that were expected were counted: then nobody knows what was sold."""
    known = [dish for dish in _offered(book, closed) if stage(dishes.get(dish.id)) != "guess"]
    expected = sum(outlook(dishes[dish.id], key, above if dish.use_covers else 0.0, common).mean for dish in known)
    return sum(closed.plates.get(dish.id, 0) for dish in known) < expected * COUNTED_ENOUGH


def share_of(book: Book, dish: Dish, service: str) -> float:
    """Portions a cover, by the book."""
    menus = tuple(menu for menu in book.menus.values() if service in menu.services)
    return float(Table({**book.dishes}, {dish.id: dish.share}, menus).share(dish.id))


def keepable(state: State, found: Fold) -> tuple[date, Mapping[str, Learned], Common] | None:
    """What may be kept of a fold, the dishes that changed only; None when there is nothing new."""
    if found.settled is None:
        return None
    changed = {dish: of for dish, of in found.settled.dishes.items() if state.learned.get(dish) is not of}
    return found.settled_to, changed, found.settled.common
