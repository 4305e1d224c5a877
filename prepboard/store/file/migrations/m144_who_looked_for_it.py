"""Which kitchens have looked for what is held back here; so far only the log said so."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute(
        "CREATE TABLE holds_seen (hold TEXT NOT NULL, kitchen TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL,"
        " PRIMARY KEY (hold, kitchen)) STRICT"
    )
