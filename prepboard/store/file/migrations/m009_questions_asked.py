"""Indexes for what is asked of a file that has grown; also the one that making `moves` anew took from older files."""

from __future__ import annotations

from sqlite3 import Connection

INDEXES = (
    "CREATE INDEX IF NOT EXISTS moves_unsold ON moves (at) WHERE kind IN ('gone', 'discarded')",
    "CREATE INDEX log_of_action ON log (action)",
    "CREATE INDEX readings_of_action ON readings (action)",
    "CREATE INDEX corrections_of_action ON corrections (action)",
)


def change(db: Connection) -> None:
    for statement in INDEXES:
        db.execute(statement)
