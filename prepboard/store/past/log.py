"""What was done: the log as it was written."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from prepboard.store.file.times import instant, instant_text
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.older import words_of


class LogRow(Struct, frozen=True):
    """One line of the log; a word that does not apply is empty. `role` is "open" where the book lists nobody."""

    at: datetime
    by: str
    role: str
    station: str
    did: str
    batch: str
    prep: str
    dish: str
    before: str
    after: str
    why: str


def log_rows(file: KitchenFile, *, since: datetime | None = None, until: datetime | None = None) -> list[LogRow]:
    """The log from `since` up to, not at, `until`; the oldest line first."""
    begin = instant_text(since) if since else ""
    end = instant_text(until) if until else "9999"
    with file.looking() as db:
        rows = db.execute(
            "SELECT at, by, role, station, did, batch, prep, dish, before, after, why FROM log"
            " WHERE at >= ? AND at < ? ORDER BY at, number",
            [begin, end],
        ).fetchall()
    return [
        LogRow(instant(at), by, role, station, did, batch, prep, dish, *words_of(did, *words))
        for at, by, role, station, did, batch, prep, dish, *words in rows
    ]


COUNTED = """
    SELECT DISTINCT log.batch FROM log JOIN actions ON actions.id = log.action
    WHERE log.did = 'counted' AND log.at >= ? AND log.batch != '' AND actions.undone_by IS NULL
      AND NOT EXISTS (SELECT 1 FROM moves WHERE moves.batch = log.batch AND moves.at > log.at)"""


def counted_since(file: KitchenFile, since: datetime) -> frozenset[str]:
    """The batches that were counted from `since` on, and of which nothing has come or gone after that."""
    with file.looking() as db:
        return frozenset(code for (code,) in db.execute(COUNTED, [instant_text(since)]))
