"""A run may stand in another piece of equipment than its recipe says: as JSON, what it stands in instead of what."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute(
        "ALTER TABLE runs ADD COLUMN other_places TEXT NOT NULL DEFAULT ''"
        " CHECK (other_places = '' OR json_valid(other_places))"
    )
