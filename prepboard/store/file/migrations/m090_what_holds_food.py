"""Which line of the log holds each batch that is there, all but its amount: moves hold that."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("CREATE TABLE held_batches (batch TEXT PRIMARY KEY, line INTEGER NOT NULL) STRICT")
