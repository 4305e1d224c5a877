"""Occasions: which sittings lie ahead, who comes when, and what share of the guests takes which dish."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime, time, timedelta
from fractions import Fraction

from msgspec import Struct

from prepboard.book.book import Book, Dish, Menu, Service
from prepboard.book.days import ONE_DAY, Days
from prepboard.plan.given.state import Sitting, State, Tonight
from prepboard.plan.memory import Pages, memory_of

AsBooked = Tonight()

Curve = tuple[tuple[datetime, datetime, float], ...]
"""(from one instant, to the next, share): they come evenly in between, and all at once where the two are one."""


def come(curve: Curve, at: datetime) -> float:
    """The share that has come before an instant."""
    total = 0.0
    for begin, until, share in curve:
        if at <= begin:
            break
        total += share if at >= until else share * ((at - begin) / (until - begin))
    return total


class Occasion(Struct, frozen=True):
    """One sitting of a service: its business day, its instants, and what was set for it tonight."""

    service: Service
    day: date
    starts: datetime
    ends: datetime
    set_by: datetime
    covers: int
    tonight: Tonight
    arrivals: Curve
    """When which share of the guests comes."""
    over: datetime
    """Until when plates may still go out: somebody ended it, or the last station signed, or so long after `ends`."""
    courses: Mapping[str, datetime] = {}
    """When the courses of a function are plated, where that is not as it starts."""

    @property
    def key(self) -> Sitting:
        return self.service.id, self.day

    @property
    def need(self) -> str:
        """How lines of the plan name it."""
        return f"{self.service.id}.{self.day.isoformat()}"

    def running(self, now: datetime) -> bool:
        """Whether guests are expected still: it has begun, and its written end is ahead."""
        return self.starts <= now < self.ends

    def lasts(self, now: datetime) -> bool:
        """Whether plates go out: from its begin until it is ended, which is never before its written end."""
        return self.starts <= now < self.over

    def come_by(self, at: datetime) -> float:
        """The share of the guests who have come by an instant."""
        return come(self.arrivals, at)

    def plates_of(self, plated: Mapping[tuple[str, date, str], int]) -> dict[str, int]:
        """By dish, how many of the plates that went out, by (service, day, dish), went out at this sitting."""
        of, on = self.service.id, self.day
        return {dish: n for (service, day, dish), n in plated.items() if day == on and service == of}

    def plated_at(self, course: str | None) -> datetime:
        """When a course of a function is plated; dishes of none go out when it starts."""
        return self.courses.get(course or "", self.starts)


def occasions(state: State, since: datetime, until: datetime) -> Iterator[Occasion]:
    """The sittings that are not over at `since` and start by `until`, by their start."""
    days = state.book.kitchen.days
    day, last = days.business_day(since) - ONE_DAY, days.business_day(until)
    while day <= last:
        of_day = [
            occasion
            for service in state.book.services.values()
            if (occasion := sitting_on(state, service, day)) and occasion.ends > since and occasion.starts <= until
        ]
        yield from sorted(of_day, key=lambda occasion: (occasion.starts, occasion.service.order))
        day += ONE_DAY


def ahead(state: State, now: datetime, until: datetime) -> tuple[Occasion, ...]:
    """The sittings that count: those that start in time, and the next one where a closure leaves only today's."""
    held = list(occasions(state, now, until))
    today = state.book.kitchen.days.business_day(now)
    if not any(occasion.day > today for occasion in held):
        following = next_occasion(state, max([until, *(occasion.starts for occasion in held)]))
        held += [following] if following else []
    return tuple(held)


def lasting(state: State, now: datetime) -> tuple[Occasion, ...]:
    """The sittings that run now, the one last begun at the end: those past their written end too, until they are
    ended."""
    since = now - timedelta(minutes=state.book.kitchen.runs_over)
    found = [occasion for occasion in occasions(state, since, now) if occasion.lasts(now)]
    return tuple(sorted(found, key=lambda occasion: (occasion.starts, -occasion.service.order)))


def next_occasion(state: State, after: datetime) -> Occasion | None:
    """The first sitting that starts after an instant, within a year."""
    for occasion in occasions(state, after, after + timedelta(days=366)):
        if occasion.starts > after:
            return occasion
    return None


def sitting_on(state: State, service: Service, day: date) -> Occasion | None:
    """The sitting of a service on a business day; None where it is not held, or is cancelled."""
    tonight = state.tonight.get((service.id, day), AsBooked)
    if not service.held_on(day) or tonight.cancelled:
        return None
    known: Pages[tuple[int, date, bool], Occasion] = memory_of(state.book).pages("sittings")
    key = id(service), day, _all_signed(state, day)
    found = known[key]
    if found is None or found.tonight is not tonight:
        found = known.keep(key, _sitting(state, service, day, tonight))
    return found


