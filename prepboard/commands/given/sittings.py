"""Which sitting a command means: of those that run the one last begun, else the next, unless a service or a day says
otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from itertools import chain
from typing import TYPE_CHECKING

from prepboard.commands.given.reading import day as read_day
from prepboard.commands.given.reading import find
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import long_day
from prepboard.plan.demand.occasions import Occasion, lasting, occasions
from prepboard.store.file.who import Refused
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.book.book import Service
    from prepboard.commands.given.kitchen import Kitchen
    from prepboard.plan.given.state import State

_A_YEAR = timedelta(days=366)
_NEAR = timedelta(days=8)
_TWO_WEEKS = timedelta(days=14)


def sitting(
    kitchen: Kitchen,
    service: str | None = None,
    day: str | None = None,
    *,
    dish: str | None = None,
    course: str | None = None,
    held: bool = False,
    plates: bool = False,
) -> Occasion:
    """The sitting that is meant; with `dish` one that offers it, with `course` a function that counts it, with `held`
    the last one that has begun. For what goes out (`plates`) it may be one that runs on after its written end."""
    wanted = find(service, kitchen.book.services, "service") if service else None
    fits = [
        own.id
        for own in kitchen.book.services.values()
        if wanted in (None, own.id)
        if dish is None or own.id in kitchen.book.dishes[dish].services or dish in (own.counts or {})
        if course is None or course in _courses(kitchen, own)
    ]
    ahead = (one for one in _in_time(kitchen, day, held, plates) if one.service.id in fits)
    found = next(ahead, None)
    if found is None:
        raise Refused(_none(kitchen, wanted, day, dish, course))
    return found


def course_of(kitchen: Kitchen, word: str) -> str:
    """The course of some function that a word means, in any case."""
    known = {course for own in kitchen.book.services.values() for course in _courses(kitchen, own)}
    meant = [course for course in sorted(known) if course.casefold() == plain(word).strip().casefold()]
    if not meant:
        said = _("no function counts a course '{course}'").format(course=plain(word))
        there = _("; there is {courses}").format(courses=", ".join(map(plain, sorted(known)))) if known else ""
        raise Refused(said + there)
    return meant[0]


def _courses(kitchen: Kitchen, service: Service) -> set[str]:
    dishes = kitchen.book.dishes
    return {course for dish in service.counts or {} if dish in dishes and (course := dishes[dish].course)}


def _in_time(kitchen: Kitchen, day: str | None, held: bool, plates: bool) -> Iterable[Occasion]:
    state, now = kitchen.state, kitchen.now
    if day is not None:
        on = read_day(kitchen, day)
        days = kitchen.book.kitchen.days
        # A sitting may begin up to a day after its business day does, and end in the next one.
        around = occasions(state, days.opens(on), days.opens(on + timedelta(days=1)))
        return (one for one in around if one.day == on)
    if held:
        begun = [one for one in occasions(state, now - _TWO_WEEKS, now) if one.starts <= now]
        return reversed(begun)
    running = [one for one in lasting(state, now) if plates or one.running(now)]
    return chain(reversed(running), _ahead(state, now, running))


def _ahead(state: State, now: datetime, running: list[Occasion]) -> Iterator[Occasion]:
    """The sittings ahead, the near ones before the rest of the year is looked through."""
    near = occasions(state, now, now + _NEAR)
    yield from (one for one in near if one not in running)
    yield from (one for one in occasions(state, now + _NEAR, now + _A_YEAR) if one not in running and one not in near)


def _none(kitchen: Kitchen, service: str | None, day: str | None, dish: str | None, course: str | None) -> str:
    what = kitchen.book.services[service].name if service else _("service")
    if dish:
        what = _("service with {dish}").format(dish=kitchen.book.dishes[dish].name)
    elif course:
        what = _("function with a course {course}").format(course=course)
    if day is not None:
        return _("there is no {what} on {day}").format(what=plain(what), day=long_day(read_day(kitchen, day)))
    return _("there is no {what} in the time ahead").format(what=plain(what))
