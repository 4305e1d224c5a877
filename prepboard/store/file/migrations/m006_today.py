"""What is different on one day, notes, tasks and signatures."""

from __future__ import annotations

from sqlite3 import Connection

TODAY = (
    # What is different on one business day, and goods that are not there until they arrive.
    """CREATE TABLE hands (
        day TEXT NOT NULL, station TEXT NOT NULL, n INTEGER NOT NULL CHECK (n >= 0),
        PRIMARY KEY (day, station)) STRICT""",
    """CREATE TABLE equipment_that_works (
        day TEXT NOT NULL, equipment TEXT NOT NULL, n INTEGER NOT NULL CHECK (n >= 0),
        PRIMARY KEY (day, equipment)) STRICT""",
    """CREATE TABLE given (
        day TEXT NOT NULL, prep TEXT NOT NULL, station TEXT NOT NULL, PRIMARY KEY (day, prep)) STRICT""",
    "CREATE TABLE missing (goods TEXT PRIMARY KEY, since TEXT NOT NULL, until TEXT) STRICT",
    # A sitting that the book does not have; without a name it is one of the book's services on a further day.
    """CREATE TABLE added_services (
        day TEXT NOT NULL, service TEXT NOT NULL, name TEXT NOT NULL DEFAULT '', starts TEXT NOT NULL DEFAULT '',
        ends TEXT NOT NULL DEFAULT '', covers INTEGER NOT NULL DEFAULT 0, like TEXT NOT NULL DEFAULT '',
        counts TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(counts)), over TEXT NOT NULL DEFAULT '0',
        PRIMARY KEY (day, service)) STRICT""",
    # Monday is 0.
    """CREATE TABLE standing_by_weekday (
        prep TEXT NOT NULL, weekday INTEGER NOT NULL CHECK (weekday BETWEEN 0 AND 6),
        amount INTEGER NOT NULL CHECK (amount >= 0), PRIMARY KEY (prep, weekday)) STRICT""",
    # Lines for the others; `whom` is a station's id, a run's code, or "" for the whole kitchen.
    """CREATE TABLE notes (
        number INTEGER PRIMARY KEY, at TEXT NOT NULL, by TEXT NOT NULL, station TEXT NOT NULL,
        whom TEXT NOT NULL, text TEXT NOT NULL, done_at TEXT, done_by TEXT) STRICT""",
    "CREATE INDEX notes_open ON notes (number) WHERE done_at IS NULL",
    "CREATE INDEX notes_done ON notes (done_at) WHERE done_at IS NOT NULL",
    """CREATE TABLE tasks_done (
        day TEXT NOT NULL, task TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL, station TEXT NOT NULL,
        degrees TEXT, unit TEXT CHECK (unit IN ('C', 'F')), PRIMARY KEY (day, task)) STRICT""",
    """CREATE TABLE signed (
        day TEXT NOT NULL, station TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL,
        PRIMARY KEY (day, station)) STRICT""",
)


def change(db: Connection) -> None:
    for statement in TODAY:
        db.execute(statement)
