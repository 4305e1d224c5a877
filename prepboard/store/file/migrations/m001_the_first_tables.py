"""The tables that every kitchen began with."""

from __future__ import annotations

from sqlite3 import Connection

from prepboard.store.file.migrations.only_added import CHANGES, only_added
from prepboard.store.file.released import APPLICATION_ID

FIRST_TABLES = (
    # What the file itself needs to know; `version` grows with every change.
    "CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT",
    "INSERT INTO settings VALUES ('version', '0')",
    """CREATE TABLE book (
        version INTEGER PRIMARY KEY, digest TEXT NOT NULL, loaded_at TEXT NOT NULL, by TEXT NOT NULL,
        texts TEXT NOT NULL CHECK (json_valid(texts))) STRICT""",
    # One row for each thing a person did; `id` is made by the station, so that a retry cannot count twice.
    """CREATE TABLE actions (
        number INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, at TEXT NOT NULL, by TEXT NOT NULL,
        station TEXT NOT NULL, did TEXT NOT NULL, answer TEXT NOT NULL DEFAULT '{}', undone_by TEXT) STRICT""",
    "CREATE INDEX actions_of ON actions (by, number)",
    # The rows that an action changed, before and after as JSON: what undo needs.
    """CREATE TABLE changes (
        number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), row_of TEXT NOT NULL,
        key TEXT NOT NULL, before TEXT, after TEXT) STRICT""",
    "CREATE INDEX changes_of_action ON changes (action)",
    "CREATE INDEX changes_of_row ON changes (row_of, key)",
    """CREATE TABLE log (
        number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
        by TEXT NOT NULL, role TEXT NOT NULL, station TEXT NOT NULL, did TEXT NOT NULL,
        batch TEXT NOT NULL DEFAULT '', prep TEXT NOT NULL DEFAULT '', dish TEXT NOT NULL DEFAULT '',
        before TEXT NOT NULL DEFAULT '', after TEXT NOT NULL DEFAULT '', why TEXT NOT NULL DEFAULT '') STRICT""",
    "CREATE INDEX log_at ON log (at)",
    """CREATE TABLE runs (
        code TEXT PRIMARY KEY, prep TEXT NOT NULL, size TEXT NOT NULL, line TEXT, need TEXT NOT NULL DEFAULT '',
        n INTEGER NOT NULL DEFAULT 0, need_day TEXT NOT NULL,
        book INTEGER NOT NULL REFERENCES book (version),
        state TEXT NOT NULL CHECK (state IN ('under way', 'done', 'lost', 'undone')),
        started TEXT NOT NULL, recorded INTEGER NOT NULL, ended TEXT, ended_by TEXT, ended_at_station TEXT,
        step INTEGER NOT NULL, step_began TEXT NOT NULL, step_ends TEXT NOT NULL DEFAULT '{}',
        taken TEXT NOT NULL DEFAULT '[]', first_day TEXT, outputs TEXT NOT NULL,
        by TEXT NOT NULL, station TEXT NOT NULL) STRICT""",
    "CREATE UNIQUE INDEX runs_one_a_line ON runs (line) WHERE line IS NOT NULL AND state != 'undone'",
    "CREATE INDEX runs_under_way ON runs (started) WHERE state = 'under way'",
    "CREATE INDEX runs_by_day ON runs (need_day, prep, need, n) WHERE line IS NOT NULL AND state != 'undone'",
    "CREATE INDEX runs_by_need ON runs (need, prep, n) WHERE line IS NOT NULL AND state != 'undone'",
    """CREATE TABLE batches (
        code TEXT PRIMARY KEY, prep TEXT NOT NULL, name TEXT NOT NULL DEFAULT '',
        run TEXT REFERENCES runs (code), state TEXT NOT NULL CHECK (state IN ('live', 'closed', 'undone')),
        left INTEGER NOT NULL CHECK (left >= 0), unit TEXT NOT NULL, made_at TEXT NOT NULL,
        day_one TEXT NOT NULL, passes_on TEXT, use_by TEXT, why TEXT NOT NULL,
        store TEXT NOT NULL, place TEXT NOT NULL, station TEXT NOT NULL, by TEXT NOT NULL,
        blocked TEXT NOT NULL DEFAULT '', set_aside TEXT NOT NULL DEFAULT '', frozen_at TEXT) STRICT""",
    "CREATE INDEX batches_live ON batches (prep, use_by) WHERE state = 'live'",
    "CREATE INDEX batches_of_run ON batches (run)",
    # Plates out; `back` of the `n` were taken back as a miscount, `again` says why a plate went out twice.
    """CREATE TABLE plates (
        number INTEGER PRIMARY KEY, at TEXT NOT NULL, service TEXT NOT NULL, day TEXT NOT NULL,
        dish TEXT NOT NULL, n INTEGER NOT NULL CHECK (n > 0), back INTEGER NOT NULL DEFAULT 0,
        again TEXT NOT NULL DEFAULT '', by TEXT NOT NULL, station TEXT NOT NULL) STRICT""",
    "CREATE INDEX plates_of_day ON plates (day, service, dish)",
    # Signed amounts, never changed: what is left of a batch is their sum. `gives_back` names the move it reverses.
    """CREATE TABLE moves (
        number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
        batch TEXT NOT NULL REFERENCES batches (code),
        kind TEXT NOT NULL CHECK (kind IN ('made', 'used', 'plated', 'counted', 'gone', 'discarded', 'undone')),
        amount INTEGER NOT NULL, run TEXT REFERENCES runs (code), plate INTEGER REFERENCES plates (number),
        why TEXT NOT NULL DEFAULT '', gives_back INTEGER REFERENCES moves (number)) STRICT""",
    "CREATE INDEX moves_of_batch ON moves (batch, amount)",
    "CREATE INDEX moves_of_action ON moves (action)",
    "CREATE INDEX moves_of_plate ON moves (plate) WHERE plate IS NOT NULL",
    "CREATE INDEX moves_given_back ON moves (gives_back) WHERE gives_back IS NOT NULL",
    # What is set for one sitting; what has no row is the book's.
    """CREATE TABLE services (
        day TEXT NOT NULL, service TEXT NOT NULL, covers INTEGER, came INTEGER,
        percent INTEGER NOT NULL DEFAULT 0, cancelled INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (day, service)) STRICT""",
    """CREATE TABLE mixes (
        day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, share TEXT NOT NULL,
        PRIMARY KEY (day, service, dish)) STRICT""",
    """CREATE TABLE counts (
        day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, n INTEGER NOT NULL CHECK (n >= 0),
        PRIMARY KEY (day, service, dish)) STRICT""",
    """CREATE TABLE pars (
        day TEXT NOT NULL, service TEXT NOT NULL, prep TEXT NOT NULL, amount INTEGER NOT NULL CHECK (amount >= 0),
        PRIMARY KEY (day, service, prep)) STRICT""",
    """CREATE TABLE standing_pars (
        prep TEXT PRIMARY KEY, amount INTEGER NOT NULL CHECK (amount >= 0)) STRICT""",
    """CREATE TABLE taken_off (
        day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, why TEXT NOT NULL,
        PRIMARY KEY (day, service, dish)) STRICT""",
    """CREATE TABLE portions (
        day TEXT NOT NULL, dish TEXT NOT NULL, prep TEXT NOT NULL, amount INTEGER NOT NULL CHECK (amount >= 0),
        PRIMARY KEY (day, dish, prep)) STRICT""",
    # Where the plan put each run's steps, under a digest of what that was worked out from.
    """CREATE TABLE schedules (
        line TEXT NOT NULL, step INTEGER NOT NULL, size TEXT NOT NULL, begins TEXT NOT NULL,
        hands_until TEXT NOT NULL, ends TEXT NOT NULL, digest TEXT NOT NULL, PRIMARY KEY (line, step)) STRICT""",
    """CREATE TABLE shorts (
        day TEXT NOT NULL, prep TEXT NOT NULL, need TEXT NOT NULL, since TEXT NOT NULL,
        PRIMARY KEY (day, prep, need)) STRICT""",
    """CREATE TABLE readings (
        number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
        by TEXT NOT NULL, station TEXT NOT NULL, of TEXT NOT NULL, kind TEXT NOT NULL,
        degrees TEXT NOT NULL, unit TEXT NOT NULL CHECK (unit IN ('C', 'F')), why TEXT NOT NULL DEFAULT '') STRICT""",
    *(only_added(table, done, change) for table in ("moves", "log") for done, change in CHANGES),
)


def change(db: Connection) -> None:
    for statement in FIRST_TABLES:
        db.execute(statement)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
