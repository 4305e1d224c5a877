"""What the kitchen does for its file by itself, while stations work: copies, one check a business day, and letting go
of what only undo needed once nothing of it can be undone.

Whichever board or command changed something does it, after it has answered; a claim in the file keeps the others from
doing it too.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime, timedelta
from functools import partial
from sqlite3 import Connection

import msgspec
from msgspec import Struct

from prepboard.store.file import chain
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.times import instant, instant_text
from prepboard.store.health.copies import copy_if_due
from prepboard.store.health.health import faults_in, faults_since, now_in
from prepboard.store.health.letting_go import let_go
from prepboard.store.health.whole import FROM_THE_FIRST, Progress, Since
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.snapshot import newest_book
from prepboard.texts import keeping, told

CHECKED = "file checked"
"""The setting that keeps what the last check by itself found."""

CLAIM = "file check begun"
"""The setting that keeps when a station last began to check the file by itself."""

GIVEN_UP = timedelta(hours=1)
"""A check that was begun and has no outcome for so long was killed."""

SMALL = 5_000
"""Lines of the log up to which the file is checked whole every day; a larger one from the last checked line on."""

LARGE = 200_000
"""Lines beyond which the very first check by itself begins where the file stands: all of it would take a board's or a
command's time for minutes, and is for `prepboard check`."""

NAMED = 5
"""So many faults are kept in words; the rest is counted."""


class Checked(Struct, frozen=True):
    """What the last check by itself found."""

    at: str
    """When, as the file keeps instants."""
    whole: bool
    """Whether it went through everything, or through what came since the check before."""
    since: Since
    """Where the next one begins."""
    faults: tuple[str, ...] = ()
    more: int = 0
    """Faults beyond those that are named."""


def tend(file: KitchenFile, *, wrote: bool = True) -> None:
    """Does what is due. A file that cannot be read or written now is tended later; nobody waits for it."""
    with suppress(StoreFault, OSError):
        if file.clock.set_by_hand:
            return
        if wrote:
            copy_if_due(file)
        if check_if_due(file):
            let_go(file)


def check_if_due(file: KitchenFile) -> Checked | None:
    """Checks the file, once a business day; None where that was done, or another station is at it."""
    if not _claim(file):
        return None
    with file.glance() as db:
        found = checked(db, last_checked(db), file.clock.now())
    keep_checked(file, found)
    return found


def check_now(
    file: KitchenFile, seal: str | None = None, *, whole: bool = True, progress: Progress | None = None
) -> list[str]:
    """Checks the file because somebody asks, and answers what is wrong, a sentence each. A `seal` from a printed record
    must be that of its line. What is found is kept as if it had been found by itself, but not in a drill."""
    with file.glance() as db:
        before, came_to, now = last_checked(db), now_in(db), file.clock.now()
        since = before.since if before else FROM_THE_FIRST
        whole = whole or since == FROM_THE_FIRST
        with keeping():
            wrong = faults_in(db, progress and partial(_say, progress)) if whole else faults_since(db, since)
        unlike = chain.unlike_seal(db, seal) if seal else []
    if not file.clock.set_by_hand:
        with suppress(StoreFault):
            keep_checked(file, outcome(now, wrong, came_to if not wrong else since, whole=whole))
    return [*map(told, wrong), *unlike]


def _say(progress: Progress, line: int, last: int) -> None:
    """How far it is, is said at once."""
    with keeping(False):
        progress(line, last)


def checked(db: Connection, before: Checked | None, now: datetime) -> Checked:
    """Checks what came since the check before; all of a small file. Where something is wrong the next check begins no
    later than this one did."""
    came_to = now_in(db)
    since = before.since if before else came_to if came_to.line > LARGE else FROM_THE_FIRST
    whole = since == FROM_THE_FIRST or came_to.line <= SMALL
    with keeping():
        wrong = faults_in(db) if whole else faults_since(db, since)
    return outcome(now, wrong, came_to if not wrong else since, whole=whole)


def outcome(now: datetime, wrong: list[str], since: Since, *, whole: bool) -> Checked:
    """What a check found, as it is kept."""
    return Checked(instant_text(now), whole, since, tuple(wrong[:NAMED]), max(0, len(wrong) - NAMED))


def keep_checked(file: KitchenFile, found: Checked) -> None:
    with file.writing() as db:
        _set(db, CHECKED, msgspec.json.encode(found).decode())


def last_checked(db: Connection) -> Checked | None:
    """What the last check by itself found; None before the first one."""
    kept = db.execute("SELECT value FROM settings WHERE name = ?", [CHECKED]).fetchone()
    if not kept:
        return None
    try:
        return msgspec.json.decode(kept[0], type=Checked)
    except msgspec.DecodeError:
        return None  # Kept by another program, or changed by hand: everything is checked again.


def _claim(file: KitchenFile) -> bool:
    """Whether this station is the one that checks now."""
    now = file.clock.now()
    with file.glance() as db:
        if not _wanted(file, db, now):
            return False
    with file.writing() as db:
        if not _wanted(file, db, now):
            return False
        _set(db, CLAIM, instant_text(now))
    return True


def _wanted(file: KitchenFile, db: Connection, now: datetime) -> bool:
    if not db.execute("SELECT 1 FROM book LIMIT 1").fetchone():
        return False
    today = file.book(db, newest_book(db)).kitchen.days.business_day
    last = last_checked(db)
    if last and today(instant(last.at)) == today(now):
        return False
    begun = db.execute("SELECT value FROM settings WHERE name = ?", [CLAIM]).fetchone()
    return begun is None or abs(now - instant(begun[0])) > GIVEN_UP


def _set(db: Connection, name: str, value: str) -> None:
    db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)", [name, value])
