"""What the one answer about food needs: marks worked out of the records, withdrawals, lots typed later, two moments."""

from __future__ import annotations

from sqlite3 import Connection

FOOD = (
    # What is known of each batch and each run, worked out of everything else and worked out again when that changes.
    """CREATE TABLE food (
        kind TEXT NOT NULL CHECK (kind IN ('batch', 'run')), code TEXT NOT NULL,
        marks TEXT NOT NULL CHECK (json_valid(marks)), PRIMARY KEY (kind, code)) STRICT""",
    # A batch, or goods of one lot or of all lots, that may not be used: what is downstream follows from it.
    """CREATE TABLE withdrawals (
        number INTEGER PRIMARY KEY, at TEXT NOT NULL, by TEXT NOT NULL, batch TEXT NOT NULL DEFAULT '',
        goods TEXT NOT NULL DEFAULT '', lot TEXT NOT NULL DEFAULT '', why TEXT NOT NULL,
        lifted_at TEXT, lifted_by TEXT NOT NULL DEFAULT '', lifted_why TEXT NOT NULL DEFAULT '') STRICT""",
    # The lot of goods that went into a run without a pack on record, typed from the pack afterwards.
    """CREATE TABLE run_lots (
        run TEXT NOT NULL REFERENCES runs (code), goods TEXT NOT NULL, lot TEXT NOT NULL,
        PRIMARY KEY (run, goods)) STRICT""",
    # When an entry was typed, and the record that a late reading was typed from.
    "ALTER TABLE actions ADD COLUMN entered TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE readings ADD COLUMN entered TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE readings ADD COLUMN from_record TEXT NOT NULL DEFAULT ''",
    "CREATE INDEX actions_taken_back ON actions (undone_by) WHERE undone_by IS NOT NULL",
)


def change(db: Connection) -> None:
    for statement in FOOD:
        db.execute(statement)
