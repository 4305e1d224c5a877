"""What came from another kitchen brought with it: ends that its own dates may not pass, and the lots in it."""

from __future__ import annotations

from datetime import datetime
from sqlite3 import Connection

import msgspec

from prepboard.book.days import ONE_DAY
from prepboard.book.safety.may_use import COUNTED, KEEPS, Mark
from prepboard.book.safety.stays import days_frozen
from prepboard.store.file.times import instant
from prepboard.store.read.delivery_note import End
from prepboard.store.read.stays import stays_of
from prepboard.store.read.storage import Files, Row

CAME = "SELECT at, stays, ends FROM received_as WHERE ours = ?"
LOTS = "SELECT lots FROM received_as WHERE ours = ?"
PARENT = "SELECT parent FROM batches WHERE code = ?"

ITS_LABEL = "its label"
"""The word for an end that stands on the label that it came with."""


def ends_of(text: str) -> list[End]:
    """The ends as `received_as` keeps them."""
    return msgspec.json.decode(text, type=list[End])


def lots_that_came(db: Connection, code: str) -> list[list[tuple[str, str]]]:
    """(goods, lot) of what went into a batch that came; none of one that was made here."""
    return [msgspec.json.decode(text, type=list[tuple[str, str]]) for (text,) in db.execute(LOTS, [code])]


def came_with(files: Files, row: Row) -> list[Mark]:
    """The ends that a batch, or the whole that it is a part of, came with: rows 6 to 9.

    The count of its label stands still while it is frozen here, as this kitchen's own would (row 10); of the freezing
    only whole days are left out, the shorter of the two ways to count them.
    """
    whole = str(row["code"])
    while (parent := files.db.execute(PARENT, [whole]).fetchone()) and parent[0]:
        whole = parent[0]
    found = []
    for at, there, ends in files.db.execute(CAME, [whole]).fetchall():
        for end in ends_of(ends):
            until = _until(files, row, there, end)
            if until is not None:
                why = end.why if end.flows else ITS_LABEL
                found.append(Mark(end.row, instant(at), why, row["code"], until=until, flows=end.flows))
    return found


def _until(files: Files, row: Row, there: int, end: End) -> datetime | None:
    """When an end comes; None while its count stands still. So many of its stays were `there`, the last on the van."""
    stays = stays_of(row["stays"])
    came_frozen = bool(stays[:there]) and stays[there - 1].store == "frozen"
    if end.flows or end.row not in (COUNTED, KEEPS) or came_frozen:
        return end.until
    since = stays[there:]
    if row["store"] == "frozen" and since:
        return None
    return end.until + days_frozen(since, files.book.kitchen.days) * ONE_DAY
