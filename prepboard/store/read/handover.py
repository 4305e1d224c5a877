"""What people told each other, as the file keeps it: notes, tasks done, closes signed."""

from __future__ import annotations

from datetime import date, datetime
from sqlite3 import Connection
from typing import Any

from prepboard.book.book import Book
from prepboard.plan.given.state import HandOver, TaskDone, Timer
from prepboard.store.file.times import instant, instant_or_none, instant_text
from prepboard.store.read.closes import signed, unsigned

NOTES = """
    SELECT number, at, by, station, whom, text, done_at, done_by FROM notes WHERE done_at IS NULL
    UNION ALL
    SELECT number, at, by, station, whom, text, done_at, done_by FROM notes INDEXED BY notes_done WHERE done_at >= ?
    ORDER BY number"""


def handed_over(db: Connection, book: Book, now: datetime) -> dict[str, Any]:
    """The State's fields of what people told each other."""
    today = book.kitchen.days.business_day(now)
    by_whom = signed(db, book, now)
    return {
        "signed": by_whom,
        "unsigned": unsigned(db, book, now, by_whom, book.stations),
        "notes": notes_of(db, book, now),
        "timers": tuple(
            Timer(number, station, instant(ends), by, text)
            for number, station, ends, by, text in db.execute(
                "SELECT number, station, ends, by, text FROM timers WHERE stopped IS NULL ORDER BY ends, number"
            )
        ),
        "tasks_done": {
            (task, date.fromisoformat(day)): TaskDone(instant(at), by, station, degrees or "", unit or "")
            for task, day, at, by, station, degrees, unit in db.execute(
                "SELECT task, day, at, by, station, degrees, unit FROM tasks_done WHERE day >= ?", [today.isoformat()]
            )
        },
    }


def notes_of(db: Connection, book: Book, now: datetime) -> tuple[HandOver, ...]:
    """Notes that are not ticked off, or were since the business day began."""
    days = book.kitchen.days
    return tuple(_note(row) for row in db.execute(NOTES, [instant_text(days.opens(days.business_day(now)))]))


def _note(row: tuple[Any, ...]) -> HandOver:
    number, at, by, station, whom, text, done_at, done_by = row
    return HandOver(number, instant(at), by, station, whom, text, instant_or_none(done_at), done_by or "")
