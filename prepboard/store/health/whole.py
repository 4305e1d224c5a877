"""Whether what the log holds is still what stands in the other tables."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from sqlite3 import Connection
from typing import Any

from msgspec import Struct, field

from prepboard.store.transaction.sealing import SEALED, Named, is_of, of_action, of_book, of_row, row_of_name
from prepboard.store.transaction.tables import KEYS
from prepboard.texts import _

LINES = """
    SELECT log.number, log.action, log.did, log.holds FROM log JOIN actions ON actions.id = log.action
    WHERE log.number >= ? AND actions.number > ? ORDER BY log.number"""
UNHELD = """
    SELECT number, did FROM actions
    WHERE number > ? AND NOT EXISTS (
        SELECT 1 FROM log WHERE log.at = actions.at AND log.action = actions.id AND holds != '')
    AND (EXISTS (SELECT 1 FROM moves WHERE moves.action = actions.id)
         OR EXISTS (SELECT 1 FROM readings WHERE readings.action = actions.id)
         OR EXISTS (SELECT 1 FROM corrections WHERE corrections.action = actions.id)) ORDER BY number"""
"""What did something; an action that found nothing to do has no line."""

UNDONE = "SELECT id, number, undone_by FROM actions WHERE undone_by IS NOT NULL AND number > ?"

Progress = Callable[[int, int], None]
"""Is told how far something is: the number of the log's line, and of the last one."""

SAID_EVERY = 5_000
"""Lines between two words about how far it is."""


class Since(Struct, frozen=True):
    """How far the file was gone through by a check that found nothing wrong."""

    line: int = 0
    """The last line of the log then."""
    chain: str = ""
    """Its hash."""
    action: int = 0
    move: int = 0
    book: int = 0


FROM_THE_FIRST = Since()

CANNOT_KNOW = frozenset(
    {
        "learned",
        "food",
        "schedules",
        "shorts",
        "ran_out",
        "resets",
        "was_off",
        "taken_off",
        "hands",
        "equipment_that_works",
    }
    | {"given", "staying", "timers", "added_services", "changes", "settings", "codes_gone", "_sqlite_migrations"}
    | {"holds_told"}
)
"""Tables of which `check` does not know whether somebody changed them by hand: what the plan works out again, what
counts for one day, what undo needs, and what the program keeps for itself."""


LATE_MOVES = """
    SELECT moves.number FROM moves JOIN actions ON actions.id = moves.action
    WHERE actions.number <= ?1 AND moves.number > (
        SELECT min(moves.number) FROM moves JOIN actions ON actions.id = moves.action WHERE actions.number > ?1)"""
"""Moves of actions from before there were lines that hold them, among later ones."""

HELD = """
    SELECT held_batches.batch, held_batches.line, log.holds FROM held_batches
    LEFT JOIN log ON log.number = held_batches.line ORDER BY held_batches.line, held_batches.batch"""

RowKey = tuple[str, tuple[Any, ...]]
"""A table, and what names a row in it."""


class Holding(Struct, frozen=True):
    """What a line holds of a row."""

    line: int
    digest: str
    amount: bool


class HeldByLines(Struct):
    """What the lines that were gone through hold."""

    rows: dict[RowKey, Holding] = field(default_factory=dict)
    """Of each row what the last line about it holds."""
    undid: dict[str, str] = field(default_factory=dict)
    """Which action took back which."""


def faults(db: Connection, since: Since = FROM_THE_FIRST, progress: Progress | None = None) -> list[str]:
    """What is no longer as the log's lines hold it, a sentence each: of all lines, or of those since a check."""
    found = db.execute("SELECT value FROM settings WHERE name = 'sealed from'").fetchone()
    if found is None:
        return [_("the file no longer says from when on its log holds what was done")]
    first = max(int(found[0]), since.action)
    held = HeldByLines()
    wrong = list(_lines(db, since.line + 1, first, held, progress))
    if since == FROM_THE_FIRST:
        wrong += _held_batches(db, held.rows)
        for (number,) in db.execute(LATE_MOVES, [first]) if first else ():
            wrong.append(_("move {number}: no line of the log holds it").format(number=number))
    else:
        # What is there is held by a line that may be older than that.
        held.rows = {**_of_batches(db), **held.rows}
    wrong += _rows(db, held.rows)
    for number, did in db.execute(UNHELD, [first]):
        said = _("change {number} ({did}): no line of the log holds it")
        wrong.append(said.format(number=number, did=did))
    return wrong + list(_undone(db, held.undid, first, int(found[0])))


