"""Whether what the log holds is still what stands in the other tables."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from sqlite3 import Connection
from typing import Any

from prepboard.store.act.doing import KEYS
from prepboard.store.act.sealing import SEALED, of_action, of_book, of_row
from prepboard.texts import _

LINES = """
    SELECT log.number, log.action, log.did, log.holds FROM log JOIN actions ON actions.id = log.action
    WHERE actions.number > ? ORDER BY log.number"""
UNHELD = """
    SELECT number, did FROM actions
    WHERE number > ? AND id NOT IN (SELECT action FROM log WHERE holds != '')
    AND (id IN (SELECT action FROM moves) OR id IN (SELECT action FROM readings)
         OR id IN (SELECT action FROM corrections)) ORDER BY number"""
"""What did something; an action that found nothing to do has no line."""

UNDONE = "SELECT id, number, undone_by FROM actions WHERE undone_by IS NOT NULL AND number > ?"

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
    | {"given", "timers", "added_services", "changes", "settings", "codes_gone", "_sqlite_migrations"}
)
"""Tables of which `check` does not know whether somebody changed them by hand: what the plan works out again, what
counts for one day, what undo needs, and what the program keeps for itself."""


def faults(db: Connection, progress: Callable[[int, int], None] | None = None) -> list[str]:
    """What is no longer as the log's lines hold it, a sentence each."""
    found = db.execute("SELECT value FROM settings WHERE name = 'sealed from'").fetchone()
    if found is None:
        return [_("the file no longer says from when on its log holds what was done")]
    first = int(found[0])
    wrong, rows, undid = [], dict[str, tuple[int, str]](), dict[str, str]()
    (lines,) = db.execute("SELECT count(*) FROM log").fetchone()
    for at, (number, action, did, held) in enumerate(db.execute(LINES, [first])):
        if progress and at % 20_000 == 0:
            progress(at, lines)
        if not held:
            continue
        kept = json.loads(held)
        if kept["did"] != of_action(db, action):
            said = _("log, line {line}: what was done then ({did}) was changed since: its amounts, readings or words")
            wrong.append(said.format(line=number, did=did))
        if "book" in kept and kept["book"][1] != of_book(db, kept["book"][0]):
            said = _("log, line {line}: the book that was loaded then was changed since")
            wrong.append(said.format(line=number))
        rows.update((name, (number, digest)) for name, digest in kept.get("rows", {}).items())
        if "undid" in kept:
            undid[kept["undid"]] = action
    wrong += list(_rows(db, rows))
    for number, did in db.execute(UNHELD, [first]):
        said = _("change {number} ({did}): no line of the log holds it")
        wrong.append(said.format(number=number, did=did))
    undone = {action: (number, by) for action, number, by in db.execute(UNDONE, [first])}
    for action, (number, by) in undone.items():
        if undid.get(action) != by:
            wrong.append(_("change {number}: it counts as undone, and nobody took it back").format(number=number))
    for action in undid.keys() - undone.keys():
        (number,) = db.execute("SELECT number FROM actions WHERE id = ?", [action]).fetchone() or (0,)
        if number > first:
            wrong.append(_("change {number}: it was undone, and counts again").format(number=number))
    return wrong


def _rows(db: Connection, rows: Mapping[str, tuple[int, str]]) -> Iterator[str]:
    """Rows that are not as the last line about them holds them."""
    for name, (line, digest) in rows.items():
        table, _blank, key = name.partition(" ")
        values = json.loads(key)
        where = " AND ".join(f"{column} = ?" for column in KEYS[table])
        columns = SEALED[table]
        found = db.execute(f"SELECT {', '.join(columns)} FROM {table} WHERE {where}", values).fetchone()
        row: dict[str, Any] | None = dict(zip(columns, found, strict=True)) if found else None
        if of_row(table, row) != digest:
            what = " ".join(map(str, values))
            said = _("{table} {what}: it is not as it was left, log line {line}") if row or not digest else _(
                "{table} {what}: it is gone, and log line {line} left it there"
            )  # fmt: skip
            yield said.format(table=table, what=what, line=line)
