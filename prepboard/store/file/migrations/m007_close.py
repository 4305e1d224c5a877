"""What the close asks for: goods thrown away, and indexes of what was not sold."""

from __future__ import annotations

from sqlite3 import Connection

CLOSE = (
    # Goods are not stocked: what is thrown away of them stands here, not among the moves.
    """CREATE TABLE goods_discarded (
        number INTEGER PRIMARY KEY, at TEXT NOT NULL, goods TEXT NOT NULL,
        amount INTEGER NOT NULL CHECK (amount > 0), why TEXT NOT NULL,
        by TEXT NOT NULL, station TEXT NOT NULL) STRICT""",
    "CREATE INDEX goods_discarded_at ON goods_discarded (at)",
    "CREATE INDEX moves_unsold ON moves (at) WHERE kind IN ('gone', 'discarded')",
    "CREATE INDEX plates_again ON plates (at) WHERE again != ''",
    "CREATE INDEX runs_ended ON runs (ended) WHERE ended IS NOT NULL",
)


def change(db: Connection) -> None:
    for statement in CLOSE:
        db.execute(statement)
