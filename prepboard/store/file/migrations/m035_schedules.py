"""Placements as a row a line, which an action changes and an undo puts back like any other row."""

from __future__ import annotations

from sqlite3 import Connection

SCHEDULES = """CREATE TABLE schedules (
    line TEXT PRIMARY KEY, size TEXT NOT NULL, ready_by TEXT, due TEXT,
    steps TEXT NOT NULL CHECK (json_valid(steps))) STRICT"""
"""Where the plan put a line's steps, or those of a run under way ("run." and its code); what was kept so far is worked
out again."""


def change(db: Connection) -> None:
    db.execute("DROP TABLE schedules")
    db.execute(SCHEDULES)
