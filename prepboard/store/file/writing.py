"""The one way to write: a connection for writing alone, the write lock taken at once, and an end to waiting.

SQLite lets one connection write at a time. A transaction that takes the lock only at its first write can fail
without waiting at all, so every one here begins IMMEDIATE; and SQLite's own waiting is unfair when many wait, so
it is kept short and repeated with jitter until a deadline.
"""

from __future__ import annotations

import shlex
import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from random import SystemRandom
from sqlite3 import Connection
from typing import TypeVar

from prepboard.store.file.beside import copies_of, free_name
from prepboard.store.file.faults import NotSaved, StoreFault
from prepboard.store.file.notices import give_notice
from prepboard.texts import _

PATIENCE = 5.0
"""Seconds until a change that cannot be written is given up."""

ROOM = 256 * 1024
"""Bytes without which a disk is called full."""

ONE_WAIT = 0.25
"""Seconds that SQLite itself waits for the lock, each time."""

T = TypeVar("T")
_jitter = SystemRandom()


def connect(path: Path, *, any_thread: bool = False) -> Connection:
    """A connection to a file that exists. It commits nothing by itself and follows foreign keys. It belongs to this
    thread, or to `any_thread` that has it to itself."""
    db = sqlite3.connect(
        f"{path.as_uri()}?mode=rw", uri=True, isolation_level=None, timeout=ONE_WAIT, check_same_thread=not any_thread
    )
    db.execute("PRAGMA foreign_keys = ON")
    db.execute("PRAGMA synchronous = FULL")
    db.execute("PRAGMA journal_size_limit = 8000000")
    # A row that is replaced is deleted first, and must meet the triggers that keep the log whole.
    db.execute("PRAGMA recursive_triggers = ON")
    return db


class Idle:
    """Connections to one file that wait for their next transaction, which has one to itself in whatever thread: to open
    a new one, to have SQLite read all tables and compile each statement, takes longer than most changes do."""

    def __init__(self, path: Path, *, only_reading: bool = False) -> None:
        self._path = path
        self._only_reading = only_reading
        self._waiting: list[Connection] = []
        self._closed = False

    def take(self) -> Connection:
        """One that waits, else a new one."""
        try:
            return self._waiting.pop()
        except IndexError:
            db = connect(self._path, any_thread=True)
        if self._only_reading:
            db.execute("PRAGMA query_only = ON")
        return db

    def give_back(self, db: Connection) -> None:
        """Takes one back with which nothing went wrong."""
        self._waiting.append(db)
        if self._closed:
            self.close()

    def close(self) -> None:
        """Closes them, and whatever is given back from now on."""
        self._closed = True
        with suppress(IndexError):
            while True:
                self._waiting.pop().close()


def patiently(attempt: Callable[[], T], path: Path, patience: float = PATIENCE) -> T:
    """Tries until the file is free; NotSaved once that has taken longer than `patience` seconds."""
    deadline = time.monotonic() + patience
    while True:
        try:
            return attempt()
        except sqlite3.OperationalError as fault:
            if not _is_busy(fault):
                raise in_words(fault, path) from None
            if time.monotonic() >= deadline:
                raise NotSaved(
                    _("not saved: another program kept {file} locked for {seconds} s").format(
                        file=path.name, seconds=round(patience)
                    )
                ) from None
        except sqlite3.DatabaseError as fault:
            raise in_words(fault, path) from None
        time.sleep(_jitter.uniform(0.005, 0.05))


@contextmanager
def writing(path: Path, patience: float = PATIENCE, idle: Idle | None = None) -> Iterator[Connection]:
    """One transaction, over one of the `idle` connections. It is committed when the block ends, and taken back whole
    when the block raises."""
    waiting = idle or Idle(path)

    def begin() -> Connection:
        db = waiting.take()
        try:
            db.execute("BEGIN IMMEDIATE")
        except BaseException:
            db.close()
            raise
        return db

    db, went_well = patiently(begin, path, patience), False
    try:
        before = db.total_changes
        yield db
        changed = db.total_changes != before
        if changed:
            db.execute("UPDATE settings SET value = CAST(value AS INTEGER) + 1 WHERE name = 'version'")
        db.execute("COMMIT")
        went_well = True
        if changed:
            give_notice(path)
    except sqlite3.DatabaseError as fault:
        raise in_words(fault, path) from fault
    finally:
        # What is not committed by now is taken back as the connection closes.
        if went_well:
            waiting.give_back(db)
        else:
            db.close()
        if idle is None:
            waiting.close()


def _is_busy(fault: sqlite3.OperationalError) -> bool:
    return fault.sqlite_errorcode & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def in_words(fault: sqlite3.DatabaseError, path: Path, what: str = "") -> StoreFault:
    """SQLite's own fault as a sentence about the kitchen's file; `what` could not be done, else saving."""
    code = getattr(fault, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_CANTOPEN:
        return StoreFault(_("{file} cannot be opened; is it still there?").format(file=path))
    if code in (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT):
        return StoreFault(_damaged(path, fault))
    if code == sqlite3.SQLITE_READONLY:
        return NotSaved(_("not saved: {file} may not be written to").format(file=path))
    if code == sqlite3.SQLITE_FULL or (code == sqlite3.SQLITE_IOERR and _is_full(path)):
        return NotSaved(_("not saved: the disk that holds {file} is full; make room on it").format(file=path))
    if what:
        return StoreFault(_("{file} {what}: {why}").format(file=path, what=what, why=fault))
    return NotSaved(_("not saved: {file}: {why}").format(file=path.name, why=fault))


def _damaged(path: Path, fault: Exception) -> str:
    """What is wrong, and how the last copy comes into the file's place: a file that SQLite cannot open at all is not
    restored, since nobody can know what would be forgotten."""
    said, copies = _("{file} is damaged or not a kitchen's file ({why})"), copies_of(path)
    if copies:
        said = _(
            "{file} is damaged ({why}); close its boards, then put the last copy in its place: mv {quoted} {aside};"
            " rm -f {quoted}-wal {quoted}-shm; cp {copy} {quoted}"
        )
    aside = shlex.quote(str(free_name(path, "damaged", "1")))
    copy = shlex.quote(str(copies[-1])) if copies else ""
    return said.format(file=path, why=fault, quoted=shlex.quote(str(path)), aside=aside, copy=copy)


def _is_full(path: Path) -> bool:
    """What SQLite keeps beside a file finds no room: it calls that a fault of the disk."""
    try:
        return shutil.disk_usage(path.parent).free < ROOM
    except OSError:
        return False
