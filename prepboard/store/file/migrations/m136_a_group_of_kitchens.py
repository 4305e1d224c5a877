"""What a kitchen of a group keeps: what left on a van and what came, what is held back elsewhere, orders."""

from __future__ import annotations

from sqlite3 import Connection
from uuid import uuid4

TABLES = (
    # One thing that goes from one kitchen to another. Each half is the word of the kitchen whose it is: what left is
    # the sender's, what came the receiver's; either may be known here first. `sent` is the whole of the first half.
    """CREATE TABLE transfers (
        id TEXT PRIMARY KEY, note TEXT NOT NULL, sender TEXT NOT NULL, receiver TEXT NOT NULL,
        van TEXT NOT NULL DEFAULT '', day TEXT NOT NULL DEFAULT '', batch TEXT NOT NULL, prep TEXT NOT NULL,
        name TEXT NOT NULL, unit TEXT NOT NULL, amount INTEGER NOT NULL CHECK (amount >= 0), sent TEXT NOT NULL,
        sent_at TEXT NOT NULL, sent_by TEXT NOT NULL, sent_in TEXT NOT NULL DEFAULT '',
        back_at TEXT, back_by TEXT NOT NULL DEFAULT '', back_in TEXT NOT NULL DEFAULT '',
        got TEXT NOT NULL DEFAULT '' CHECK (got IN ('', 'taken in', 'refused')), got_amount INTEGER,
        got_at TEXT, got_by TEXT NOT NULL DEFAULT '', got_degrees TEXT NOT NULL DEFAULT '',
        got_why TEXT NOT NULL DEFAULT '', got_in TEXT NOT NULL DEFAULT '', got_turn INTEGER NOT NULL DEFAULT 0,
        ours TEXT NOT NULL DEFAULT '',
        settled_at TEXT, settled_by TEXT NOT NULL DEFAULT '', settled_why TEXT NOT NULL DEFAULT '') STRICT""",
    "CREATE INDEX transfers_by_note ON transfers (note)",
    "CREATE INDEX transfers_by_batch ON transfers (batch)",
    "CREATE INDEX transfers_by_time ON transfers (sent_at)",
    "CREATE INDEX transfers_for_a_van ON transfers (day, van)",
    # What a batch that came is called where it came from; how many of its stays were there, the lots that went into it,
    # and the ends that it came with.
    """CREATE TABLE received_as (
        ours TEXT PRIMARY KEY REFERENCES batches (code), sender TEXT NOT NULL, code TEXT NOT NULL,
        transfer TEXT NOT NULL REFERENCES transfers (id), at TEXT NOT NULL, stays INTEGER NOT NULL,
        lots TEXT NOT NULL CHECK (json_valid(lots)), ends TEXT NOT NULL CHECK (json_valid(ends))) STRICT""",
    "CREATE INDEX received_as_theirs ON received_as (sender, code)",
    # What another kitchen holds back, whether or not anything of it is here; `withdrawal` is ours of it.
    """CREATE TABLE holds_kept (
        id TEXT PRIMARY KEY, sender TEXT NOT NULL, code TEXT NOT NULL DEFAULT '', goods TEXT NOT NULL DEFAULT '',
        lot TEXT NOT NULL DEFAULT '', why TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL,
        lifted_at TEXT, lifted_by TEXT NOT NULL DEFAULT '', lifted_why TEXT NOT NULL DEFAULT '',
        seen_at TEXT, seen_by TEXT NOT NULL DEFAULT '', seen_in TEXT NOT NULL DEFAULT '') STRICT""",
    "CREATE INDEX holds_kept_of ON holds_kept (sender, code)",
    # What the others were told that is held back here, each with the action that began it and the one that ended it.
    """CREATE TABLE holds_told (
        id TEXT PRIMARY KEY, of TEXT NOT NULL, receiver TEXT NOT NULL DEFAULT '', code TEXT NOT NULL DEFAULT '',
        goods TEXT NOT NULL DEFAULT '', lot TEXT NOT NULL DEFAULT '', why TEXT NOT NULL, at TEXT NOT NULL,
        by TEXT NOT NULL, told_in TEXT NOT NULL, lifted_at TEXT, lifted_by TEXT NOT NULL DEFAULT '',
        lifted_in TEXT NOT NULL DEFAULT '') STRICT""",
    "CREATE INDEX holds_told_in_force ON holds_told (of) WHERE lifted_at IS NULL",
    # Books for all kitchens, each from a business day on.
    """CREATE TABLE group_books (
        number INTEGER PRIMARY KEY, from_day TEXT NOT NULL, texts TEXT NOT NULL CHECK (json_valid(texts)),
        heard_at TEXT NOT NULL, taken_at TEXT) STRICT""",
    "ALTER TABLE withdrawals ADD COLUMN hold TEXT NOT NULL DEFAULT ''",
    """CREATE TABLE orders (
        id TEXT PRIMARY KEY, van TEXT NOT NULL, day TEXT NOT NULL, kitchen TEXT NOT NULL, maker TEXT NOT NULL,
        prep TEXT NOT NULL, amount INTEGER NOT NULL CHECK (amount >= 0), unit TEXT NOT NULL, at TEXT NOT NULL,
        by TEXT NOT NULL, ordered_in TEXT NOT NULL DEFAULT '', late INTEGER NOT NULL DEFAULT 0,
        answer TEXT NOT NULL DEFAULT '' CHECK (answer IN ('', 'yes', 'no')), answered_at TEXT,
        answered_by TEXT NOT NULL DEFAULT '', answer_why TEXT NOT NULL DEFAULT '',
        answered_in TEXT NOT NULL DEFAULT '') STRICT""",
    "CREATE INDEX orders_for_a_van ON orders (day, van)",
)

OLD_KINDS, NEW_KINDS = "'split', 'undone')", "'split', 'sent', 'received', 'undone')"
"""More words are allowed for a move. None that is there changes, so the table need not be made anew, which takes long
in a file of years: "Making Other Kinds Of Table Schema Changes", https://www.sqlite.org/lang_altertable.html."""


def change(db: Connection) -> None:
    for statement in TABLES:
        db.execute(statement)
    _allow_more_moves(db)
    for name in ("kitchen id", "file id"):
        db.execute("INSERT OR IGNORE INTO settings (name, value) VALUES (?, ?)", [name, uuid4().hex])


def _allow_more_moves(db: Connection) -> None:
    (sql,) = db.execute("SELECT sql FROM sqlite_master WHERE name = 'moves'").fetchone()
    assert OLD_KINDS in sql
    (schema,) = db.execute("PRAGMA schema_version").fetchone()
    db.execute("PRAGMA writable_schema = ON")
    db.execute("UPDATE sqlite_master SET sql = ? WHERE name = 'moves'", [sql.replace(OLD_KINDS, NEW_KINDS)])
    db.execute(f"PRAGMA schema_version = {schema + 1}")
    db.execute("PRAGMA writable_schema = RESET")
