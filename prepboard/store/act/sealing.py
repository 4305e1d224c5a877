"""What a line of the log holds beside its words: digests of what its action left in the other tables.

The last line of an action holds them, and the chain holds the line: whoever changes an amount, a date, a verdict or
a book by hand, under whatever log, is found by `check`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from sqlite3 import Connection
from typing import Any

SEALED: Mapping[str, tuple[str, ...]] = {
    "batches": (
        "code", "prep", "name", "run", "state", "left", "unit", "made_at", "day_one", "passes_on", "use_by", "why",
        "store", "place", "station", "by", "blocked", "set_aside", "frozen_at", "first_day", "inherited", "safety",
        "stays", "cold", "parent", "pack", "lot", "allergens", "kept", "blocked_for",
    ),
    "runs": (
        "code", "prep", "size", "line", "need", "n", "need_day", "book", "state", "started", "recorded", "ended",
        "ended_by", "ended_at_station", "step", "step_began", "step_ends", "taken", "first_day", "outputs", "by",
        "station", "first_safety", "instead",
    ),
    "plates": ("number", "at", "service", "day", "dish", "n", "back", "again", "by", "station"),
    "services": ("day", "service", "covers", "came", "percent", "cancelled", "special", "past", "ended", "moved_to"),
    "counts": ("day", "service", "dish", "n"),
    "mixes": ("day", "service", "dish", "share"),
    "pars": ("day", "service", "prep", "amount"),
    "standing_pars": ("prep", "amount"),
    "standing_by_weekday": ("prep", "weekday", "amount"),
    "portions": ("day", "dish", "prep", "amount"),
    "blocked_places": ("place", "why", "at", "by"),
    "goods_discarded": ("number", "at", "goods", "amount", "why", "by", "station"),
    "missing": ("goods", "since", "until"),
    "notes": ("number", "at", "by", "station", "whom", "text", "done_at", "done_by"),
    "tasks_done": ("day", "task", "at", "by", "station", "degrees", "unit"),
    "signed": ("day", "station", "at", "by"),
}  # fmt: skip
"""The columns that are sealed of each table: a column that comes later is not, until it stands here. What the plan
works out, learns and keeps for itself is in none of these."""

ACTION = "SELECT at, by, station, did, answer FROM actions WHERE id = ?"
OF_ACTION = (
    "SELECT number, at, batch, kind, amount, run, plate, why, gives_back FROM moves WHERE action = ? ORDER BY number",
    "SELECT number, at, by, station, of, kind, degrees, unit, meant, held_to, ok FROM readings"
    " WHERE action = ? ORDER BY number",
    "SELECT number, at, by, station, batch, what, how FROM corrections WHERE action = ? ORDER BY number",
)
BOOK = "SELECT version, digest, loaded_at, by, texts FROM book WHERE version = ?"

SHORT = 16
"""Characters of a digest: 64 bits, against a hand that changes a file and not against one that looks for collisions;
who can do that can write a new chain as well."""


def _digest(what: Any) -> str:
    text = json.dumps(what, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:SHORT]


def of_row(table: str, row: Mapping[str, Any] | None) -> str:
    """The digest of one row; "" of one that is not there. What is empty is left out, so that it does not matter how."""
    if row is None:
        return ""
    return _digest([[name, row[name]] for name in SEALED[table] if row.get(name)])


def of_action(db: Connection, action: str) -> str:
    """The digest of what one action did: who, when, its answer, its moves, readings and corrections."""
    return _digest(
        [db.execute(ACTION, [action]).fetchone(), *(db.execute(sql, [action]).fetchall() for sql in OF_ACTION)]
    )


def of_book(db: Connection, version: int) -> str:
    """The digest of one version of the book, as it was read in."""
    return _digest(db.execute(BOOK, [version]).fetchone())


def holds(db: Connection, action: str, rows: Iterable[tuple[str, Mapping[str, Any], Mapping[str, Any] | None]],
          book: int = 0, undid: str = "") -> str:  # fmt: skip
    """What the last line of an action holds, as JSON. `rows` are (table, key, the row as it is now)."""
    left = {f"{table} {name_of(key)}": of_row(table, row) for table, key, row in rows if table in SEALED}
    found: dict[str, Any] = {"did": of_action(db, action)}
    found |= {"rows": left} if left else {}
    found |= {"book": [book, of_book(db, book)]} if book else {}
    found |= {"undid": undid} if undid else {}
    return json.dumps(found, ensure_ascii=False, separators=(",", ":"))


def name_of(key: Mapping[str, Any]) -> str:
    """The key of a row in one line."""
    return json.dumps(list(key.values()), ensure_ascii=False, separators=(",", ":"))
