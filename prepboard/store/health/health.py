"""The file's health: whether it is whole, a safe copy while all stations work, and back again."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import lru_cache
from sqlite3 import Connection

from prepboard.book.checked_json import form, kept_text
from prepboard.store.file import chain
from prepboard.store.file.released import RELEASED, applied
from prepboard.store.health import whole
from prepboard.store.health.whole import Progress, Since
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import _, keeping

UNEQUAL = """
    SELECT code, left, coalesce(sum(amount), 0) FROM batches LEFT JOIN moves ON moves.batch = batches.code
    GROUP BY code HAVING left != coalesce(sum(amount), 0) ORDER BY code"""

UNLIKE_THE_LOG = """
    SELECT readings.number, log.after, degrees || ' °' || unit FROM readings
    LEFT JOIN actions ON actions.id = readings.action
    LEFT JOIN log ON log.at = actions.at AND log.action = readings.action AND log.did = 'read'
    WHERE log.after IS NOT degrees || ' °' || unit ORDER BY readings.number"""

READ_BUT_GONE = """
    SELECT number FROM log WHERE did = 'read' AND action NOT IN (SELECT action FROM readings) ORDER BY number"""


TOUCHED = """
    SELECT code, left, (SELECT coalesce(sum(amount), 0) FROM moves WHERE moves.batch = code) AS moved FROM batches
    WHERE code IN (SELECT code FROM batches WHERE state = 'live' UNION SELECT batch FROM moves WHERE number > ?)
    AND left != moved ORDER BY code"""
"""As UNEQUAL, of the batches that are there and of those that something came to or went from since a move."""

NOW = """
    SELECT (SELECT coalesce(max(number), 0) FROM actions), (SELECT coalesce(max(number), 0) FROM moves),
           (SELECT coalesce(max(version), 0) FROM book)"""


def check(file: KitchenFile, seal: str | None = None, progress: Progress | None = None) -> list[str]:
    """What is wrong with the file, a sentence each; nothing when it is well. A `seal` from a printed record must be
    that of its line. `progress` is told how far that is: the line of the log, and the last one."""
    with file.looking() as db:
        return faults_in(db, progress) + (chain.unlike_seal(db, seal) if seal else [])


def sealed(file: KitchenFile) -> str:
    """The seal of the log's last line."""
    with file.looking() as db:
        return chain.seal(db)


def faults_in(db: Connection, progress: Progress | None = None) -> list[str]:
    """What is wrong with a kitchen's database, a sentence each."""
    faults = [str(row[0]) for row in db.execute("PRAGMA integrity_check") if row[0] != "ok"]
    for table, row, parent, _key in db.execute("PRAGMA foreign_key_check"):
        faults.append(_("{table}, row {row}: names something that {parent} does not have").format(
            table=table, row=row, parent=parent))  # fmt: skip
    faults += _amounts(db.execute(UNEQUAL))
    if RELEASED - applied(db):
        # A copy of an older file: what it lacks yet cannot be checked.
        return faults
    for line, said_then, said_now in db.execute(UNLIKE_THE_LOG):
        said = _("reading {number}: it says {now}, the log says {then}")
        faults.append(said.format(number=line, now=said_now, then=said_then))
    for (line,) in db.execute(READ_BUT_GONE):
        faults.append(_("log, line {line}: its reading is missing").format(line=line))
    faults += _books(db, 0)
    broken = chain.faults(db, progress=progress)
    # What lines hold says something only while nobody wrote the lines anew.
    return faults + (broken or whole.faults(db, progress=progress))


def faults_since(db: Connection, since: Since) -> list[str]:
    """What is wrong with all that came since a check: the new lines of the log and what they hold, all food that is
    there or moved, and new books. What is older and at rest is for `faults_in`, pages and indexes for the copies."""
    found = db.execute("SELECT chain FROM log WHERE number = ?", [since.line]).fetchone()
    if since.line and (found is None or found[0] != since.chain):
        return [_("log, line {line}: it is not the line that was checked before").format(line=since.line)]
    faults = _amounts(db.execute(TOUCHED, [since.move])) + _books(db, since.book)
    broken = chain.faults(db, since.line + 1)
    return faults + (broken or whole.faults(db, since))


def now_in(db: Connection) -> Since:
    """How far the file has come: where the next check may begin, once nothing is wrong up to here."""
    last = db.execute("SELECT number, chain FROM log ORDER BY number DESC LIMIT 1").fetchone() or (0, "")
    return Since(*last, *db.execute(NOW).fetchone())


def _amounts(unequal: Iterable[tuple[str, int, int]]) -> list[str]:
    said = _("batch {code}: {left} left, but its moves add up to {moved}")
    return [said.format(code=code, left=left, moved=moved) for code, left, moved in unequal]


def _books(db: Connection, after: int) -> list[str]:
    """Books that are no longer what their digest says, and checked ones that are not what their texts come to."""

    wrong = []
    checked = dict(db.execute("SELECT version, checked FROM checked_books WHERE form = ?", [form()]).fetchall())
    for version, digest, texts in db.execute(
        "SELECT version, digest, texts FROM book WHERE version > ?", [after]
    ).fetchall():
        read = _read_again(texts)
        if read is None:
            continue  # A book of an older program that this one would not take.
        if read[0] != digest:
            wrong.append(_("book {version}: its texts are not those that were loaded").format(version=version))
        elif version in checked and checked[version] != read[1]:
            wrong.append(_("book {version}: what was made of it is not what its texts say").format(version=version))
    return wrong


@lru_cache(maxsize=4)
def _read_again(texts: str) -> tuple[str, str] | None:
    """The digest of a book's texts, and what they come to; None of texts that this program does not take."""
    from prepboard.book.reading.faults import Faults
    from prepboard.book.reading.reader import read_texts

    try:
        with keeping(False):  # A book outlives what is said of it.
            book = read_texts(json.loads(texts))
    except (Faults, ValueError):
        return None
    return book.digest, kept_text(book)
