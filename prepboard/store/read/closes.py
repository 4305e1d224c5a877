"""Closes: which business days had a service, when it ended, and which stations have not signed.

What nobody signed stays open for a week, with its age, and stops nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, datetime, time, timedelta
from sqlite3 import Connection

from prepboard.book.book import Book, Service
from prepboard.book.days import ONE_DAY
from prepboard.store.file.times import instant

LOOKS_BACK = timedelta(days=7)


def signed(db: Connection, book: Book, now: datetime) -> dict[tuple[date, str], str]:
    """(business day, station) -> who signed its close, of the last days."""
    rows = db.execute("SELECT day, station, by FROM signed WHERE day >= ?", [_first(book, now).isoformat()])
    return {(date.fromisoformat(day), station): by for day, station, by in rows}


def unsigned(
    db: Connection, book: Book, now: datetime, by_whom: Collection[tuple[date, str]], stations: Collection[str]
) -> dict[date, datetime]:
    """Business day -> when its last service ended, oldest first, where one of `stations` has not signed."""
    day, today = _first(book, now), book.kitchen.days.business_day(now)
    begun = db.execute("SELECT at FROM actions WHERE did != 'load' ORDER BY number LIMIT 1").fetchone()
    if begun is None:
        return {}
    day = max(day, book.kitchen.days.business_day(instant(begun[0])))
    found: dict[date, datetime] = {}
    while day <= today:
        if any((day, station) not in by_whom for station in stations):
            ended = last_end(db, book, day, now)
            if ended is not None and ended <= now:
                found[day] = ended
        day += ONE_DAY
    return found


def unsigned_of(db: Connection, book: Book, now: datetime, station: str) -> Mapping[date, datetime]:
    """The closes that one station has not signed, oldest first."""
    return unsigned(db, book, now, signed(db, book, now), [station])


def last_end(db: Connection, book: Book, day: date, now: datetime) -> datetime | None:
    """When the last service of a business day that has begun by now ends; None when none has."""
    rows = db.execute("SELECT service, cancelled, moved_to FROM services WHERE day = ?", [day.isoformat()]).fetchall()
    cancelled = {service for service, gone, _moved_to in rows if gone}
    moved = {service: time.fromisoformat(to) for service, _gone, to in rows if to}
    spans = (
        _span(book, service, day, moved.get(service.id))
        for service in book.services.values()
        if service.held_on(day) and service.id not in cancelled
    )
    every = list(spans)
    if not any(starts <= now for starts, _ends in every):
        return None
    return max(ends for _starts, ends in every)


def _span(book: Book, service: Service, day: date, moved_to: time | None) -> tuple[datetime, datetime]:
    days = book.kitchen.days
    starts, ends = days.span(day, service.starts, service.ends)
    later = days.in_day(day, moved_to) - starts if moved_to else timedelta(0)
    return starts + later, ends + later


def _first(book: Book, now: datetime) -> date:
    return book.kitchen.days.business_day(now) - LOOKS_BACK
