"""Which changes of the tables this program knows, and which of them a file has.

Every start asks that; the library that carries the changes out (`prepboard.store.file.migrations`) is loaded only when
some are lacking.
"""

from __future__ import annotations

from pathlib import Path
from sqlite3 import Connection

APPLICATION_ID = 0x50524550
"""Stands in the file's header ("PREP"), so that another program's database is not taken for a kitchen."""

RELEASED = frozenset(path.stem for path in Path(__file__).with_name("migrations").glob("m[0-9][0-9][0-9]_*.py"))
"""The migrations that this program knows; a file that has others was written by a newer one."""


def applied(db: Connection) -> frozenset[str]:
    """The names of the migrations that a file has, as sqlite-utils keeps them; none in an empty file."""
    if db.execute("SELECT 1 FROM sqlite_master WHERE name = '_sqlite_migrations'").fetchone() is None:
        return frozenset()
    return frozenset(
        name for (name,) in db.execute("SELECT name FROM _sqlite_migrations WHERE migration_set = 'prepboard'")
    )
