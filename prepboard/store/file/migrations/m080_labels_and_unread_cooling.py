"""What a label says where its food is good for less by now, and who let food count on that nobody read cooling."""

from __future__ import annotations

from sqlite3 import Connection

COLUMNS = ("label_says TEXT", "counts_on_at TEXT", "counts_on_by TEXT NOT NULL DEFAULT ''")


def change(db: Connection) -> None:
    for column in COLUMNS:
        db.execute(f"ALTER TABLE batches ADD COLUMN {column}")
