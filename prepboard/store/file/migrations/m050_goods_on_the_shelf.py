"""Goods that were counted or came with a delivery: a kitchen may write them down, and need not."""

from __future__ import annotations

from sqlite3 import Connection

TABLES = (
    """CREATE TABLE goods_counted (
        number INTEGER PRIMARY KEY, at TEXT NOT NULL, goods TEXT NOT NULL,
        kind TEXT NOT NULL CHECK (kind IN ('counted', 'delivered')), amount INTEGER NOT NULL,
        lot TEXT NOT NULL DEFAULT '', safe_to TEXT, degrees TEXT NOT NULL DEFAULT '', supplier TEXT NOT NULL DEFAULT '',
        by TEXT NOT NULL, station TEXT NOT NULL) STRICT""",
    "CREATE INDEX goods_counted_at ON goods_counted (goods, at)",
)


def change(db: Connection) -> None:
    for statement in TABLES:
        db.execute(statement)
