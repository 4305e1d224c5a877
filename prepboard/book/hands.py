"""When the last hands of a business day have gone."""

from __future__ import annotations

from datetime import datetime

from prepboard.book.book import Book


def last_hands(book: Book, now: datetime) -> datetime | None:
    """The latest end of any station's hours on the business day of an instant; None where a station keeps none, since
    then somebody is always there, or where none has hours that day."""
    days = book.kitchen.days
    today = days.business_day(now)
    if any(station.hours is None for station in book.stations.values()):
        return None
    windows = (window for one in book.stations.values() if one.hours for window in one.hours.on(today) or ())
    return max((days.span(today, *window)[1] for window in windows), default=None)
