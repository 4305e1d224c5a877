"""Beside its words a line of the log keeps what its action left: digests of its moves, its readings and its rows."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("ALTER TABLE log ADD COLUMN holds TEXT NOT NULL DEFAULT ''")
    db.execute(
        "INSERT OR REPLACE INTO settings (name, value)"
        " VALUES ('sealed from', (SELECT CAST(coalesce(max(number), 0) AS TEXT) FROM actions))"
    )
