"""A line of the log is found by the moment of its action: the index by action goes."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("DROP INDEX IF EXISTS log_of_action")
