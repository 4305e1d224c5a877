"""The tables, and how older files get them: one file a change, carried out in the order of their numbers.

Every table is STRICT and plain enough to be read in any SQLite browser: instants are UTC text, days ISO text,
amounts whole millionths of a gram, a millilitre or one each. `moves` and `log` are append-only by trigger.

A change of the tables is a new file here, `m042_what_it_brings.py`, with a function `change(db)`; it is found by
itself.
Its name is what files keep of it, so one that was released is never edited and never renamed, and it uses nothing of
other rooms that may change later. Programs learned the first eight in another order than that of their numbers: a
change that needs what a higher number brought asks whether it is there.
"""

from __future__ import annotations

from importlib import import_module
from sqlite3 import Connection

from prepboard.store.file.released import RELEASED, applied

CARRIED_OUT = (
    """CREATE TABLE IF NOT EXISTS "_sqlite_migrations" (
   "id" INTEGER PRIMARY KEY,
   "migration_set" TEXT,
   "name" TEXT,
   "applied_at" TEXT
)""",
    """CREATE UNIQUE INDEX IF NOT EXISTS "idx__sqlite_migrations_migration_set_name"
    ON "_sqlite_migrations" ("migration_set", "name")""",
)
"""The list of what a file has, word for word as sqlite-utils makes it, which did so for files up to now."""

NOTE = """INSERT INTO _sqlite_migrations (migration_set, name, applied_at)
          VALUES ('prepboard', ?, strftime('%Y-%m-%d %H:%M:%f000+00:00', 'now'))"""


def carry_out(db: Connection, name: str) -> None:
    """Carries one change out, and notes that the file has it."""
    import_module(f"{__name__}.{name}").change(db)
    db.execute(NOTE, [name])


def bring_up_to_date(db: Connection) -> None:
    """Carries out what the file lacks, in one transaction. Stations may start together: whoever comes second finds
    nothing left to do."""
    db.execute("BEGIN IMMEDIATE")
    for sql in CARRIED_OUT:
        db.execute(sql)
    for name in sorted(RELEASED - applied(db)):
        carry_out(db, name)
    db.execute("COMMIT")
