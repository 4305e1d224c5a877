"""Hands that plate: while a course of a function is plated, the benches with a prep on its plates do nothing else.

By the written times, all hands of those benches: who plates too late does not push the plan on from minute to minute.
When all plates of a course are out the hands are free.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime, timedelta

from msgspec import Struct

from prepboard.book.book import Service
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.expected import counts_of
from prepboard.plan.demand.occasions import Occasion, sitting_on
from prepboard.plan.given.fixed_counts import rest_of
from prepboard.plan.given.state import Sitting, State

DAYS_AHEAD = 14
"""Business days for which it is worked out, today the first: farther than a plan looks."""


class HandsPlating(Struct, frozen=True, order=True):
    """From when to when the hands of a station plate a course; "" are dishes of none."""

    begins: datetime
    ends: datetime
    course: str
    sitting: Sitting


def hands_plating(state: State, around: datetime) -> dict[str, tuple[HandsPlating, ...]]:
    """By station, in order of time, from the day before the one of an instant on."""
    found: dict[str, set[HandsPlating]] = defaultdict(set)
    day = state.book.kitchen.days.business_day(around)
    for service in _that_plate(state):
        for number in range(-1, DAYS_AHEAD):
            occasion = sitting_on(state, service, day + number * ONE_DAY)
            for station, one in _at(state, occasion) if occasion else ():
                found[station].add(one)
    return {station: tuple(sorted(ones)) for station, ones in found.items()}


def plating_facts(state: State) -> Iterator[str]:
    """All that the times depend on beside the book: nothing where no function says how long a course takes."""
    for service in _that_plate(state):
        for (id_, day), tonight in sorted(state.tonight.items(), key=lambda one: one[0]):
            if id_ == service.id:
                facts = tonight.moved_to, tonight.cancelled, sorted(tonight.off), sorted(tonight.counts.items())
                yield f"plating {id_} {day} {facts} {tonight.percent}"
        for id_, day, dish in sorted(key for key in state.plated if key[0] == service.id):
            occasion = sitting_on(state, service, day)
            if occasion is not None and not _rest(state, occasion).get(dish):
                yield f"plated {id_} {day} {dish}"


def _that_plate(state: State) -> list[Service]:
    return [service for service in state.book.services.values() if service.function and service.plate_up]


def _at(state: State, occasion: Occasion) -> Iterator[tuple[str, HandsPlating]]:
    length, book = timedelta(minutes=occasion.service.plate_up), state.book
    for dish in _rest(state, occasion):
        course = book.dishes[dish].course or ""
        begins = occasion.plated_at(course)
        for item in book.dishes[dish].plate:
            if item in book.preps:
                yield book.preps[item].station, HandsPlating(begins, begins + length, course, occasion.key)


def _rest(state: State, occasion: Occasion) -> dict[str, int]:
    """The counted dishes of which plates are left to go out."""
    out = {dish: n for (service, day, dish), n in state.plated.items() if (service, day) == occasion.key}
    counts = {
        dish: n
        for dish, n in counts_of(occasion).items()
        if dish in state.book.dishes and dish not in occasion.tonight.off
    }
    return rest_of(counts, out, occasion.tonight.percent)
