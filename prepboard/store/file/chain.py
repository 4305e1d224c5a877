"""The log's chain: every line carries a hash of itself and of the line before, so that a line that was changed, taken
out or put in later is found.

Whoever can write to the file can write a whole new chain as well. What holds against that is a seal on paper: every
printed record names the last line and the head of its hash, and `check` compares a seal with the file.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from sqlite3 import Connection
from typing import Any

from prepboard.texts import _

COLUMNS = ("action", "at", "by", "role", "station", "did", "batch", "prep", "dish", "before", "after", "why")
"""What of a line is sealed, in this order; columns that come later are not."""

SEAL = "log seal"
"""The setting that keeps the last line's number and hash."""

LINKS = (32, 64)
"""Characters of a line's hash: of the lines that are written now, and of those of earlier programs."""

SHORT = 12
"""Characters of a hash that a printed seal shows."""

ALL = f"SELECT number, chain, holds, {', '.join(COLUMNS)} FROM log ORDER BY number"
FROM_ONE = ALL.replace("ORDER BY", "WHERE number >= ? ORDER BY")


def add_line(db: Connection, values: Sequence[str], holds: str = "") -> int:
    """Adds a line to the log, `values` in the order of COLUMNS, chained to the one before; `holds` says what else the
    chain holds with it. Answers its number."""
    number, before = _seal(db)
    chain = link(before, number + 1, values, holds)[: LINKS[0]]
    marks = ", ".join("?" * (len(COLUMNS) + 3))
    names = f"number, chain, holds, {', '.join(COLUMNS)}"
    db.execute(f"INSERT INTO log ({names}) VALUES ({marks})", [number + 1, chain, holds, *values])
    keep_seal(db, number + 1, chain)
    return number + 1


def link(before: str, number: int, values: Sequence[Any], holds: str = "") -> str:
    """The hash of one line: of the hash before it, its number, its words and what it holds."""
    more = [holds] if holds else []
    line = json.dumps([before, number, *values, *more], ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(line.encode("utf-8")).hexdigest()


def keep_seal(db: Connection, number: int, chain: str) -> None:
    db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)", [SEAL, f"{number} {chain}"])


def seal(db: Connection) -> str:
    """The last line and the head of its hash, as a printed record names them: "214 3f9ac0de1b2a"."""
    number, chain = _seal(db)
    return f"{number} {chain[:SHORT]}"


def unlike_seal(db: Connection, seal: str) -> list[str]:
    """Whether a printed seal is that of its line: nothing, or what is wrong in words."""
    number, _blank, head = seal.strip().partition(" ")
    found = db.execute("SELECT chain FROM log WHERE number = ?", [number]).fetchone()
    if found and head and found[0].startswith(head.strip().lower()):
        return []
    return [_("the log has no line with the seal {seal}").format(seal=seal.strip())]


def faults(db: Connection, first: int = 1, progress: Callable[[int, int], None] | None = None) -> list[str]:
    """The first line, from `first` on, at which the chain is broken, in words; nothing while it is whole."""
    expected = max(1, first)
    row = db.execute("SELECT chain FROM log WHERE number = ?", [expected - 1]).fetchone()
    before = row[0] if row else ""
    last = _seal(db)[0]
    for number, chain, holds, *values in db.execute(FROM_ONE, [expected]):
        if progress and number % 20_000 == 0:
            progress(number, last)
        if number != expected:
            return [_("log, line {line}: it is missing").format(line=expected)]
        if len(chain) not in LINKS or not link(before, number, values, holds).startswith(chain):
            return [_("log, line {line}: it was changed after it was written").format(line=number)]
        before, expected = chain, number + 1
    if expected > 1 and db.execute("SELECT 1 FROM settings WHERE name = ?", [SEAL]).fetchone() is None:
        return [_("log: its seal is gone, so nobody knows whether lines are missing at its end")]
    number, chain = _seal(db)
    if number >= expected:
        return [_("log, line {line}: it is missing").format(line=expected)]
    if (number, chain) != (expected - 1, before):
        return [_("log: its seal is not that of its last line, {line}").format(line=expected - 1)]
    return []


def _seal(db: Connection) -> tuple[int, str]:
    """Number and hash of the last line; where the seal is gone, those of the last line that is there."""
    kept = db.execute("SELECT value FROM settings WHERE name = ?", [SEAL]).fetchone()
    if kept:
        number, _blank, chain = kept[0].partition(" ")
        return int(number), chain
    last = db.execute("SELECT number, chain FROM log ORDER BY number DESC LIMIT 1").fetchone()
    return (last[0], last[1]) if last else (0, "")
