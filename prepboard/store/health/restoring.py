"""A safe copy, and its way back into the file's place while the stations go on.

From the copy of what is there to the line in the log it is one transaction: nobody writes in between, so what was
acknowledged is in the file or in the copy beside it; and a restore that is killed has not happened.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from sqlite3 import Connection
from tempfile import TemporaryDirectory

from msgspec import Struct

from prepboard.store.file.beside import free_name
from prepboard.store.file.copying import copy, copy_onto, only_reading
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.opening import check_path
from prepboard.store.file.pins import check_pin
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Did, Unsure, Who, check_may, role_of, said
from prepboard.store.file.writing import connect, in_words, patiently
from prepboard.store.health.health import faults_in
from prepboard.store.kitchen_file import KitchenFile, check_whose, prepared
from prepboard.store.transaction.doing import LONGER_CODES, Doing, within
from prepboard.store.transaction.saying import clock_time
from prepboard.texts import _, some

FORGOTTEN = """
    SELECT at, by FROM main.actions WHERE id NOT IN (SELECT id FROM copy.actions) ORDER BY number"""

IS_OF_THIS_FILE = """
    SELECT 1 FROM main.log JOIN (SELECT number, chain FROM copy.log ORDER BY number DESC LIMIT 1) AS last
    ON last.number = main.log.number AND last.chain = main.log.chain"""

CODES = "SELECT code FROM {0}.batches UNION SELECT code FROM {0}.runs UNION SELECT code FROM {0}.codes_gone"


def backup(file: KitchenFile, target: Path) -> None:
    """Copies the file as it stands at one moment. StoreFault when there is something at `target` already."""
    file.check_there()
    copy(file.path, target.absolute())


def restore(file: KitchenFile, who: Who, source: Path, *, sure: bool = False) -> Did:
    """Puts a copy's contents in the place of the file's, while its stations go on. What was there before is kept
    beside it.

    Refused when the role may not; Unsure, with what would be forgotten, until `sure`. StoreFault when the copy is no
    kitchen's file, is not whole or is of a newer prepboard.
    """
    if file.prove is not None:
        who = file.prove(who)
    with file.looking() as db:
        _check_role(file, db, who)
    with TemporaryDirectory(prefix="prepboard-") as folder:
        staged = _staged(source, Path(folder) / "copy.db")
        with _both(file, staged) as db:
            _check_role(file, db, who)
            if not sure and (question := _what_is_forgotten(file, db, source)):
                raise Unsure(question)
            kept = free_name(file.path, "before", instant_text(file.clock.now()).replace(":", ""))
            copy(file.path, kept)
            _put_in_place(db)
            did = within(file, db, who, "restore", lambda doing: _said(doing, source, kept), pin_is_asked=False)
            db.execute("COMMIT")
    patiently(lambda: prepared(file.path), file.path).close()
    file.acted = True
    return said(did)


def _check_role(file: KitchenFile, db: Connection, who: Who) -> None:
    newest = db.execute("SELECT max(version) FROM book").fetchone()[0]
    book = file.book(db, newest) if newest else None
    check_pin(db, who, book)
    check_may("restore", role_of(who, book), book)


def _staged(source: Path, staged: Path) -> Path:
    """The copy, whole, with today's tables, where it may be written to."""
    real = check_path(source, create=False, writes=False)
    with only_reading(real) as db:
        check_whose(db, source)
    copy_onto(real, staged)
    prepared(staged).close()
    with only_reading(staged) as db:
        wrong = faults_in(db)
    if wrong:
        raise StoreFault(_("{file} is not whole: {why}").format(file=source, why=wrong[0]))
    return staged


@contextmanager
def _both(file: KitchenFile, staged: Path) -> Iterator[Connection]:
    """The file, locked for writing, with the staged copy as `copy`. What is not committed is taken back."""

    def begin() -> Connection:
        file.check_there()
        db = connect(file.path)
        try:
            db.execute("PRAGMA foreign_keys = OFF")  # tables come one after the other
            db.execute("ATTACH ? AS copy", [str(staged)])
            db.execute("BEGIN IMMEDIATE")
        except BaseException:
            db.close()
            raise
        return db

    db = patiently(begin, file.path, file.patience)
    try:
        yield db
    except sqlite3.DatabaseError as fault:
        raise in_words(fault, file.path) from fault
    finally:
        db.close()


