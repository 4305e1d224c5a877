"""What there is to say about the kitchen's file itself: its size, who may write to it, its copies, its checks."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from sqlite3 import Connection

from msgspec import Struct

from prepboard.book.book import Kitchen
from prepboard.store.file import chain
from prepboard.store.file.permissions import who_may_write
from prepboard.store.file.times import instant
from prepboard.store.health.book_faults import said_of_book
from prepboard.store.health.clocks import said_of_clock
from prepboard.store.health.copies import OLD, copied_at, copies, folder_of, said_of_copies, trouble
from prepboard.store.health.group_line import said_of_group
from prepboard.store.health.upkeep import Checked, last_checked
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.snapshot import newest_book
from prepboard.store.transaction.saying import clock_time
from prepboard.texts import _, decimal, recognized, some, told


class Fact(Struct, frozen=True):
    """One thing about the file."""

    key: str
    """For scripts."""
    what: str
    said: str
    ok: bool = True
    """Whether nobody need do anything about it."""


class About(Struct, frozen=True):
    """The file, as it stands."""

    facts: tuple[Fact, ...]
    wrong: tuple[str, ...]
    """What a sous chef must know of it, a sentence each."""
    brief: tuple[str, ...]
    """That it was checked and copied, and when, in a few words each."""


def about(file: KitchenFile) -> About:
    """All of it, from whatever thread. StoreFault when the file cannot be read."""
    now = file.clock.now()
    with file.glance() as db:
        kitchen = file.book(db, newest_book(db)).kitchen
        checked = last_checked(db)
        facts = (*_itself(file, db), *_of_copies(file, db, kitchen, now), _of_the_check(checked, kitchen, now))
        wrong = [
            *said_of_book(db),
            *said_of_group(db, kitchen, now),
            *said_of_clock(file, db),
            *said_of_copies(file, db),
        ]
        if checked and checked.faults:
            wrong.append(_found(checked, kitchen, now))
        return About(facts, tuple(wrong), _brief(file, checked, kitchen, now))


def _itself(file: KitchenFile, db: Connection) -> Iterator[Fact]:
    size = sum(_size(file.path.with_name(file.path.name + beside)) for beside in ("", "-wal", "-shm"))
    yield Fact("file", _("file"), str(file.path))
    yield Fact("size", _("size"), _("{n} MB").format(n=decimal(f"{size / 1e6:.1f}")))
    yield Fact("may_write", _("who may write"), who_may_write(file.path))
    yield Fact("seal", _("seal of the log"), chain.seal(db))


def _of_copies(file: KitchenFile, db: Connection, kitchen: Kitchen, now: datetime) -> Iterator[Fact]:
    there, known = copies(file), trouble(db)
    said = _("none yet")
    if there:
        newest = clock_time(kitchen, copied_at(there[-1]), now)
        said = _("{n} in {folder}, the last one of {when}").format(n=len(there), folder=folder_of(file), when=newest)
    fresh = bool(there) and now - copied_at(there[-1]) <= OLD
    yield Fact("copies", _("copies"), told(known.here) or said, not known.here and (fresh or file.clock.set_by_hand))
    if not kitchen.copies_also_to:
        yield Fact("second_folder", _("second folder"), _("none: the book's copies_also_to names one"))
        return
    second = Path(kitchen.copies_also_to)
    said = told(known.second) or _("{n} in {folder}").format(n=len(copies(file, second)), folder=second)
    if not known.second and _same_disk(file.path, second):
        said = _("{said}, which is on the same disk as the file").format(said=said)
    yield Fact("second_folder", _("second folder"), said, not known.second)


def _of_the_check(checked: Checked | None, kitchen: Kitchen, now: datetime) -> Fact:
    what = _("checked by itself")
    if checked is None:
        return Fact("checked", what, _("not yet"))
    if checked.faults:
        return Fact("checked", what, _found(checked, kitchen, now), ok=False)
    part = _("{when}: all of it is as it was written")
    if not checked.whole:
        part = _("{when}: what came since the check before is as it was written; `prepboard check` goes through all")
    return Fact("checked", what, part.format(when=clock_time(kitchen, instant(checked.at), now)))


def _found(checked: Checked, kitchen: Kitchen, now: datetime) -> str:
    said = _("the check of {when} found {faults} in the kitchen's file (`prepboard check` names them): {first}")
    faults = some("{n} fault", "{n} faults", len(checked.faults) + checked.more)
    return said.format(
        when=clock_time(kitchen, instant(checked.at), now), faults=faults, first=recognized(checked.faults[0])
    )


def _brief(file: KitchenFile, checked: Checked | None, kitchen: Kitchen, now: datetime) -> tuple[str, ...]:
    there, said = copies(file), []
    if checked and not checked.faults:
        said.append(_("file checked {when}").format(when=clock_time(kitchen, instant(checked.at), now)))
    if there:
        said.append(_("copied {when}").format(when=clock_time(kitchen, copied_at(there[-1]), now)))
    return tuple(said)


def _same_disk(one: Path, other: Path) -> bool:
    try:
        return one.stat().st_dev == other.stat().st_dev
    except OSError:
        return False


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0
