"""Which probe a temperature was read with, and what each probe read in ice water or in boiling water."""

from __future__ import annotations

from sqlite3 import Connection

STATEMENTS = (
    "ALTER TABLE readings ADD COLUMN probe TEXT NOT NULL DEFAULT '' COLLATE NOCASE",
    """CREATE TABLE probe_checks (
        number INTEGER PRIMARY KEY, at TEXT NOT NULL, probe TEXT NOT NULL COLLATE NOCASE,
        water TEXT NOT NULL CHECK (water IN ('ice', 'boiling')), degrees TEXT NOT NULL,
        unit TEXT NOT NULL CHECK (unit IN ('C', 'F')), ok INTEGER NOT NULL, by TEXT NOT NULL, station TEXT NOT NULL,
        entered TEXT NOT NULL) STRICT""",
    "CREATE INDEX probe_checks_of ON probe_checks (probe, at)",
    "CREATE INDEX readings_with ON readings (probe, at) WHERE probe != ''",
)


def change(db: Connection) -> None:
    for statement in STATEMENTS:
        db.execute(statement)
