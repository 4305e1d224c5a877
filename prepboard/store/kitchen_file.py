"""The kitchen's file, as one station holds it open."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from datetime import date, datetime, timedelta
from functools import cached_property
from pathlib import Path
from random import Random, SystemRandom
from sqlite3 import Connection
from typing import Protocol

from prepboard.book.book import Book
from prepboard.clock import Clock, RealClock, RunningClock
from prepboard.plan.given.state import Lies, State
from prepboard.store.file.beside import Beside, beside, free_name
from prepboard.store.file.checked import book_of_version, checked_again, keep_checked, unchecked_book
from prepboard.store.file.faults import NotSaved, PutBack, StoreFault
from prepboard.store.file.opening import check_path
from prepboard.store.file.released import APPLICATION_ID, RELEASED, applied
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Did, Who, read_answer, said
from prepboard.store.file.writing import PATIENCE, Idle, connect, in_words, patiently, writing
from prepboard.store.read.schedules import Known
from prepboard.store.read.snapshot import newest_book
from prepboard.store.read.tonight import Added, added_rows, with_added
from prepboard.store.read.what_changed import Look, look
from prepboard.texts import _, keeping

__all__ = ["KitchenFile", "NotSaved", "StoreFault"]


UPDATING = 60.0
"""Seconds that a start waits while another station brings an older file up to date, which takes long in a large one."""

YEARS = range(2000, 2101)
"""What a clock may say; what lies outside is a machine without a battery."""

LONG_OVER = timedelta(days=14)
"""Sittings that were added for a day this long ago no longer belong to the book of today."""


class PlansRuns(Protocol):
    """Whoever plans, as far as an action needs it."""

    def where_runs_lie(self, state: State, now: datetime, moving: bool) -> Lies:
        """Where all runs lie, as boards show them or, `moving`, for an action to keep."""

    def ended_shorts(self, state: State, now: datetime) -> Mapping[tuple[str, str], date]:
        """What was short in a sitting under way and is there now, by (prep, need), with its day."""


class KitchenFile:
    """One shared file and the persistent connection that this station reads it through.

    Reading belongs to the thread that opened it; actions write through other connections, each of which one transaction
    has to itself, so that they may run in any thread.
    """

    def __init__(self, path: Path, clock: Clock, random: Random, patience: float = PATIENCE) -> None:
        self.path = path
        self.clock = clock
        self.random = random
        """Draws the codes of batches and runs."""
        self.patience = patience
        """Seconds until a change that cannot be written is given up."""
        self.seen = 0
        """The `data_version` that was last read: what is another now, changed since."""
        self.acted = False
        """Something was changed from here since the plan was last worked out."""
        self.prove: Callable[[Who], Who] | None = None
        """Asks whoever acts for the PIN, where one is to be asked; None: nobody can be asked here."""
        self.next_action = ""
        """The id that the next action is to have; each action takes it and leaves none."""
        self.makes_planner: Callable[[], PlansRuns] | None = None
        """Makes whoever plans for this station, once somebody asks; None: what runs lie where is not kept."""
        self._reader: Connection
        self._writers, self._glancers = Idle(path), Idle(path, only_reading=True)
        self._which: tuple[int, int]
        self._beside = Beside()
        self._rescued: Path | None = None
        self._restored: str | None = None
        """Which copy was the last to be put in the file's place, while nothing is to be written after another one."""
        self._schema = -1
        """SQLite's number of the tables that were last seen to be known."""
        self._books: dict[str, Book] = {}
        self._placements: Known = {}
        self._last: Look | None = None
        self._with_added: dict[tuple[str, Added], Book] = {}

    @classmethod
    def open(
        cls, path: Path, clock: Clock | None = None, *, create: bool = False, random: Random | None = None
    ) -> KitchenFile:
        """Opens the file, checks that it is a kitchen's and brings its tables up to date.

        Without a `clock` it is the one kept in the file, else the real one. StoreFault says why it cannot be.
        """
        real = check_path(path, create=create)
        if create and not real.exists():
            _make(real)
        file = cls(real, clock or RealClock(), random or SystemRandom())
        # Asked first: another file that comes in its place from here on is found out.
        file._which = _which(real, beside(real))
        # It has read already, so that SQLite takes no -wal away; another one would read all tables once more.
        file._reader = patiently(lambda: prepared(real), real, UPDATING)
        file._reader.execute("PRAGMA query_only = ON")
        file.seen = file.data_version()
        file._beside = beside(real)
        if clock is None:
            file.clock = file.kept_clock() or RealClock()
        return file

    def read(self) -> State:
        """Everything a plan is worked out from, as it stands at one moment of the file."""
        self.check_there()
        now = self.clock.now()
        check_clock(now)
        # Asked before the transaction begins: a change in between is then looked at once too often, never missed.
        self.seen = self.data_version()
        with self.looking() as db:
            self._last = look(
                db, now, self.book_today(db, newest_book(db)), lambda version: self.book(db, version), self._placements,
                self.clock.set_by_hand, self._last,
            )  # fmt: skip
            return self._last.state

    def state_within(self, db: Connection) -> State:
        """The same, inside a transaction that writes: with what it has changed so far."""
        now, book = self.clock.now(), self.book_today(db, newest_book(db))
        known = dict(self._placements)
        found = look(db, now, book, lambda version: self.book(db, version), known, self.clock.set_by_hand)
        return found.state

    @cached_property
    def planner(self) -> PlansRuns | None:
        """Who plans for this station: its actions and its board share one."""
        return self.makes_planner() if self.makes_planner else None

    def data_version(self) -> int:
        """Another number whenever a station changed the file since this was last asked."""
        return int(self._reader.execute("PRAGMA data_version").fetchone()[0])

    def close(self) -> None:
        self._writers.close()
        self._glancers.close()
        self._reader.close()

    @contextmanager
    def looking(self) -> Iterator[Connection]:
        """One read transaction: all that is read inside it is of the same moment."""
        try:
            patiently(lambda: self._reader.execute("BEGIN"), self.path, self.patience)
            try:
                self._check_known(self._reader)
                yield self._reader
            finally:
                self._reader.execute("ROLLBACK")
        except sqlite3.DatabaseError as fault:
            raise in_words(fault, self.path, _("cannot be read")) from fault

    @contextmanager
    def glance(self) -> Iterator[Connection]:
        """One look from whatever thread, by a connection of its own: all that is read inside it is of one moment."""
        self.check_there()
        db, went_well = patiently(self._glancers.take, self.path, self.patience), False
        try:
            db.execute("BEGIN")
            self._check_known(db)
            yield db
            db.execute("ROLLBACK")
            went_well = True
        except sqlite3.DatabaseError as fault:
            raise in_words(fault, self.path, _("cannot be read")) from fault
        finally:
            if went_well:
                self._glancers.give_back(db)
            else:
                db.close()

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction that writes; see `prepboard.store.file.writing`."""
        self.check_there()
        check_clock(self.clock.now())
        with writing(self.path, self.patience, self._writers) as db:
            self._check_known(db)
            if self._restored is not None and restored(db) != self._restored:
                raise PutBack(_("a copy was put in the file's place meanwhile"))
            yield db

    @contextmanager
    def until_restored(self) -> Iterator[None]:
        """Nothing is written from here on that was begun before a copy was put in the file's place: PutBack."""
        with self.looking() as db:
            self._restored = restored(db)
        try:
            yield
        finally:
            self._restored = None

    def take_id(self) -> str | None:
        """The id that the next action was given, once."""
        given, self.next_action = self.next_action, ""
        return given or None

    def answered(self, action: str) -> Did | None:
        """What an action of this id answered, where one was done; None else."""
        with self.looking() as db:
            found = db.execute("SELECT answer FROM actions WHERE id = ?", [action]).fetchone()
        return said(read_answer(action, found[0])) if found else None

    def newest_book(self) -> Book:
        """The book that counts now; StoreFault when none was ever loaded."""
        with self.looking() as db:
            return self.book_today(db, newest_book(db))

    def book(self, db: Connection, version: int) -> Book:
        """The book of one version, compiled once."""
        (digest,) = db.execute("SELECT digest FROM book WHERE version = ?", [version]).fetchone()
        if digest not in self._books:
            with keeping(False):  # A book outlives the action that asks for it.
                self._books[digest] = book_of_version(db, version)
        return self._books[digest]

    def knows(self, book: Book) -> None:
        """Takes a book that was just checked as it is: what is kept of it comes to the same."""
        self._books[book.digest] = book

    def book_today(self, db: Connection, version: int) -> Book:
        """The same book with the sittings that were added to it, for what is planned and done now."""
        book = self.book(db, version)
        today = book.kitchen.days.business_day(self.clock.now())
        added = added_rows(db, (today - LONG_OVER).isoformat())
        if not added:
            return book
        key = book.digest, added
        if key not in self._with_added:
            self._with_added = {key: with_added(book, added)}
        return self._with_added[key]

    def kept_clock(self) -> RunningClock | None:
        """The clock that is kept in the file, so that all its stations show one time."""
        kept = dict(self._reader.execute("SELECT name, value FROM settings WHERE name LIKE 'clock %'").fetchall())
        if not kept:
            return None
        return RunningClock(instant(kept["clock shown"]), instant(kept["clock real"]))

    def _check_known(self, db: Connection) -> None:
        """StoreFault when a newer program changed the tables while the file was open here."""
        (schema,) = db.execute("PRAGMA schema_version").fetchone()
        if schema == self._schema:
            return
        if applied(db) - RELEASED:
            said = _("{file} was brought up to date by a newer prepboard: close this board and open it again")
            raise StoreFault(said.format(file=self.path.name))
        self._schema = schema

    def check_there(self) -> None:
        """StoreFault when the file is gone or another one has taken its place."""
        now = beside(self.path)
        if _which(self.path, now) != self._which:
            raise StoreFault(_("{file} was replaced by another file; open it again").format(file=self.path))
        if now.size < self._beside.size:
            said = _("{file} was cut short: close all boards and bring back the last copy of it with prepboard restore")
            raise StoreFault(said.format(file=self.path.name))
        if self._beside.wal not in (None, now.wal):
            raise StoreFault(self._without_wal())
        self._beside = now

    def _without_wal(self) -> str:
        """What to do once somebody took away the -wal: what stations wrote last is in it. This station has it open
        still, and saves all that it sees into a file of its own; only the thread that reads can do that."""
        if self._rescued is None:
            target = free_name(self.path, "rescued", instant_text(self.clock.now()).replace(":", ""))
            with suppress(sqlite3.Error, OSError), closing(sqlite3.connect(target, isolation_level=None)) as into:
                self._reader.backup(into)
                into.execute("PRAGMA journal_mode = DELETE")
                self._rescued = target
            if self._rescued is None:
                target.unlink(missing_ok=True)
        if self._rescued is None:
            said = _("{file}-wal was taken away, with what was written last: leave all boards open until one of them"
                     " says where it saved that")  # fmt: skip
            return said.format(file=self.path.name)
        said = _(
            "{file}-wal was taken away; all that was written is in {saved}: close all boards, take {file}-shm away too,"
            " and bring it back with prepboard restore"
        )
        return said.format(file=self.path.name, saved=self._rescued.name)


