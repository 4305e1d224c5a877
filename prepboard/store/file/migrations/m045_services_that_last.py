"""What a file keeps of a service beside its numbers: when it was ended or moved, and since when a dish is off."""

from __future__ import annotations

from sqlite3 import Connection

SERVICES_THAT_LAST = (
    # `ended` is the moment of the last plate; `moved_to` the wall-clock time at which it begins instead, "19:30".
    "ALTER TABLE services ADD COLUMN ended TEXT",
    "ALTER TABLE services ADD COLUMN moved_to TEXT",
    # "" where nobody kept the moment.
    "ALTER TABLE taken_off ADD COLUMN at TEXT NOT NULL DEFAULT ''",
    # A dish that was taken off for a while, and is back: the pace of its plates leaves that time out.
    """CREATE TABLE was_off (
        day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, since TEXT NOT NULL, until TEXT NOT NULL,
        PRIMARY KEY (day, service, dish, since)) STRICT""",
)


def change(db: Connection) -> None:
    for statement in SERVICES_THAT_LAST:
        db.execute(statement)
