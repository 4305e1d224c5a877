"""Whose last change it was, in whatever letters the initials were written."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("CREATE INDEX actions_by ON actions (by COLLATE NOCASE, number)")
    db.execute("DROP INDEX actions_of")
