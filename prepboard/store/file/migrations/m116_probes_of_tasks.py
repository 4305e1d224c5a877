"""Which probe a task's reading was taken with, where it reads no place of the book."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("ALTER TABLE tasks_done ADD COLUMN probe TEXT NOT NULL DEFAULT '' COLLATE NOCASE")
    db.execute("CREATE INDEX tasks_done_with ON tasks_done (probe, at) WHERE probe != ''")
    db.execute("CREATE INDEX probe_checks_at ON probe_checks (at)")
