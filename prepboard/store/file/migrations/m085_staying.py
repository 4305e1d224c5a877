"""Who stays in a break, or after hours, and for how long: the sentence that most often saves a late line."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute(
        """CREATE TABLE staying (
            day TEXT NOT NULL, station TEXT NOT NULL, since TEXT NOT NULL, minutes INTEGER NOT NULL,
            PRIMARY KEY (day, station, since)) STRICT, WITHOUT ROWID"""
    )
