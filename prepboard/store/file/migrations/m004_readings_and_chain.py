"""Readings as they are judged, the code's corrective actions, and the log as a chain."""

from __future__ import annotations

import hashlib
import json
from sqlite3 import Connection

from prepboard.store.file.migrations.only_added import CHANGES, only_added

# What was measured, and what it was judged as at the time: a later book changes neither. A reading that was taken back
# stays; it counts no more because its action is undone.
READINGS = (
    "DROP TABLE readings",
    """CREATE TABLE readings (
        number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
        by TEXT NOT NULL, station TEXT NOT NULL, of TEXT NOT NULL,
        kind TEXT NOT NULL CHECK (kind IN ('batch', 'run', 'place', 'goods')),
        degrees TEXT NOT NULL, unit TEXT NOT NULL CHECK (unit IN ('C', 'F')), meant TEXT NOT NULL DEFAULT '',
        held_to TEXT NOT NULL DEFAULT '', ok INTEGER) STRICT""",
    "CREATE INDEX readings_of ON readings (kind, of, at)",
    "CREATE INDEX readings_at ON readings (at)",
    # The code's corrective action, done; `what` is the limit that was missed.
    """CREATE TABLE corrections (
        number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
        by TEXT NOT NULL, station TEXT NOT NULL, batch TEXT NOT NULL REFERENCES batches (code),
        what TEXT NOT NULL, how TEXT NOT NULL) STRICT""",
    "CREATE INDEX corrections_of ON corrections (batch, at)",
    *(only_added(table, done, change) for table in ("readings", "corrections") for done, change in CHANGES),
)

LINES = """
    SELECT number, action, at, by, role, station, did, batch, prep, dish, before, after, why FROM log ORDER BY number"""


def change(db: Connection) -> None:
    for statement in READINGS:
        db.execute(statement)
    db.execute("DROP TRIGGER log_are_never_changed")
    db.execute("ALTER TABLE log ADD COLUMN chain TEXT NOT NULL DEFAULT ''")
    number, before = 0, ""
    for number, *words in db.execute(LINES).fetchall():
        line = json.dumps([before, number, *words], ensure_ascii=False, separators=(",", ":"))
        before = hashlib.sha256(line.encode("utf-8")).hexdigest()
        db.execute("UPDATE log SET chain = ? WHERE number = ?", [before, number])
    db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES ('log seal', ?)", [f"{number} {before}"])
    db.execute(only_added("log", "changed", "UPDATE"))
