"""When vans go: of each the trips, with the last moment for an order, when it leaves and when it has arrived."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from msgspec import Struct

from prepboard.book.book import Book, Van
from prepboard.book.days import ONE_DAY

STILL_LOADING = timedelta(minutes=30)
"""What is loaded so long after a van was to leave goes with it all the same (common practice, no source)."""

FAR = 15
"""Days in which every van goes at least twice."""


class Trip(Struct, frozen=True):
    """A van on one business day. Instants are by this kitchen's days and zone; a group has one."""

    van: Van
    day: date
    closes: datetime
    leaves: datetime
    arrives: datetime


def trip_on(book: Book, van: Van, day: date) -> Trip | None:
    """The trip of a business day; None where the van does not go then."""
    if day.weekday() not in van.weekdays:
        return None
    days = book.kitchen.days
    leaves = days.in_day(day, van.leaves)
    local = days.local(leaves).date()
    closes = days.at(local, van.closes)
    closes = closes if closes <= leaves else days.at(local - ONE_DAY, van.closes)
    arrives = leaves if van.arrives == van.leaves else days.next(leaves, van.arrives)
    return Trip(van, day, closes, leaves, arrives)


def trips(book: Book, since: datetime, *, comes_from: str = "", to: str = "") -> Iterator[Trip]:
    """The trips that leave at an instant or after it, the next first; those from and to one kitchen only, where it is
    named."""
    first = book.kitchen.days.business_day(since) - ONE_DAY
    vans = [
        van
        for van in book.vans.values()
        if (not comes_from or van.comes_from == comes_from) and (not to or to in van.to)
    ]
    for number in range(FAR):
        of_day = [trip for van in vans if (trip := trip_on(book, van, first + number * ONE_DAY))]
        yield from sorted(
            (trip for trip in of_day if trip.leaves >= since), key=lambda one: (one.leaves, one.van.order)
        )


def loading(book: Book, comes_from: str, to: str, now: datetime) -> Trip | None:
    """The trip that is loaded now from one kitchen to another."""
    return next(trips(book, now - STILL_LOADING, comes_from=comes_from, to=to), None)


def to_order(book: Book, comes_from: str, to: str, now: datetime) -> tuple[Trip, Trip | None] | None:
    """The next trip that can still be ordered for, and the one after it, before which nothing more comes."""
    ahead = [trip for trip in trips(book, now, comes_from=comes_from, to=to) if trip.closes > now]
    return (ahead[0], ahead[1] if len(ahead) > 1 else None) if ahead else None
