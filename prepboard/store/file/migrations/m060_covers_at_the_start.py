"""What was booked when a service began, where its covers were set later: that, not the later number, is learned."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("ALTER TABLE services ADD COLUMN at_start INTEGER")
