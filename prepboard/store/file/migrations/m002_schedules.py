"""Where the plan put each run's steps, by which size and ready-by, under a digest of what all of it was worked out
from; `places` are the numbers of the equipment's places, "1" or "1,2"."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("DROP TABLE schedules")
    db.execute(
        """CREATE TABLE schedules (
            line TEXT NOT NULL, step INTEGER NOT NULL, size TEXT NOT NULL, ready_by TEXT NOT NULL,
            start_by TEXT NOT NULL, begins TEXT NOT NULL, hands_until TEXT NOT NULL, ends TEXT NOT NULL,
            places TEXT NOT NULL DEFAULT '', digest TEXT NOT NULL, PRIMARY KEY (line, step)) STRICT"""
    )
