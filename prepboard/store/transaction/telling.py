"""What the other kitchens of a group are to be told that is held back here.

It is worked out with each action, so that whoever carries it finds each with the action that began or ended it.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from sqlite3 import Connection
from typing import Protocol
from uuid import UUID, uuid5

from msgspec import Struct

from prepboard.book.book import Book
from prepboard.book.safety.may_use import HELD, MISSED, WITHHELD
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Who
from prepboard.store.read.stays import read_marks

STILL_ABOUT = timedelta(days=120)
"""So long after it left something is looked for: a frozen life and a margin (common practice, no source)."""

SENT_AND_MARKED = """
    SELECT transfers.receiver, transfers.batch, food.marks FROM transfers
    JOIN food ON food.kind = 'batch' AND food.code = transfers.batch
    WHERE transfers.sender = ? AND transfers.sent_at >= ? AND transfers.back_at IS NULL AND transfers.got != 'refused'
    AND (food.marks LIKE '%"row":2,%'
        OR food.marks LIKE '%"row":3,%' OR food.marks LIKE '%"row":4,%')"""

GOODS_WITHDRAWN = """
    SELECT number, at, goods, lot, why FROM withdrawals WHERE lifted_at IS NULL AND goods != '' AND hold = ''"""

IN_FORCE = "SELECT DISTINCT of FROM holds_told WHERE lifted_at IS NULL"


class Telling(Protocol):
    """An action under way, as far as telling needs it."""

    db: Connection
    who: Who
    id: str
    now: datetime

    @property
    def book(self) -> Book: ...


class _Held(Struct, frozen=True):
    why: str
    receiver: str = ""
    code: str = ""
    goods: str = ""
    lot: str = ""


def tell_held(doing: Telling) -> None:
    """Notes what an action began to hold back for another kitchen, and what it let go of."""
    now = _held(doing)
    known = [row[0] for row in doing.db.execute(IN_FORCE).fetchall()]
    for of, held in now.items():
        if of not in known:
            _tell(doing, of, held)
    for of in known:
        if of not in now:  # all that were told of it: after a copy was put back there may be an earlier one
            doing.db.execute(
                "UPDATE holds_told SET lifted_at = ?, lifted_by = ?, lifted_in = ? WHERE of = ? AND lifted_at IS NULL",
                [instant_text(doing.now), doing.who.by, doing.id, of],
            )


def _held(doing: Telling) -> dict[str, _Held]:
    """What is held back now, by what it is: batches that were sent, for each kitchen that has some; lots for all."""
    found: dict[str, _Held] = {}
    since = instant_text(doing.now - STILL_ABOUT)
    rows = doing.db.execute(SENT_AND_MARKED, [doing.book.kitchen.member, since]).fetchall()
    for receiver, code, text in rows:
        marks = [mark for mark in read_marks(text) if mark.row in (WITHHELD, MISSED, HELD) and mark.flows]
        if marks:
            found[f"batch {code} {receiver}"] = _Held(min(marks).why, receiver, code)
    for number, at, goods, lot, why in doing.db.execute(GOODS_WITHDRAWN).fetchall():
        found[f"withdrawal {number} {at}"] = _Held(why, goods=goods, lot=lot)
    return found


def _tell(doing: Telling, of: str, held: _Held) -> None:
    (kitchen,) = doing.db.execute("SELECT value FROM settings WHERE name = 'kitchen id'").fetchone()
    id_ = str(uuid5(UUID(kitchen), f"{of} {doing.id}"))
    doing.db.execute(
        "INSERT INTO holds_told (id, of, receiver, code, goods, lot, why, at, by, told_in)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            id_, of, held.receiver, held.code, held.goods, held.lot, held.why, instant_text(doing.now), doing.who.by,
            doing.id,
        ],
    )  # fmt: skip
