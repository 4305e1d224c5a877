"""What history learns and is told."""

from __future__ import annotations

from sqlite3 import Connection

HISTORY = (
    # What closed services taught, one row a dish, worked out up to the day that the setting "learned to" names.
    "CREATE TABLE learned (dish TEXT PRIMARY KEY, state TEXT NOT NULL CHECK (json_valid(state))) STRICT",
    # A new menu or recipe: what was learned of a dish before weighs less.
    "CREATE TABLE resets (day TEXT NOT NULL, dish TEXT NOT NULL, at TEXT NOT NULL, PRIMARY KEY (day, dish)) STRICT",
    # When nothing was left of a dish; `went_on` when plates of it went out all the same, so that the book was wrong.
    """CREATE TABLE ran_out (
        day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, at TEXT NOT NULL,
        went_on INTEGER NOT NULL DEFAULT 0, PRIMARY KEY (day, service, dish)) STRICT""",
    # `special` is a day that teaches nothing; `past` was counted elsewhere: only its dishes with plates were offered.
    "ALTER TABLE services ADD COLUMN special INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE services ADD COLUMN past INTEGER NOT NULL DEFAULT 0",
    # What is changed of a day that was learned makes all of it be learned anew.
    *(
        f"CREATE TRIGGER {table}_learned_anew_after_{change.lower()} AFTER {change} ON {table}"
        f" WHEN {row}.day <= (SELECT value FROM settings WHERE name = 'learned to')"
        " BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END"
        for table in ("plates", "services", "counts", "taken_off", "ran_out", "resets")
        for change, row in (("INSERT", "NEW"), ("UPDATE", "NEW"), ("DELETE", "OLD"))
    ),
)


def change(db: Connection) -> None:
    for statement in HISTORY:
        db.execute(statement)