def _lines(
    db: Connection, line: int, first: int, held: HeldByLines, progress: Progress | None
) -> Iterator[str]:  # fmt: skip
    """Actions that are no longer what their lines hold; what else the lines hold is gathered."""
    (last,) = db.execute("SELECT coalesce(max(number), 0) FROM log").fetchone()
    for number, action, did, holds in db.execute(LINES, [line, first]):
        if progress and number % SAID_EVERY == 0:
            progress(number, last)
        if not holds:
            continue
        kept = json.loads(holds)
        if not is_of(kept["did"], of_action(db, action)):
            said = _("log, line {line}: what was done then ({did}) was changed since: its amounts, readings or words")
            yield said.format(line=number, did=did)
        if "book" in kept and not is_of(kept["book"][1], of_book(db, kept["book"][0])):
            yield _("log, line {line}: the book that was loaded then was changed since").format(line=number)
        for name, digest in kept.get("rows", {}).items():
            key, holding = _holding(row_of_name(name), number, digest)
            held.rows[key] = holding
        if "undid" in kept:
            held.undid[kept["undid"]] = action


def _undone(db: Connection, undid: Mapping[str, str], first: int, sealed_from: int) -> Iterator[str]:
    """What counts as undone and was not, and the other way round."""
    undone = {action: (number, by) for action, number, by in db.execute(UNDONE, [first])}
    for action, (number, by) in undone.items():
        if undid.get(action) != by:
            yield _("change {number}: it counts as undone, and nobody took it back").format(number=number)
    for action, by in undid.items():
        number, said = db.execute("SELECT number, undone_by FROM actions WHERE id = ?", [action]).fetchone() or (0, "")
        if number > sealed_from and said != by and (number <= first or said is None):
            yield _("change {number}: it was undone, and counts again").format(number=number)


def _holding(named: Named, line: int, digest: str) -> tuple[RowKey, Holding]:
    return (named.table, named.key), Holding(line, digest, named.amount)


def _of_batches(db: Connection) -> dict[RowKey, Holding]:
    """What the lines hold of the batches that are there; a line that holds nothing of its batch holds no digest."""
    found: dict[RowKey, Holding] = {}
    read = 0
    rows: dict[str, str] = {}
    for code, line, holds in db.execute(HELD):
        if line != read:
            read, rows = line, json.loads(holds).get("rows", {}) if holds else {}
        found["batches", (code,)] = Holding(line, rows.get(f"f.{code}", "none"), amount=False)
    return found


def _held_batches(db: Connection, rows: Mapping[RowKey, Holding]) -> Iterator[str]:
    """Batches of which the file no longer knows the line that holds them."""
    live = {code for (code,) in db.execute("SELECT code FROM batches WHERE state = 'live'")}
    lines = {
        key[0]: holding.line
        for (table, key), holding in rows.items()
        if table == "batches" and not holding.amount and key[0] in live
    }
    kept = dict(db.execute("SELECT batch, line FROM held_batches").fetchall())
    for code in sorted(lines.keys() | kept.keys()):
        if lines.get(code) != kept.get(code):
            yield _("batch {code}: the file no longer knows which line of the log holds it").format(code=code)


def _live_batches(db: Connection) -> dict[str, tuple[Any, ...]]:
    """The food that is there, all at once: one by one each is looked for among that of all years."""
    sealed = ", ".join(SEALED["batches"])
    return {row[0]: row for row in db.execute(f"SELECT {sealed} FROM batches WHERE state = 'live'")}


def _rows(db: Connection, rows: Mapping[RowKey, Holding]) -> Iterator[str]:
    """Rows that are not as the last line about them holds them."""
    live = _live_batches(db)
    for (table, values), holding in rows.items():
        where = " AND ".join(f"{column} = ?" for column in KEYS[table])
        columns = SEALED[table]
        found = live.get(values[0]) if table == "batches" else None
        if found is None:
            found = db.execute(f"SELECT {', '.join(columns)} FROM {table} WHERE {where}", values).fetchone()
        row: dict[str, Any] | None = dict(zip(columns, found, strict=True)) if found else None
        if not is_of(holding.digest, of_row(table, row, amount=holding.amount)):
            what = " ".join(map(str, values))
            said = _("{table} {what}: it is not as it was left, log line {line}") if row or not holding.digest else _(
                "{table} {what}: it is gone, and log line {line} left it there"
            )  # fmt: skip
            yield said.format(table=table, what=what, line=holding.line)
