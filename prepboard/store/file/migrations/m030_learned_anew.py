"""What was learned is kept in another form: by usual evenings instead of covers, with a margin for the whole kitchen.
It follows from the plates that are kept, and is worked out anew from them."""

from __future__ import annotations

from sqlite3 import Connection

STATEMENTS = ("DELETE FROM learned", "DELETE FROM settings WHERE name = 'learned to'")


def change(db: Connection) -> None:
    for statement in STATEMENTS:
        db.execute(statement)
