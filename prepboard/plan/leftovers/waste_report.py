"""The waste of a stretch of time as one report: what left unsold, its sums, and what it says to change."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from prepboard.book.book import Book
from prepboard.plan.given.past import Past
from prepboard.plan.leftovers.lessons import Lesson, lessons
from prepboard.plan.leftovers.waste import Per, Period, WasteLine, periods, waste


class Report(Struct, frozen=True):
    """The lines of a stretch of time, its sums, and what to change, the most money first."""

    lines: tuple[WasteLine, ...]
    periods: tuple[Period, ...]
    per: Per
    lessons: tuple[Lesson, ...] = ()


def report_of(book: Book, past: Past, since: datetime, until: datetime, per: Per, station: str = "") -> Report:
    """What left unsold from `since` up to, not at, `until`; of one station where it is named. Covers are the
    kitchen's in both cases."""
    lines = tuple(line for line in waste(book, past) if station in ("", line.station))
    moments = [*(one.at for one in past.gone), *(run.ended for run in past.runs)]
    recorded = book.kitchen.days.business_day(min(moments)) if moments else None
    sums = periods(book, lines, past.covers, since, until, per, recorded)
    return Report(lines, sums, per, lessons(book, past, station))
