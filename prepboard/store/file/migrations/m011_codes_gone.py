"""Codes that a restore made the file forget: labels with them are about, and no new food gets one."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("CREATE TABLE codes_gone (code TEXT PRIMARY KEY) STRICT, WITHOUT ROWID")
