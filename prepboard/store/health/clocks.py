"""What there is to say of a machine's clock beside what the file knows. Every board says it as it opens: nothing else
of the file's health is loaded for it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from sqlite3 import Connection

from prepboard.store.file.times import instant
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.snapshot import newest_book
from prepboard.store.transaction.saying import clock_time
from prepboard.texts import _

APART = timedelta(minutes=2)
"""So far two clocks may be apart without a word."""


def said_of_clock(file: KitchenFile, db: Connection) -> Iterator[str]:
    """That something was written later than it is now: a clock went back, or was wrong then."""
    now = file.clock.now()
    found = db.execute("SELECT entered, at, by FROM actions ORDER BY number DESC LIMIT 1").fetchone()
    if found is None or (last := instant(found[0] or found[1])) - now <= APART:
        return
    kitchen = file.book(db, newest_book(db)).kitchen
    said = _("the last entry is of {time}, and this machine's clock says {now}: one of them is wrong")
    yield said.format(time=clock_time(kitchen, last, now), now=clock_time(kitchen, now, now))
