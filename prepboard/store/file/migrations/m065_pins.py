"""What people may be asked before something is done in their name; nothing of it can be read back."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute(
        """CREATE TABLE pins (
            person TEXT PRIMARY KEY, kept TEXT NOT NULL, set_at TEXT NOT NULL, by TEXT NOT NULL,
            wrong INTEGER NOT NULL DEFAULT 0, wait_until TEXT) STRICT, WITHOUT ROWID"""
    )
