"""One action inside its transaction: what it may see, and how it changes rows so that they can be taken back.

Each action goes through `act`: the rights, the moment, the id that makes a retry harmless, the log and the record
of changed rows are the same for all of them. `action` makes one of a function that does its work.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from functools import wraps
from sqlite3 import Connection
from typing import Any, Concatenate, ParamSpec

from msgspec import Struct, field

from prepboard.book.book import Book
from prepboard.book.safety.may_use import Mark
from prepboard.book.values import LONGEST_ID
from prepboard.plan.given.state import Lies
from prepboard.store.file.chain import add_line
from prepboard.store.file.codes import SHORTEST, new_code
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.ids import new_id
from prepboard.store.file.pins import check_pin
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import (
    Did,
    Refused,
    Who,
    answer_text,
    check_how_late,
    check_may,
    read_answer,
    role_of,
    said,
)
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.snapshot import newest_book
from prepboard.store.read.storage import Files
from prepboard.store.transaction.keeping_placements import keep_placements, placed_before
from prepboard.store.transaction.marks import mark_after, marks_of
from prepboard.store.transaction.saying import clock_time, day_of
from prepboard.store.transaction.sealing import SEALED, holds, without_amount
from prepboard.store.transaction.tables import KEYS
from prepboard.store.transaction.telling import tell_held
from prepboard.texts import _, keeping, told

Row = dict[str, Any]

TAKEN = """
    SELECT 1 FROM batches WHERE code = ?1 UNION ALL SELECT 1 FROM runs WHERE code = ?1
    UNION ALL SELECT 1 FROM codes_gone WHERE code = ?1"""

LONGER_CODES = "codes are longer than"
"""The setting that keeps how long the longest code was before a copy came back that nobody knows to be older."""


NEW_ACTION = """
    INSERT INTO actions (number, id, at, by, station, did, entered) VALUES (
        1 + max((SELECT coalesce(max(number), 0) FROM actions),
                coalesce((SELECT CAST(value AS INTEGER) FROM settings WHERE name = 'actions before'), 0)),
        ?, ?, ?, ?, ?, ?)"""
"""Numbers go on growing over a restore: what was seen up to a number stays seen."""


class Doing(Struct):
    """An action under way. `now` is the moment it happened, which may be back-dated; both are whole seconds."""

    file: KitchenFile
    db: Connection
    who: Who
    role: str
    did: str
    id: str
    now: datetime
    version: int
    _book: Book | None
    _before: dict[tuple[str, str], Row | None] = field(default_factory=dict)
    _lines: list[list[str]] = field(default_factory=list)
    """Of the log, until all that they hold is there."""
    loaded: int = 0
    """The version of a book that was read in."""
    undid: str = ""
    """The action that was taken back."""
    placements_stand: bool = False
    """Where runs lie is what it was before: nothing is to be placed anew."""
    _marked: int = -1
    """How many rows were changed over this connection when food was last worked out."""
    placed: Lies | None = None
    """Where everything lay on boards before, and a digest of what that follows from; None where it is not asked."""

    @property
    def book(self) -> Book:
        if self._book is None:
            raise StoreFault(_("no book has been loaded into this file yet"))
        return self._book

    def time(self, at: datetime) -> str:
        """A moment on the kitchen's wall clock, as seen from now."""
        return clock_time(self.book.kitchen, at, self.now)

    def day(self, on: date) -> str:
        """A day as people name it, as seen from now: "Sat", else "Sat 24 Oct"."""
        return day_of(self.book.kitchen, on, self.now)

    # Food

    @property
    def files(self) -> Files:
        """What the marks of food are worked out from: once a book was read in, that one."""
        book = self.file.book(self.db, self.loaded) if self.loaded else self.book
        return Files(self.db, book, lambda version: self.file.book(self.db, version), self.now)

    def marks(self, kind: str, code: str) -> tuple[Mark, ...]:
        """What is known of a batch or a run, as it was last worked out."""
        return marks_of(self.files, kind, code)

    def mark(self) -> None:
        """Works out again what is known of all the food that this action touched, and of what came of it; once, where
        nothing was written since."""
        if self._book is not None and self.db.total_changes != self._marked:
            mark_after(self.files, self.id, self.did, list(self._before))
            self._marked = self.db.total_changes

    # Rows

    def row(self, table: str, **key: Any) -> Row | None:
        """The row of that key as a dict, or None."""
        where = " AND ".join(f"{name} = ?" for name in KEYS[table])
        return self.first(f"SELECT * FROM {table} WHERE {where}", *(key[name] for name in KEYS[table]))

    def rows(self, sql: str, *values: Any) -> list[Row]:
        cursor = self.db.execute(sql, values)
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor]

    def first(self, sql: str, *values: Any) -> Row | None:
        return next(iter(self.rows(sql, *values)), None)

    def put(self, table: str, row: Row) -> None:
        """Adds a row, or changes the one of its key in the columns that are given."""
        key = {name: row[name] for name in KEYS[table]}
        before = self._remember(table, key)
        if before is None:
            marks = ", ".join("?" * len(row))
            self.db.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", list(row.values()))
            return
        # The key stays out of it: setting it, to the same even, makes SQLite look for every row that names it.
        values = {name: value for name, value in row.items() if name not in key}
        if values:
            sets = ", ".join(f"{name} = ?" for name in values)
            where = " AND ".join(f"{name} = ?" for name in key)
            self.db.execute(f"UPDATE {table} SET {sets} WHERE {where}", [*values.values(), *key.values()])

    def add_many(self, table: str, rows: Sequence[Row]) -> None:
        """Adds rows whose keys are new, all with the same columns: as `put` does, and much faster for thousands."""
        if not rows:
            return
        marks = ", ".join("?" * len(rows[0]))
        sql = f"INSERT INTO {table} ({', '.join(rows[0])}) VALUES ({marks})"
        self.db.executemany(sql, [tuple(row.values()) for row in rows])
        keys = (json.dumps({name: row[name] for name in KEYS[table]}) for row in rows)
        self.db.executemany(
            "INSERT INTO changes (action, row_of, key, before, after) VALUES (?, ?, ?, NULL, ?)",
            [(self.id, table, key, _json(row)) for key, row in zip(keys, rows, strict=True)],
        )

    def put_many(self, table: str, rows: Sequence[Row]) -> None:
        """As `put` of each, and at one go where there is none yet, as at a first load; all with the same columns."""
        untouched = all(touched != table for touched, _key in self._before)
        if untouched and self.first(f"SELECT 1 FROM {table} LIMIT 1") is None:
            self.add_many(table, rows)
            return
        for row in rows:
            self.put(table, row)

    def drop(self, table: str, **key: Any) -> None:
        """Removes a row, if it is there."""
        if self._remember(table, key) is not None:
            where = " AND ".join(f"{name} = ?" for name in key)
            self.db.execute(f"DELETE FROM {table} WHERE {where}", list(key.values()))

    def _remember(self, table: str, key: Row) -> Row | None:
        current = self.row(table, **key)
        in_order = {name: key[name] for name in KEYS[table]}
        self._before.setdefault((table, json.dumps(in_order)), current)
        return current

    # Records

    def log(
        self, did: str, *, batch: str = "", prep: str = "", dish: str = "", before: str = "", after: str = "",
        why: str = "",
    ) -> None:  # fmt: skip
        """Adds a line to the log: who, when and where come by themselves."""
        who = (self.id, instant_text(self.now), self.who.by, self.role, self.who.station)
        self._lines.append([*who, did, batch, prep, dish, before, after, why])

    def about(self) -> tuple[str, str]:
        """The first thing that was done, as the log calls it, and the prep or goods that it was about; "" for none."""
        did, item = (self._lines[0][5], self._lines[0][7]) if self._lines else (self.did, "")
        return str(did), str(item)

    def counted(self) -> Mapping[str, datetime]:
        """What was counted, and when: of the log's lines not yet written."""
        return {line[7]: self.now for line in self._lines if line[5] == "counted"}

    def new_code(self) -> str:
        """A code for a batch or a run that neither of them ever had, before a restore neither."""
        longer = self.first("SELECT value FROM settings WHERE name = ?", LONGER_CODES)
        shortest = max(SHORTEST, int(longer["value"]) + 1 if longer else 0)
        return new_code(self.file.random, lambda code: self.first(TAKEN, code) is not None, shortest)

    def answer(self, text: str, *, run: str = "", batches: tuple[str, ...] = ()) -> Did:
        return Did(text, self.id, run, batches)

    def finish(self, did: Did) -> None:
        """Keeps the answer for a retry, and every changed row for undo."""
        for (table, key), before in self._before.items():
            after = self.row(table, **json.loads(key))
            if before != after:
                self.db.execute(
                    "INSERT INTO changes (action, row_of, key, before, after) VALUES (?, ?, ?, ?, ?)",
                    [self.id, table, key, _json(before), _json(after)],
                )
        answer = answer_text(did)
        self.db.execute("UPDATE actions SET answer = ? WHERE id = ?", [answer, self.id])
        self._write_lines()

    def _write_lines(self) -> None:
        """The last line holds what the action leaves."""
        if not self._lines and not self._before:
            return
        if not self._lines:
            self.log(self.did)
        rows = [
            (table, key, after)
            for (table, text), before in self._before.items()
            if table in SEALED
            for key in [json.loads(text)]
            for after in [self.row(table, **key)]
            if table != "batches" or self._needs_line(key["code"], before, after)
        ]
        *earlier, last = self._lines
        for line in earlier:
            add_line(self.db, line)
        number = add_line(self.db, last, holds(self.db, self.id, rows, self.loaded, self.undid))
        self._keep_lines(number, [row for table, _key, row in rows if table == "batches" and row])

    def _needs_line(self, code: str, before: Row | None, after: Row | None) -> bool:
        """Whether a line is to hold a batch: more than its amount changed, or none holds it yet."""
        if without_amount(before) != without_amount(after):
            return True
        return self.first("SELECT 1 FROM held_batches WHERE batch = ?", code) is None

    def _keep_lines(self, number: int, batches: Sequence[Row]) -> None:
        """Which line holds each batch, while there is something of it."""
        there = [[row["code"], number] for row in batches if row["state"] == "live"]
        gone = [[row["code"]] for row in batches if row["state"] != "live"]
        self.db.executemany("INSERT OR REPLACE INTO held_batches (batch, line) VALUES (?, ?)", there)
        self.db.executemany("DELETE FROM held_batches WHERE batch = ?", gone)


