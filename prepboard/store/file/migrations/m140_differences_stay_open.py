"""Of a transfer that somebody answers for, the action by which they did: the other kitchen hears of it. What nobody has
answered for yet is found however long ago it left, and what an action told other kitchens without reading all that ever
went between them."""

from __future__ import annotations

from sqlite3 import Connection

OPEN = """settled_at IS NULL AND (got = '' AND back_at IS NULL OR got = 'refused' AND back_at IS NULL
    OR got = 'taken in' AND (back_at IS NOT NULL OR got_amount < amount))"""


TOLD_BY = (
    ("transfers", "sent_in"), ("transfers", "back_in"), ("transfers", "got_in"), ("transfers", "settled_in"),
    ("holds_told", "told_in"), ("holds_told", "lifted_in"), ("holds_kept", "seen_in"),
    ("orders", "ordered_in"), ("orders", "answered_in"),
)  # fmt: skip
"""Columns that name the action by which something was told; empty for what was not, or not yet."""


def change(db: Connection) -> None:
    db.execute("ALTER TABLE transfers ADD COLUMN settled_in TEXT NOT NULL DEFAULT ''")
    for table, column in TOLD_BY:
        db.execute(f"CREATE INDEX {table}_{column} ON {table} ({column}) WHERE {column} != ''")
    db.execute(f"CREATE INDEX transfers_open ON transfers (sent_at) WHERE {OPEN}")
