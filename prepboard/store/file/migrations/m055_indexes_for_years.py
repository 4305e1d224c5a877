"""Indexes for what is asked of a file of many years: what stood in a place, packs, what was read at a task."""

from __future__ import annotations

from sqlite3 import Connection

INDEXES = (
    # Where food came to stand is the `why` of its move; moves onto plates and into runs have none.
    "CREATE INDEX moves_to_place ON moves (why, at) WHERE why != ''",
    "CREATE INDEX batches_of_place ON batches (place, made_at)",
    "CREATE INDEX batches_that_are_packs ON batches (code) WHERE pack",
    "CREATE INDEX tasks_done_at ON tasks_done (at)",
)


def change(db: Connection) -> None:
    for statement in INDEXES:
        db.execute(statement)
