"""What was learned is worked out anew from the plates that are kept: a weekday counts as far as weekdays differ, a
level follows faster where the last evenings lean to one side."""

from __future__ import annotations

from sqlite3 import Connection

STATEMENTS = ("DELETE FROM learned", "DELETE FROM settings WHERE name = 'learned to'")


def change(db: Connection) -> None:
    for statement in STATEMENTS:
        db.execute(statement)
