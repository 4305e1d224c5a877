"""Whether the group answers. Whoever ships writes it down when that changes, and not more often: each entry wakes all
boards."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from sqlite3 import Connection

from prepboard.book.book import Kitchen
from prepboard.store.file.times import instant, instant_text
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction.saying import clock_time
from prepboard.texts import _

AWAY = "group not heard since"
"""The setting: when the group last answered, while it does not."""


def keep_group_heard(file: KitchenFile, heard: bool) -> None:
    """That the group answers, or does not from now on. Writes only where that is new."""
    with file.looking() as db:
        known = db.execute("SELECT 1 FROM settings WHERE name = ?", [AWAY]).fetchone() is None
    if known == heard:
        return
    with file.writing() as db:
        if heard:
            db.execute("DELETE FROM settings WHERE name = ?", [AWAY])
        else:
            since = instant_text(file.clock.now())
            db.execute("INSERT OR IGNORE INTO settings (name, value) VALUES (?, ?)", [AWAY, since])


def said_of_group(db: Connection, kitchen: Kitchen, now: datetime) -> Iterator[str]:
    """What a sous chef must know of the line, a sentence; nothing while it is there."""
    row = db.execute("SELECT value FROM settings WHERE name = ?", [AWAY]).fetchone()
    if row is not None:
        yield _("group not heard since {time}: what is done here is shipped later").format(
            time=clock_time(kitchen, instant(row[0]), now)
        )