class _Forgotten(Struct, frozen=True):
    at: str
    by: str


def _what_is_forgotten(file: KitchenFile, db: Connection, source: Path) -> str:
    """What the copy does not know, as a question; "" when that is nothing."""
    gone = [_Forgotten(*row) for row in db.execute(FORGOTTEN)]
    if not gone:
        return ""
    counted = Counter(one.by or _("nobody named") for one in gone)
    people = ", ".join(f"{by} ({n})" for by, n in counted.most_common())
    counted_all = some("{n} change", "{n} changes", len(gone))
    kitchen = file.newest_book().kitchen if db.execute("SELECT 1 FROM book").fetchone() else None
    first = min(one.at for one in gone)
    since = clock_time(kitchen, instant(first), file.clock.now()) if kitchen else first
    said = _(
        "{changes} since {time}, by {people}, would be forgotten: {file} does not have them; they would only be in a"
        " copy beside the file. Put it back all the same?"
    )
    return said.format(changes=counted_all, time=since, people=people, file=source.name)


def _put_in_place(db: Connection) -> None:
    """All tables of the copy take the place of the file's, with what must not be forgotten of the file."""
    codes = [row[0] for row in db.execute(f"{CODES.format('main')} EXCEPT {CODES.format('copy')}")]
    is_of_this_file = db.execute(IS_OF_THIS_FILE).fetchone() or not db.execute("SELECT 1 FROM copy.log").fetchone()
    longest = max(
        (len(code) for (code,) in db.execute(f"{CODES.format('main')} UNION {CODES.format('copy')}")), default=0
    )
    number, version = _highest(db, "SELECT max(number) FROM {}.actions"), _highest(
        db, "SELECT CAST(value AS INTEGER) FROM {}.settings WHERE name = 'version'"
    )  # fmt: skip
    (own,) = db.execute("SELECT value FROM settings WHERE name = 'file id'").fetchone() or ("",)
    _copy_tables(db)
    # The kitchen is the copy's, the file is this one: so the others of a group see that it was set back.
    db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES ('file id', ?)", [own])
    db.executemany("INSERT OR IGNORE INTO codes_gone VALUES (?)", [[code] for code in codes])
    keep = "INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)"
    db.execute(keep, ["version", str(version + 1)])
    db.execute(keep, ["actions before", str(number)])
    if not is_of_this_file:
        # Codes that were given out after the copy was made are known to nobody: none of them is drawn again.
        db.execute(keep, [LONGER_CODES, str(longest)])


def _highest(db: Connection, question: str) -> int:
    return max(db.execute(question.format(where)).fetchone()[0] or 0 for where in ("main", "copy"))


def _copy_tables(db: Connection) -> None:
    """The very same tables, indexes and triggers, whatever was there; triggers last, since they forbid and forget."""
    ours = "SELECT type, name FROM main.sqlite_master WHERE name NOT LIKE 'sqlite_%' AND type IN ('table', 'trigger')"
    for kind, name in sorted(db.execute(ours).fetchall(), reverse=True):
        db.execute(f'DROP {kind} main."{name}"')
    theirs = "SELECT name, sql FROM copy.sqlite_master WHERE type = ? AND sql IS NOT NULL AND name NOT LIKE 'sqlite_%'"
    for kind in ("table", "index", "trigger"):
        for name, sql in db.execute(theirs, [kind]).fetchall():
            db.execute(sql)
            if kind == "table":
                db.execute(f'INSERT INTO main."{name}" SELECT * FROM copy."{name}"')


def _said(doing: Doing, source: Path, kept: Path) -> Did:
    doing.log("restored", before=kept.name, after=source.name)
    return doing.answer(_("{file} is back; what was there before is in {kept}").format(file=source.name, kept=kept))
