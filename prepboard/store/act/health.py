"""The file's health: whether it is whole, a safe copy while all stations work, and back again."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from sqlite3 import Connection

from prepboard.store.act.doing import Doing, act
from prepboard.store.file import chain
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.opening import check_path
from prepboard.store.file.released import RELEASED, applied
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Who
from prepboard.store.file.writing import connect, in_words, patiently
from prepboard.store.kitchen_file import KitchenFile, check_whose, prepare
from prepboard.texts import _

UNEQUAL = """
    SELECT code, left, coalesce(sum(amount), 0) FROM batches LEFT JOIN moves ON moves.batch = batches.code
    GROUP BY code HAVING left != coalesce(sum(amount), 0) ORDER BY code"""

UNLIKE_THE_LOG = """
    SELECT readings.number, log.after, degrees || ' °' || unit FROM readings
    LEFT JOIN log ON log.action = readings.action AND log.did = 'read'
    WHERE log.after IS NOT degrees || ' °' || unit ORDER BY readings.number"""

READ_BUT_GONE = """
    SELECT number FROM log WHERE did = 'read' AND action NOT IN (SELECT action FROM readings) ORDER BY number"""

PAGES_AT_ONCE = 500
"""Of a copy; between them the stations get their turn."""


def check(file: KitchenFile, seal: str | None = None) -> list[str]:
    """What is wrong with the file, a sentence each; nothing when it is well. A `seal` from a printed record must be
    that of its line."""
    with file.looking() as db:
        return _faults(db) + (chain.unlike_seal(db, seal) if seal else [])


def sealed(file: KitchenFile) -> str:
    """The seal of the log's last line."""
    with file.looking() as db:
        return chain.seal(db)


def backup(file: KitchenFile, target: Path) -> None:
    """Copies the file as it stands at one moment. StoreFault when there is something at `target` already."""
    file.check_there()
    if target.exists():
        raise StoreFault(_("there is a file {file} already").format(file=target))
    partial = target.with_name(target.name + ".partial")
    try:
        _copy(file.path, partial)
        partial.replace(target)
    except OSError as fault:
        raise StoreFault(_("no copy at {file}: {why}").format(file=target, why=fault.strerror)) from None
    finally:
        partial.unlink(missing_ok=True)


def restore(file: KitchenFile, who: Who, source: Path) -> Did:
    """Puts a copy's contents in the place of the file's, while its stations go on. What was there before is kept
    beside it. StoreFault when the copy is no kitchen's file, or is not whole."""
    real = check_path(source, create=False)
    copy = connect(real)
    try:
        check_whose(copy, real)
        wrong = _faults(copy)
    except sqlite3.DatabaseError as fault:
        raise in_words(fault, real) from None
    finally:
        copy.close()
    if wrong:
        raise StoreFault(_("{file} is not whole: {why}").format(file=source, why=wrong[0]))
    moment = instant_text(file.clock.now()).replace(":", "")
    kept = file.path.with_name(f"{file.path.stem}-before-{moment}.db")
    backup(file, kept)
    _copy(real, file.path)
    patiently(lambda: prepare(file.path, create=False), file.path)

    def body(doing: Doing) -> Did:
        doing.log("restored", before=kept.name, after=source.name)
        return doing.answer(_("{file} is back; what was there before is in {kept}").format(file=source.name, kept=kept))

    return act(file, who, "restore", body)


def _faults(db: Connection) -> list[str]:
    faults = [str(row[0]) for row in db.execute("PRAGMA integrity_check") if row[0] != "ok"]
    for table, row, parent, _key in db.execute("PRAGMA foreign_key_check"):
        faults.append(_("{table}, row {row}: names something that {parent} does not have").format(
            table=table, row=row, parent=parent))  # fmt: skip
    for code, left, moved in db.execute(UNEQUAL):
        said = _("batch {code}: {left} left, but its moves add up to {moved}")
        faults.append(said.format(code=code, left=left, moved=moved))
    if RELEASED - applied(db):
        # A copy of an older file: what it lacks yet cannot be checked.
        return faults
    for line, said_then, said_now in db.execute(UNLIKE_THE_LOG):
        said = _("reading {number}: it says {now}, the log says {then}")
        faults.append(said.format(number=line, now=said_now, then=said_then))
    for (line,) in db.execute(READ_BUT_GONE):
        faults.append(_("log, line {line}: its reading is missing").format(line=line))
    return faults + chain.faults(db)


def _copy(source: Path, target: Path) -> None:
    begin = sqlite3.connect(f"{source.as_uri()}?mode=ro", uri=True)
    end = sqlite3.connect(target, isolation_level=None)
    try:
        patiently(lambda: begin.backup(end, pages=PAGES_AT_ONCE), target)
    finally:
        begin.close()
        end.close()
