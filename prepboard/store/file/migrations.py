"""The tables, and how older files get them.

Every table is STRICT and plain enough to be read in any SQLite browser: instants are UTC text, days ISO text,
amounts whole millionths of a gram, a millilitre or one each. `moves` and `log` are append-only by trigger.
A change of the tables is a new function at the end, named in `released.py` too; one that was released is never edited.
"""

from __future__ import annotations

from sqlite3 import Connection

from sqlite_utils import Database, Migrations

from prepboard.store.file import chain
from prepboard.store.file.released import APPLICATION_ID
from prepboard.store.file.tables_of_food import FOOD
from prepboard.store.file.tables_of_places import MOVES_AGAIN, PLACES

migrations = Migrations("prepboard")


def bring_up_to_date(db: Connection) -> None:
    """Carries out what the file lacks, in one transaction. Stations may start together: whoever comes second finds
    nothing left to do."""
    db.execute("BEGIN IMMEDIATE")
    migrations.apply(Database(db, execute_plugins=False))
    db.execute("COMMIT")


_CHANGES = (("changed", "UPDATE"), ("deleted", "DELETE"))


def _only_added(table: str, done: str, change: str) -> str:
    return (
        f"CREATE TRIGGER {table}_are_never_{done} BEFORE {change} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, '{table}: rows are only ever added'); END"
    )


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
    *(_only_added(table, done, change) for table in ("moves", "log") for done, change in _CHANGES),
)


@migrations()
def m001_the_first_tables(db: Database) -> None:
    for statement in FIRST_TABLES:
        db.execute(statement)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")


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


@migrations()
def m005_history(db: Database) -> None:
    for statement in HISTORY:
        db.execute(statement)


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


@migrations()
def m006_today(db: Database) -> None:
    for statement in TODAY:
        db.execute(statement)


CLOSE = (
    # Goods are not stocked: what is thrown away of them stands here, not among the moves.
    """CREATE TABLE goods_discarded (
        number INTEGER PRIMARY KEY, at TEXT NOT NULL, goods TEXT NOT NULL,
        amount INTEGER NOT NULL CHECK (amount > 0), why TEXT NOT NULL,
        by TEXT NOT NULL, station TEXT NOT NULL) STRICT""",
    "CREATE INDEX goods_discarded_at ON goods_discarded (at)",
    "CREATE INDEX moves_unsold ON moves (at) WHERE kind IN ('gone', 'discarded')",
    "CREATE INDEX plates_again ON plates (at) WHERE again != ''",
    "CREATE INDEX runs_ended ON runs (ended) WHERE ended IS NOT NULL",
)


@migrations()
def m007_close(db: Database) -> None:
    for statement in CLOSE:
        db.execute(statement)


@migrations()
def m008_checked_books(db: Database) -> None:
    """What this program made of each book: derived, and made again whenever it would read the texts otherwise."""
    db.execute(
        """CREATE TABLE checked_books (
            version INTEGER PRIMARY KEY REFERENCES book (version), form TEXT NOT NULL,
            checked TEXT NOT NULL CHECK (json_valid(checked))) STRICT"""
    )


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
    *(_only_added(table, done, change) for table in ("readings", "corrections") for done, change in _CHANGES),
)


@migrations()
def m004_readings_and_chain(db: Database) -> None:
    for statement in READINGS:
        db.execute(statement)
    db.execute("DROP TRIGGER log_are_never_changed")
    db.execute("ALTER TABLE log ADD COLUMN chain TEXT NOT NULL DEFAULT ''")
    number, before = 0, ""
    for row, _chain, *values in db.execute(chain.ALL).fetchall():
        number, before = row, chain.link(before, row, values)
        db.execute("UPDATE log SET chain = ? WHERE number = ?", [before, number])
    chain.keep_seal(db.conn, number, before)
    db.execute(_only_added("log", "changed", "UPDATE"))


@migrations()
def m002_schedules(db: Database) -> None:
    """Where the plan put each run's steps, by which size and ready-by, under a digest of what all of it was worked out
    from; `places` are the numbers of the equipment's places, "1" or "1,2"."""
    db.execute("DROP TABLE schedules")
    db.execute(
        """CREATE TABLE schedules (
            line TEXT NOT NULL, step INTEGER NOT NULL, size TEXT NOT NULL, ready_by TEXT NOT NULL,
            start_by TEXT NOT NULL, begins TEXT NOT NULL, hands_until TEXT NOT NULL, ends TEXT NOT NULL,
            places TEXT NOT NULL DEFAULT '', digest TEXT NOT NULL, PRIMARY KEY (line, step)) STRICT"""
    )


@migrations()
def m003_places(db: Database) -> None:
    for statement in (*MOVES_AGAIN, *PLACES):
        db.execute(statement)


@migrations()
def m020_food(db: Database) -> None:
    for statement in FOOD:
        db.execute(statement)
