"""An index of the few lines that say when the clock was set by hand: the record names the first of them."""

from __future__ import annotations

from sqlite3 import Connection


def change(db: Connection) -> None:
    db.execute("CREATE INDEX log_of_the_clock ON log (at) WHERE did = 'clock'")
