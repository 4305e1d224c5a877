"""Timers that a bench sets for itself, until somebody stops them."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute(
        """CREATE TABLE timers (
            number INTEGER PRIMARY KEY, station TEXT NOT NULL, set_at TEXT NOT NULL, ends TEXT NOT NULL,
            by TEXT NOT NULL, text TEXT NOT NULL DEFAULT '', stopped TEXT) STRICT"""
    )
    db.execute("CREATE INDEX timers_running ON timers (ends) WHERE stopped IS NULL")
