"""What the closed services have taught: a fold over them in their order, each once.

A sitting is learned when it is over and plates were counted in it. Sittings up to `State.learned_to` are in
`State.learned` already; the others are folded in here, and what is more than two business days old will not be
corrected any more and may be kept (`Fold.settled`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from msgspec import Struct

from prepboard.book.book import Book, Dish
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.history import guess, learn, learn_covers, outlook, renew, usual_error, weekday_key
from prepboard.plan.demand.levels import level_of_dish
from prepboard.plan.demand.occasions import AsBooked, Table, end_of
from prepboard.plan.given.learned import CoversError, Evening, Learned
from prepboard.plan.given.state import State, Tonight

SETTLES_AFTER = timedelta(days=3)
"""A sitting may be corrected for two business days after its own."""

_HITS = 60


class Closed(Struct, frozen=True):
    """A sitting that is over and not learned yet."""

    service: str
    day: date
    ended: datetime
    booked: int
    tonight: Tonight
    plates: Mapping[str, int]


class Known(Struct, frozen=True):
    """What is known after some services."""

    dishes: Mapping[str, Learned]
    covers_error: CoversError


class Fold(Struct, frozen=True):
    now: Known
    settled: Known | None
    """What may be kept, of the days up to `settled_to`; None when nothing new has settled."""
    settled_to: date


_last: tuple[Book, tuple[Any, ...], Fold] | None = None


def fold(state: State, now: datetime) -> Fold:
    """Everything learned so far. The last answer is remembered: it changes with a closed service, not with a plate."""
    global _last
    closed, resets = list(_closed(state, now)), [one for one in state.resets if one[0] <= now]
    settled_to = state.book.kitchen.days.business_day(now) - SETTLES_AFTER
    key = (state.learned, state.covers_error, state.learned_to, closed, resets, settled_to)
    if _last is None or _last[0] is not state.book or _last[1] != key:
        _last = (state.book, key, _fold(state, closed, resets, settled_to))
    return _last[2]


def _fold(state: State, closed: list[Closed], resets: list[tuple[datetime, str]], settled_to: date) -> Fold:
    end = state.book.kitchen.days.opens(settled_to + ONE_DAY)
    old, new = ([one for one in closed if (one.day <= settled_to) is early] for early in (True, False))
    old_resets, new_resets = ([one for one in resets if (one[0] < end) is early] for early in (True, False))
    known = Known(state.learned, state.covers_error)
    settled = None
    if old_resets or any(_is_new(state, day) and day <= settled_to for _service, day, _dish in state.plated):
        known = settled = _through(state.book, known, old, old_resets)
    return Fold(_through(state.book, known, new, new_resets), settled, settled_to)


def _is_new(state: State, day: date) -> bool:
    return state.learned_to is None or day > state.learned_to


def _closed(state: State, now: datetime) -> Iterator[Closed]:
    """The sittings that are over, in which plates went out, in their order."""
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
        booked = tonight.covers if tonight.covers is not None else (named.covers.on(day) or 0) if named else 0
        if ended <= now:
            found.append(Closed(service, day, ended, booked, tonight, of_dish))
    yield from sorted(found, key=lambda one: (one.ended, one.service))


def _through(book: Book, known: Known, closed: list[Closed], resets: list[tuple[datetime, str]]) -> Known:
    dishes, error = dict(known.dishes), known.covers_error
    times, levels = _times(book, closed), {dish.id: level_of_dish(book, dish) for dish in book.dishes.values()}
    happenings: list[Closed | tuple[datetime, str]] = [*closed, *resets]
    for happened in sorted(happenings, key=_moment):
        if isinstance(happened, Closed):
            for dish in _offered(book, happened):
                _learn(book, happened, dish, dishes, error, times, levels[dish.id])
            if happened.tonight.came is not None and not happened.tonight.listed:
                error = learn_covers(error, happened.booked, happened.tonight.came)
        elif happened[1] in dishes:
            dishes[happened[1]] = renew(dishes[happened[1]])
    return Known(dishes, error)


def _moment(happened: Closed | tuple[datetime, str]) -> datetime:
    return happened.ended if isinstance(happened, Closed) else happened[0]


def _times(book: Book, closed: Iterable[Closed]) -> dict[str, int]:
    """How often each dish is still to be learned: only of the last services it is kept whether the promise held."""
    times: dict[str, int] = {}
    for one in closed:
        for dish in _offered(book, one):
            times[dish.id] = times.get(dish.id, 0) + 1
    return times


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


def _learn(
    book: Book,
    closed: Closed,
    dish: Dish,
    dishes: dict[str, Learned],
    error: CoversError,
    times: dict[str, int],
    level: float,
) -> None:
    times[dish.id] -= 1
    came = closed.tonight.came if closed.tonight.came is not None else closed.booked
    booked = came if closed.tonight.listed is not None else closed.booked or came
    covers, planned = (float(came), float(booked)) if dish.use_covers else (1.0, 1.0)
    plates = closed.plates.get(dish.id, 0)
    if covers <= 0 or (dish.id not in dishes and not plates):
        # Without guests there is no share; and before its first plate nobody knows whether it was on offer.
        return
    before = dishes.get(dish.id) or guess(share_at(book, dish, closed.service, came))
    out = closed.tonight.out.get(dish.id)
    ran_out = (out is not None and out < closed.ended) or dish.id in closed.tonight.off
    par, hit = 0, None
    if times[dish.id] < _HITS:
        key = weekday_key(closed.service, closed.day)
        usual = usual_error(error) if dish.use_covers else 0.0
        par = outlook(before, key, planned, usual).par(level)
        hit = plates <= par and not ran_out
    evening = Evening(closed.service, closed.day, plates, par, ran_out)
    dishes[dish.id] = learn(before, evening, covers, hit=hit)


def share_at(book: Book, dish: Dish, service: str, covers: int) -> float:
    """Portions a cover by the book; a sitting, where covers have no part in it."""
    menus = tuple(menu for menu in book.menus.values() if service in menu.services)
    share = float(Table(book.dishes, {dish.id: dish.share}, menus).share(dish.id))
    return share if dish.use_covers else share * covers


def keepable(state: State, found: Fold) -> tuple[date, Mapping[str, Learned], CoversError] | None:
    """What may be kept of a fold, the dishes that changed only; None when there is nothing new."""
    if found.settled is None:
        return None
    changed = {dish: of for dish, of in found.settled.dishes.items() if state.learned.get(dish) is not of}
    return found.settled_to, changed, found.settled.covers_error
