"""Whether what the log holds is still what stands in the other tables."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from sqlite3 import Connection
from typing import Any

from msgspec import Struct, field

from prepboard.store.act.doing import KEYS
from prepboard.store.act.sealing import SEALED, is_of, of_action, of_book, of_row, row_of_name
from prepboard.texts import _

LINES = """
    SELECT log.number, log.action, log.did, log.holds FROM log JOIN actions ON actions.id = log.action
    WHERE log.number >= ? AND actions.number > ? ORDER BY log.number"""
UNHELD = """
    SELECT number, did FROM actions
    WHERE number > ? AND NOT EXISTS (SELECT 1 FROM log WHERE log.action = actions.id AND holds != '')
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
)
"""Tables of which `check` does not know whether somebody changed them by hand: what the plan works out again, what
counts for one day, what undo needs, and what the program keeps for itself."""


RowKey = tuple[str, tuple[Any, ...]]
"""A table, and what names a row in it."""


class Held(Struct):
    """What the lines that were gone through hold."""

    rows: dict[RowKey, tuple[int, str]] = field(default_factory=dict)
    """Of each row the last line about it, and the digest there."""
    undid: dict[str, str] = field(default_factory=dict)
    """Which action took back which."""


def faults(db: Connection, since: Since = FROM_THE_FIRST, progress: Progress | None = None) -> list[str]:
    """What is no longer as the log's lines hold it, a sentence each: of all lines, or of those since a check."""
    found = db.execute("SELECT value FROM settings WHERE name = 'sealed from'").fetchone()
    if found is None:
        return [_("the file no longer says from when on its log holds what was done")]
    first = max(int(found[0]), since.action)
    held = Held()
    wrong = list(_lines(db, since.line + 1, first, held, progress))
    wrong += _rows(db, held.rows)
    for number, did in db.execute(UNHELD, [first]):
        said = _("change {number} ({did}): no line of the log holds it")
        wrong.append(said.format(number=number, did=did))
    return wrong + list(_undone(db, held.undid, first, int(found[0])))


def _lines(
    db: Connection, line: int, first: int, held: Held, progress: Progress | None
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
        held.rows.update((row_of_name(name), (number, digest)) for name, digest in kept.get("rows", {}).items())
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


def _rows(db: Connection, rows: Mapping[RowKey, tuple[int, str]]) -> Iterator[str]:
    """Rows that are not as the last line about them holds them."""
    for (table, values), (line, digest) in rows.items():
        where = " AND ".join(f"{column} = ?" for column in KEYS[table])
        columns = SEALED[table]
        found = db.execute(f"SELECT {', '.join(columns)} FROM {table} WHERE {where}", values).fetchone()
        row: dict[str, Any] | None = dict(zip(columns, found, strict=True)) if found else None
        if not is_of(digest, of_row(table, row)):
            what = " ".join(map(str, values))
            said = _("{table} {what}: it is not as it was left, log line {line}") if row or not digest else _(
                "{table} {what}: it is gone, and log line {line} left it there"
            )  # fmt: skip
            yield said.format(table=table, what=what, line=line)
