"""The file's health: whether it is whole, a safe copy while all stations work, and back again."""

from __future__ import annotations

from sqlite3 import Connection

from prepboard.store.file import chain
from prepboard.store.file.released import RELEASED, applied
from prepboard.store.kitchen_file import KitchenFile
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


def check(file: KitchenFile, seal: str | None = None) -> list[str]:
    """What is wrong with the file, a sentence each; nothing when it is well. A `seal` from a printed record must be
    that of its line."""
    with file.looking() as db:
        return faults_in(db) + (chain.unlike_seal(db, seal) if seal else [])


def sealed(file: KitchenFile) -> str:
    """The seal of the log's last line."""
    with file.looking() as db:
        return chain.seal(db)


def faults_in(db: Connection) -> list[str]:
    """What is wrong with a kitchen's database, a sentence each."""
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
