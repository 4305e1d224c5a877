"""What changed since the last look: a plate out costs what a plate changes, not a whole snapshot.

The file's own records say it: every action keeps the rows that it changed. Whatever they do not say for certain (a
count, an undo, a reading, another book, another program) is a reason to read everything again, and once a minute
everything is.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, datetime, timedelta
from sqlite3 import Connection
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.plan.state import State
from prepboard.store.learned import first_day, learned_to
from prepboard.store.live_batches import ReadBatches, live_batches
from prepboard.store.reading import RECENT, newest_book, plated_since, snapshot, tonight_since, version_of
from prepboard.store.schedules import Known

SAID_WHOLE = frozenset({"plate", "86", "back"})
"""Actions of which the changed rows are all that a State could show, and the only tables they change that it shows are
those below."""

TABLES = frozenset({"plates", "batches", "taken_off", "ran_out"})

WHOLE_AFTER = timedelta(minutes=1)
"""Everything is read again at the latest after so long: what only time changes is no older than that."""

SINCE = """
    SELECT actions.number, actions.did, changes.row_of, changes.key
    FROM actions LEFT JOIN changes ON changes.action = actions.id WHERE actions.number > ?"""


class Look(Struct):
    """The last look at the file: what it came to, and by what a later look knows what has changed since."""

    state: State
    book_version: int
    number: int
    """Of the newest action."""
    whole_at: datetime
    """When everything was read."""
    today: date
    batches: ReadBatches


def _rows_changed(db: Connection, last: Look | None, book_version: int, now: datetime, today: date) -> list[Any] | None:
    """The rows of actions and changes since the last look; None when everything is to be read again."""
    if last is None or last.book_version != book_version or last.today != today:
        return None
    if not last.whole_at <= now < last.whole_at + WHOLE_AFTER:
        return None
    rows = db.execute(SINCE, [last.number]).fetchall()
    done = {number for number, *_rest in rows}
    # Every write makes the version grow by one: more writes than actions, and something else wrote too.
    if not done or version_of(db) != last.state.version + len(done):
        return None
    if any(did not in SAID_WHOLE or (table and table not in TABLES) for _number, did, table, _key in rows):
        return None
    return rows if learned_to(db) == last.state.learned_to else None


def look(
    db: Connection,
    now: datetime,
    book: Book,
    book_of: Callable[[int], Book],
    known: Known,
    set_by_hand: bool,
    last: Look | None = None,
) -> Look:
    """A look at the file with today's `book`, inside the transaction that the caller has begun; `known` are the
    placements that were read before. What has not changed since the `last` look is the very same in its State."""
    version, today = newest_book(db), book.kitchen.days.business_day(now)
    rows = _rows_changed(db, last, version, now, today)
    found = _since(db, last, rows, today) if last and rows is not None else None
    if found:
        return found
    batches = live_batches(db, last.batches if last else {})
    state = snapshot(db, now, book, book_of, known, set_by_hand, tuple(batch for _row, batch in batches.values()))
    state = as_before(last.state if last and last.state.book is book else None, state)
    (number,) = db.execute("SELECT coalesce(max(number), 0) FROM actions").fetchone()
    return Look(state, version, number, now, today, batches)


def _since(db: Connection, last: Look, rows: list[Any], today: date) -> Look | None:
    """The last look with what these rows say; None where other batches are live now: their readings are to be read."""
    changed = {json.loads(key)["code"] for _number, _did, table, key in rows if table == "batches"}
    live = live_batches(db, last.batches, changed) if changed else {}
    if live.keys() != changed or not changed <= last.batches.keys():
        return None
    batches = {**last.batches, **live}
    unlearned = first_day(db, today - RECENT).isoformat()
    plated = plated_since(db, unlearned)
    state = replace(
        last.state,
        version=version_of(db),
        batches=tuple(batch for _row, batch in batches.values()),
        plated=plated,
        tonight=tonight_since(db, unlearned, plated),
    )
    number = max(row[0] for row in rows)
    return Look(as_before(last.state, state), last.book_version, number, last.whole_at, today, batches)


def as_before(before: State | None, state: State) -> State:
    """The state, with what says the same as before being the very same: whoever compares sees it at a glance."""
    if before is None:
        return state
    same = {
        name: old
        for name in state.__struct_fields__
        if (old := getattr(before, name)) is not (new := getattr(state, name)) and type(old) is type(new) and old == new
    }
    return replace(state, **same) if same else state