def check_clock(now: datetime) -> None:
    """StoreFault on a machine whose clock is far off, also once that happens to an open board: days of food would be
    counted from then."""
    if now.year not in YEARS:
        raise StoreFault(_("the clock says it is {year}; set this machine's clock first").format(year=now.year))


RESTORED = "SELECT value FROM settings WHERE name = 'actions before'"


def restored(db: Connection) -> str:
    """What is another each time a copy is put in the file's place; "" while none ever was."""
    found = db.execute(RESTORED).fetchone()
    return str(found[0]) if found else ""


def _which(path: Path, found: Beside) -> tuple[int, int]:
    if found.which is None:
        raise StoreFault(_("{file} is gone").format(file=path))
    return found.which


def _make(path: Path) -> None:
    try:
        path.touch()
    except OSError as fault:
        raise StoreFault(_("{file} cannot be made: {why}").format(file=path, why=fault.strerror)) from None


def prepared(path: Path) -> Connection:
    """A connection to a file, once it is known to be a kitchen's and its tables are up to date. StoreFault says why it
    cannot be."""
    db = connect(path)
    try:
        check_whose(db, path)
        if db.execute("PRAGMA journal_mode = WAL").fetchone()[0] != "wal":
            raise StoreFault(_("{file} is on a drive that several stations cannot share").format(file=path))
        if RELEASED - applied(db):
            from prepboard.store.file.migrations import (
                bring_up_to_date,  # a start that has nothing to change does without
            )

            bring_up_to_date(db)
        version = unchecked_book(db)
        if version:
            # Checked before the lock is taken: stations that start together wait for a moment, not for each check.
            checked = checked_again(db, version)
            db.execute("BEGIN IMMEDIATE")
            if unchecked_book(db) == version:
                keep_checked(db, version, checked)
            db.execute("COMMIT")
    except BaseException:
        db.close()
        raise
    return db


def check_whose(db: Connection, path: Path) -> None:
    """StoreFault when the database is another program's, or of a newer prepboard."""
    (owner,), (tables,) = (
        db.execute(sql).fetchone() for sql in ("PRAGMA application_id", "SELECT count(*) FROM sqlite_master")
    )
    if tables and owner != APPLICATION_ID:
        raise StoreFault(_("{file} is another program's database, not a kitchen's file").format(file=path))
    if applied(db) - RELEASED:
        raise StoreFault(_("{file} was written by a newer prepboard; update this one").format(file=path))
