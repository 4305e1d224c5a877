"""What only undo needs goes, once nothing of it can be undone: the rows that an action changed, before and after.

They are by far the most that a plate leaves in the file. The record stays: actions, moves, readings, the log.
"""

from __future__ import annotations

import time
from datetime import timedelta
from sqlite3 import Connection

from prepboard.store.file.times import instant_text
from prepboard.store.kitchen_file import KitchenFile

REACH = timedelta(days=7)
"""So far back a change can be undone (common practice, no source: who has not missed it for a week sets it anew)."""

UNDO_AFTER = "undo reaches back to"
"""The setting that keeps the number of the last action that can no longer be undone."""

AT_ONCE, BREATH = 2_000, 0.05
"""So many rows go in one transaction, and so many seconds the stations have between two."""

LAST_OLD = """
    SELECT number FROM actions WHERE coalesce(nullif(entered, ''), at) < ? ORDER BY number DESC LIMIT 1"""
"""Looked for from the newest on: only what is kept is passed over."""

OLDEST = """
    SELECT changes.number, actions.number FROM changes JOIN actions ON actions.id = changes.action
    ORDER BY changes.number LIMIT ?"""


def undo_after(db: Connection) -> int:
    """The number of the last action that can no longer be undone; 0 while all can."""
    found = db.execute("SELECT value FROM settings WHERE name = ?", [UNDO_AFTER]).fetchone()
    return int(found[0]) if found else 0


def let_go(file: KitchenFile, breath: float = BREATH) -> int:
    """Lets go of what can no longer be undone, little by little; answers how many rows went."""
    with file.glance() as db:
        old = db.execute(LAST_OLD, [instant_text(file.clock.now() - REACH)]).fetchone()
        upto = old[0] if old else 0
        known = undo_after(db)
    if upto > known:
        with file.writing() as db:
            if upto > undo_after(db):
                db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)", [UNDO_AFTER, str(upto)])
    gone = 0
    while n := _some(file):
        gone += n
        time.sleep(breath)
    return gone


def _some(file: KitchenFile) -> int:
    with file.writing() as db:
        last = undo_after(db)
        old = [row for row, action in db.execute(OLDEST, [AT_ONCE]) if action <= last]
        if old:
            # They were written one after the other, so those that go stand together.
            db.execute("DELETE FROM changes WHERE number <= ?", [old[-1]])
    return len(old)
