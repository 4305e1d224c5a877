"""Copies that the kitchen makes by itself: at the first change of an hour and once a close is signed, each looked
through from end to end, a number of them kept, and where the book says so also in a second folder.

They lie in a folder beside the file, named by the moment: kitchen-copies/kitchen-2026-10-31T140512Z.db. A copy that is
on the same disk helps against a slip and not against a dead disk: that is what the second folder is for.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import time
from collections.abc import Iterable
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from sqlite3 import Connection

from msgspec import Struct

from prepboard.book.book import Book
from prepboard.store.file.copying import copy, only_reading
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.times import instant, instant_text
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.snapshot import newest_book
from prepboard.texts import _, keeping, some, told

KEPT_DAYS = 14
"""Beside the number of copies that the book says, of so many last days the last one of the day is kept."""

OLD = timedelta(days=1)
"""A last good copy that is older is said on the sous chef's board."""

ABANDONED = 600.0
"""Seconds after which a copy that nobody writes on any more is no copy under way: whoever made it was killed."""

ROOM = 100_000_000
"""Bytes that stay free on the disk, or as many as the file has: a full disk stops all work, an older copy does not."""

TROUBLE = "copies"
"""The setting that keeps what the copies by themselves could not do."""


class Trouble(Struct, frozen=True):
    """What could not be done when a copy was last due, in words; "" where nothing is wrong."""

    here: str = ""
    """Why there is no good copy beside the file."""
    second: str = ""
    """Why there is none in the second folder."""


def folder_of(file: KitchenFile) -> Path:
    return file.path.with_name(f"{file.path.stem}-copies")


def copies(file: KitchenFile, folder: Path | None = None) -> list[Path]:
    """The finished copies that are in the folder beside the file, or in another one, the oldest first."""
    try:
        return sorted((folder or folder_of(file)).glob(f"{file.path.stem}-????-??-??T??????Z.db"))
    except OSError:
        return []


def copied_at(copy_: Path) -> datetime:
    return datetime.fromisoformat(f"{copy_.stem[-18:-1]}+00:00")


def copy_if_due(file: KitchenFile) -> Path | None:
    """Makes the copy that is due; None where none is, or another station is making it. What cannot be done is kept for
    the boards, and work goes on. A kitchen whose clock was set by hand is a drill, and makes none."""
    if file.clock.set_by_hand:
        return None
    with file.glance() as db:
        if not db.execute("SELECT 1 FROM book LIMIT 1").fetchone():
            return None
        book, known = file.book(db, newest_book(db)), trouble(db)
        if not _is_due(file, db, book) or _under_way(file):
            return None
    made, here, second = None, "", known.second
    with keeping():
        try:
            made = _make(file)
        except (StoreFault, OSError) as fault:
            here = _why(fault)
        if made:
            second = _second(made, book.kitchen.copies_also_to, file)
    if made:
        for folder in (folder_of(file), Path(book.kitchen.copies_also_to or folder_of(file))):
            _let_go(copies(file, folder), book.kitchen.copies_kept)
    _keep_trouble(file, known, Trouble(here, second))
    return made


def trouble(db: Connection) -> Trouble:
    """What could not be done the last time, as its facts."""
    found = db.execute("SELECT value FROM settings WHERE name = ?", [TROUBLE]).fetchone()
    return Trouble(**json.loads(found[0])) if found else Trouble()


def _is_due(file: KitchenFile, db: Connection, book: Book) -> bool:
    there = copies(file)
    if not there:
        return True
    last = instant_text(copied_at(there[-1]))
    return last[:13] != instant_text(file.clock.now())[:13] or last < _signed_at(db, book)


def _signed_at(db: Connection, book: Book) -> str:
    """When the last station signed the newest close that all have signed; "" where there is none such."""
    signed = "SELECT station, at FROM signed WHERE day = (SELECT max(day) FROM signed)"
    at = dict(db.execute(signed).fetchall())
    return max(at.values()) if at and at.keys() >= book.stations.keys() else ""


def _under_way(file: KitchenFile) -> bool:
    """Whether a station is making a copy just now; what one that was killed left is cleared away."""
    found = False
    for part in folder_of(file).glob(f"{file.path.stem}-????-??-??T??????Z.db.part"):
        with suppress(OSError):
            if time.time() - part.stat().st_mtime < ABANDONED:
                found = True
            else:
                part.unlink()
    return found