def _sitting(state: State, service: Service, day: date, tonight: Tonight) -> Occasion:
    days = state.book.kitchen.days
    starts, ends = days.span(day, service.starts, service.ends)
    set_by = _last_before(days, starts, service.set_by)
    begins = [_same_or_next(days, starts, clock) for clock, _share in service.arrivals] or [starts]
    courses = {course: _same_or_next(days, starts, clock) for course, clock in service.courses.items()}
    if tonight.moved_to is not None:
        later = days.in_day(day, tonight.moved_to) - starts
        starts, ends, set_by, *begins = (at + later for at in (starts, ends, set_by, *begins))
        courses = {course: at + later for course, at in courses.items()}
    covers = tonight.covers if tonight.covers is not None else service.covers.on(day) or 0
    shares = [float(share) for _clock, share in service.arrivals] or [1.0]
    return Occasion(
        service,
        day,
        starts,
        ends,
        set_by,
        covers,
        tonight,
        tuple(zip(begins, [*begins[1:], ends], shares, strict=True)),
        _over(state, day, ends, tonight.ended),
        courses,
    )


def _over(state: State, day: date, ends: datetime, ended: datetime | None) -> datetime:
    """When plates go out no more: never before the written end, whatever else begins."""
    if _all_signed(state, day):
        return ends
    over = ends + timedelta(minutes=state.book.kitchen.runs_over)
    return over if ended is None else min(over, max(ended, ends))


def _all_signed(state: State, day: date) -> bool:
    """Whether every bench signed the close of a business day."""
    stations = state.book.stations
    return bool(stations) and all((day, station) in state.signed for station in stations)


def end_of(book: Book, service: Service | None, day: date) -> datetime:
    """When a sitting of a business day ends; of a service that the book no longer has, when that day does."""
    days = book.kitchen.days
    return days.span(day, service.starts, service.ends)[1] if service else days.opens(day + ONE_DAY)


def _same_or_next(days: Days, start: datetime, clock: time) -> datetime:
    return start if days.local(start).time() == clock else days.next(start, clock)


def _last_before(days: Days, start: datetime, clock: time) -> datetime:
    """The last instant of a wall-clock time that is not after another instant."""
    day = days.local(start).date()
    at = days.at(day, clock)
    return at if at <= start else days.at(day - ONE_DAY, clock)


class Table(Struct, frozen=True):
    """What the guests of one occasion choose from: dishes on offer with their own shares, and menus."""

    dishes: Mapping[str, Dish]
    own_share: Mapping[str, Fraction]
    menus: tuple[Menu, ...]

    def share(self, dish: str) -> Fraction:
        """Portions of a dish a cover: its menus' shares, and of the other guests its own share. Menus that have
        the dish's course, or a dish without one itself, leave no choice in it."""
        if not self.menus:
            return self.own_share[dish]
        own = self.own_share[dish] * (1 - sum(menu.share for menu in self.menus if self.bound(menu, dish)))
        return sum((menu.share for menu in self.menus if dish in menu.dishes), own)

    def bound(self, menu: Menu, dish: str) -> bool:
        """Whether a menu's guests have no choice in a dish: it has the dish's course, or the dish itself."""
        course = self.dishes[dish].course
        return dish in menu.dishes or (course is not None and course in self.courses(menu))

    def courses(self, menu: Menu) -> set[str]:
        return {course for dish in menu.dishes if dish in self.dishes and (course := self.dishes[dish].course)}


def stands_on(dish: Dish, service: str, day: date) -> bool:
    """Whether a dish belongs to a service and is in season on a day."""
    in_season = (dish.first_day is None or dish.first_day <= day) and (dish.last_day is None or day <= dish.last_day)
    return service in dish.services and in_season


def table(book: Book, occasion: Occasion, *, whole: bool = False) -> Table:
    """The dishes and menus of an occasion; a dish that is taken off or not in season has no share. With `whole`, those
    that are taken off are among them."""
    counted = occasion.service.counts or {}
    offered = {
        dish.id: dish
        for dish in book.dishes.values()
        if (stands_on(dish, occasion.service.id, occasion.day) or dish.id in counted)
        and (whole or dish.id not in occasion.tonight.off)
    }
    own = {dish.id: occasion.tonight.shares.get(dish.id, dish.share) for dish in offered.values()}
    menus = tuple(menu for menu in book.menus.values() if occasion.service.id in menu.services)
    return Table(offered, own, menus)