def act(
    file: KitchenFile,
    who: Who,
    did: str,
    body: Callable[[Doing], Did],
    *,
    action: str | None = None,
    at: datetime | None = None,
    pin_is_asked: bool = True,
) -> Did:
    """Does one thing in one transaction, once: the same `action` id again writes nothing and answers as before.

    `at` back-dates. Refused when the role may not, when `at` is still to come, or when `body` says so; NeedsPin when
    whoever acts has a PIN and has not typed it.
    """
    if pin_is_asked and file.prove is not None:
        who = file.prove(who)
    action = action or file.take_id()
    now = file.clock.now().replace(microsecond=0)
    moment = (at or now).replace(microsecond=0)
    with file.writing() as db:
        known = db.execute("SELECT answer FROM actions WHERE id = ?", [action]).fetchone()
        if known:
            return said(read_answer(action or "", known[0]))
        if moment > now:
            raise Refused(_("that is still to come; --at only back-dates"))
        answer = within(file, db, who, did, body, action=action, at=moment, pin_is_asked=pin_is_asked)
    file.acted = True
    return said(answer)


P = ParamSpec("P")
Work = Callable[Concatenate[Doing, P], Did]
Action = Callable[Concatenate[KitchenFile, Who, P], Did]


def action(did: str) -> Callable[[Work[P]], Action[P]]:
    """Makes an action, `did` in the log, of a function that does its work inside the transaction.

    It is called with the file and who acts in the place of `doing`. What it names `action` and `at` is for `act`: the
    id of a request, and when it happened.
    """

    def of(work: Work[P]) -> Action[P]:
        @wraps(work)
        def asked(file: KitchenFile, who: Who, /, *given: P.args, **named: P.kwargs) -> Did:
            id_: Any = named.get("action")
            at: Any = named.get("at")
            return act(file, who, did, lambda doing: work(doing, *given, **named), action=id_, at=at)

        return asked

    return of


