"""What moved a line of the plan, and from when: a cook who is told another time is told why."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("ALTER TABLE schedules ADD COLUMN moved TEXT CHECK (moved IS NULL OR json_valid(moved))")
