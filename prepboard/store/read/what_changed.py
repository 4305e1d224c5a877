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
from prepboard.plan.given.state import Batch, State
from prepboard.store.read.handover import notes_of
from prepboard.store.read.learned import learned_to
from prepboard.store.read.live_batches import ReadBatches, live_batches, with_changes
from prepboard.store.read.measured import newest
from prepboard.store.read.schedules import Known, placements
from prepboard.store.read.snapshot import newest_book, plates_of, readings_of, runs_of, snapshot, version_of
from prepboard.store.read.still_measured import still_measured

SAID_WHOLE = frozenset(
    {"plate", "86", "back", "start", "step", "done", "lost", "made", "use", "discard", "note", "tick off"}
)
"""Actions of which the changed rows are all that a State could show; of the tables they change it shows these."""

TABLES = frozenset({"plates", "taken_off", "was_off", "ran_out", "runs", "batches", "schedules", "settings", "notes"})
NOT_SHOWN = frozenset({"goods_discarded", "goods_counted", "probe_checks"})

WHOLE_AFTER = timedelta(minutes=1)
"""Everything is read again at the latest after so long: what only time changes is no older than that."""

SINCE = """
    SELECT actions.number, actions.did, changes.row_of, changes.key
    FROM actions LEFT JOIN changes ON changes.action = actions.id WHERE actions.number > ?"""


BEGUN = "SELECT 1 FROM actions WHERE did != 'load' LIMIT 1"


class Look(Struct):
    """The last look at the file: what it came to, and by what a later look knows what has changed since."""

    state: State
    book_version: int
    number: int
    """Of the newest action."""
    whole_at: datetime
    """When everything was read."""
    today: date
    begun: bool
    """Something was done in this kitchen before: closes are asked for from the first day on."""
    batches: ReadBatches
    measured: tuple[int | None, int | None]
    """The newest reading and the newest correction."""


def _rows_changed(db: Connection, last: Look | None, book_version: int, now: datetime, today: date) -> list[Any] | None:
    """The rows of actions and changes since the last look; None when everything is to be read again."""
    if last is None or not last.begun or last.book_version != book_version or last.today != today:
        return None
    if not last.whole_at <= now < last.whole_at + WHOLE_AFTER:
        return None
    rows = db.execute(SINCE, [last.number]).fetchall()
    done = {number for number, *_rest in rows}
    # Every write makes the version grow by one: more writes than actions, and something else wrote too.
    if not done or version_of(db) != last.state.version + len(done):
        return None
    if any(did not in SAID_WHOLE or (table and table not in TABLES | NOT_SHOWN) for _number, did, table, _key in rows):
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
    if last and rows is not None:
        state, batches = _since(db, last, rows, now, book_of, known)
        return Look(state, version, max(row[0] for row in rows), last.whole_at, today, True, batches, newest(db))
    batches = live_batches(db, last.batches if last else {})
    state = snapshot(db, now, book, book_of, known, set_by_hand, _all(batches))
    state = as_before(last.state if last and last.state.book is book else None, state)
    (number,) = db.execute("SELECT coalesce(max(number), 0) FROM actions").fetchone()
    begun = db.execute(BEGUN).fetchone() is not None
    return Look(state, version, number, now, today, begun, batches, newest(db))


def _since(
    db: Connection, last: Look, rows: list[Any], now: datetime, book_of: Callable[[int], Book], known: Known
) -> tuple[State, ReadBatches]:
    """The last look's State with what these rows say."""
    tables = {table for _number, _did, table, _key in rows}
    changes_food = bool(tables & {"batches", "runs"})
    batches = with_changes(db, last.batches, _codes(rows, "batches")) if changes_food else last.batches
    fields: dict[str, Any] = {"version": version_of(db), "batches": _all(batches)}
    if tables & {"plates", "taken_off", "was_off", "ran_out"}:
        fields |= plates_of(db, last.today)
    if "notes" in tables:
        fields["notes"] = notes_of(db, last.state.book, now)
    if "schedules" in tables or "settings" in tables:
        fields |= placements(db, known)
    if "runs" in tables:
        fields |= runs_of(db, last.today, book_of)
    state = replace(last.state, **fields)
    if "probe_checks" in tables or newest(db) != last.measured:
        state = replace(state, **readings_of(db, now, state.book, book_of))
    elif "runs" in tables or batches.keys() != last.batches.keys():
        state = replace(state, **still_measured(db, now, last.state, state, book_of, _codes(rows, "runs")))
    return as_before(last.state, state), batches


def _codes(rows: list[Any], of: str) -> set[str]:
    """Of the rows of a table that changed."""
    return {json.loads(key)["code"] for _number, _did, table, key in rows if table == of}


def _all(batches: ReadBatches) -> tuple[Batch, ...]:
    return tuple(batch for _row, batch in batches.values())


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