def within(
    file: KitchenFile,
    db: Connection,
    who: Who,
    did: str,
    body: Callable[[Doing], Did],
    *,
    action: str | None = None,
    at: datetime | None = None,
    pin_is_asked: bool = True,
) -> Did:
    """The same inside a transaction that the caller began and commits."""
    moment = (at or file.clock.now()).replace(microsecond=0)
    version, book = _book_of(file, db)
    try:
        with keeping():
            return _kept_within(file, db, who, did, body, action, moment, pin_is_asked, version, book)
    except Exception as fault:
        # Said to whoever acts; only what goes into the file stays facts.
        fault.args = tuple(told(said) if isinstance(said, str) else said for said in fault.args)
        raise


def _kept_within(
    file: KitchenFile,
    db: Connection,
    who: Who,
    did: str,
    body: Callable[[Doing], Did],
    action: str | None,
    moment: datetime,
    pin_is_asked: bool,
    version: int,
    book: Book | None,
) -> Did:
    """The action, while all that it says is kept as facts."""
    if len(who.by) > LONGEST_ID:
        raise Refused(_("initials have at most {n} letters").format(n=LONGEST_ID))
    if pin_is_asked:
        check_pin(db, who, book)
    role = role_of(who, book)
    check_may(did, role, book)
    entered = file.clock.now().replace(microsecond=0)
    check_how_late(entered - moment, role, book)
    doing = Doing(file, db, who, role, did, action or new_id(entered), moment, version, book)
    late = instant_text(entered) if entered != moment else ""
    db.execute(NEW_ACTION, [doing.id, instant_text(moment), who.by, who.station, did, late])
    doing.placed = placed_before(doing)
    answer = body(doing)
    doing.mark()
    if book is not None and book.kitchen.member:
        tell_held(doing)
    if not doing.placements_stand:
        keep_placements(doing, doing.placed)
    doing.finish(answer)
    return answer


def _book_of(file: KitchenFile, db: Connection) -> tuple[int, Book | None]:
    if db.execute("SELECT 1 FROM book LIMIT 1").fetchone() is None:
        return 0, None
    version = newest_book(db)
    return version, file.book_today(db, version)


def _json(row: Row | None) -> str | None:
    return None if row is None else json.dumps(row, ensure_ascii=False)
