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

from sqlite_utils import Database, Migrations

from prepboard.store.file.released import RELEASED

migrations = Migrations("prepboard")


def _register(name: str) -> None:
    module = import_module(f"{__name__}.{name}")

    def carry_out(db: Database) -> None:
        module.change(db.conn)

    migrations(name=name)(carry_out)


for _name in sorted(RELEASED):
    _register(_name)


def bring_up_to_date(db: Connection) -> None:
    """Carries out what the file lacks, in one transaction. Stations may start together: whoever comes second finds
    nothing left to do."""
    db.execute("BEGIN IMMEDIATE")
    migrations.apply(Database(db, execute_plugins=False))
    db.execute("COMMIT")