def _make(file: KitchenFile) -> Path:
    """One good copy beside the file. StoreFault when it could not be made or is not good."""
    made = folder_of(file) / f"{file.path.stem}-{instant_text(file.clock.now()).replace(':', '')}.db"
    part = made.with_name(f"{made.name}.part")
    try:
        made.parent.mkdir(exist_ok=True)
    except OSError as fault:
        raise StoreFault(_("no copy at {file}: {why}").format(file=made, why=fault.strerror)) from None
    _leave_room(file.path.stat().st_size, made.parent)
    copy(file.path, part)
    try:
        _look_through(part, file)
        part.replace(made)
    finally:
        part.unlink(missing_ok=True)
    return made


def _leave_room(size: int, folder: Path) -> None:
    """StoreFault where a copy would take the room on the disk that the kitchen's own writing needs."""
    free = shutil.disk_usage(folder).free
    if free - size < max(size, ROOM):
        said = _("the disk of {folder} has only {n} MB left, and the kitchen's own work needs them")
        raise StoreFault(said.format(folder=folder, n=free // 1_000_000))


def _look_through(made: Path, file: KitchenFile) -> None:
    """StoreFault unless the copy opens and every page, row and index of it is right."""
    with only_reading(made) as db:
        bad = [row[0] for row in db.execute("PRAGMA integrity_check(1)") if row[0] != "ok"]
    if bad:
        raise StoreFault(_("the copy of {file} is not good: {why}").format(file=file.path.name, why=bad[0]))


def _second(made: Path, also_to: str, file: KitchenFile) -> str:
    """Puts a good copy into the second folder too, and reads it back; answers why it could not be. The folder is never
    made: one on a stick that is not there would be on the machine's own disk."""
    if not also_to:
        return ""
    target = Path(also_to) / made.name
    part = target.with_name(f"{target.name}.part")
    try:
        if not target.parent.is_dir():
            return _("there is no folder {folder}").format(folder=target.parent)
        try:
            shutil.copyfile(made, part)
            with part.open("r+b") as written:
                os.fsync(written.fileno())
            if _digest(part) != _digest(made):
                return _("what was written to {file} reads back otherwise").format(file=target)
            part.replace(target)
        finally:
            part.unlink(missing_ok=True)
    except OSError as fault:
        return _("no copy at {file}: {why}").format(file=target, why=fault.strerror or fault)
    return ""


def _digest(path: Path) -> str:
    with path.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def _let_go(there: list[Path], kept: int) -> None:
    """Takes away all copies but the last `kept` and the last one of each of the last days."""
    last_of_day = {copied_at(one).date(): one for one in there}
    keep = {*there[-kept:], *sorted(last_of_day.values())[-KEPT_DAYS:]}
    for one in there:
        if one not in keep:
            with suppress(OSError):
                one.unlink()


def _why(fault: Exception) -> str:
    return str(fault.strerror or fault) if isinstance(fault, OSError) else str(fault)


def _keep_trouble(file: KitchenFile, before: Trouble, now: Trouble) -> None:
    """Keeps what could not be done, for all boards; nothing is written while it is the same."""
    if before == now:
        return
    values = json.dumps({"here": now.here, "second": now.second}, ensure_ascii=False)
    with suppress(StoreFault), file.writing() as db:
        db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)", [TROUBLE, values])


def said_of_copies(file: KitchenFile, db: Connection) -> Iterable[str]:
    """What a sous chef must know of the copies, a sentence each; nothing while all is well, and in a drill."""
    if file.clock.set_by_hand:
        return
    known = trouble(db)
    if old := too_old(file, db):
        yield old
    if known.here:
        yield _("no copy of the kitchen's file was made: {why}").format(why=told(known.here))
    if known.second:
        yield _("no copy in the second folder: {why}").format(why=told(known.second))


def too_old(file: KitchenFile, db: Connection) -> str:
    """That the last good copy is old, in words; "" while it is not, and in a drill."""
    there, now = copies(file), file.clock.now()
    if file.clock.set_by_hand:
        return ""
    if not there:
        first = db.execute("SELECT entered, at FROM actions ORDER BY number LIMIT 1").fetchone()
        if first is None or now - instant(first[0] or first[1]) <= OLD:
            return ""
        return _("there is no copy of the kitchen's file: make one with `prepboard backup`")
    if now - copied_at(there[-1]) <= OLD:
        return ""
    days = some("{n} day", "{n} days", (now - copied_at(there[-1])).days)
    said = _("the last good copy of the kitchen's file is {days} old: make one with `prepboard backup`")
    return said.format(days=days)
