"""The record for an inspector: what was read, made, thrown away and put right, as it was written down then.

Readings carry the limit that they were held to when they were taken, and stay in the record when they are taken back.
"""

from __future__ import annotations

from datetime import datetime
from sqlite3 import Connection
from typing import Any, Literal

from msgspec import Struct

from prepboard.store.file import chain
from prepboard.store.file.times import instant, instant_or_none, instant_text
from prepboard.store.kitchen_file import KitchenFile

PUT_RIGHT = ("corrected", "label corrected", "kept", "blocked", "unblocked", "withdrawn", "undo", "restored")
"""The log's words for what puts something right, holds it back, or sets it free."""


class Recorded(Struct, frozen=True):
    """One line of the record. `batch` is a code of a batch or a run, `item` a prep, a good, a place or a task.

    `value` and `limit` are as they were written down; of a discard and a batch `amount` is in millionths and `unit`
    its base unit, of a batch `use_by` is the one that stands now. `back` says who took it back, and when.
    """

    at: datetime
    by: str
    station: str
    kind: Literal["reading", "batch", "discard", "correction"]
    item: str
    batch: str = ""
    name: str = ""
    value: str = ""
    limit: str = ""
    ok: bool | None = None
    did: str = ""
    amount: int | None = None
    unit: str = ""
    use_by: datetime | None = None
    back: tuple[str, datetime] | None = None


class Record(Struct, frozen=True):
    lines: tuple[Recorded, ...]
    seal: str
    """The log's last line and the head of its hash."""
    first: int
    """The first line of the log that belongs to the record; from there to the last it was proved."""
    broken: tuple[str, ...]
    """What is wrong with that part of the log's chain; nothing while it is whole."""


READINGS = """
    SELECT readings.at, readings.by, readings.station, readings.of, readings.kind,
           coalesce(batches.prep, runs.prep, readings.of), coalesce(batches.name, ''),
           readings.degrees || ' °' || readings.unit, readings.held_to, readings.ok, undone.by, undone.at
    FROM readings JOIN actions ON actions.id = readings.action
    LEFT JOIN actions AS undone ON undone.id = actions.undone_by
    LEFT JOIN batches ON readings.kind = 'batch' AND batches.code = readings.of
    LEFT JOIN runs ON readings.kind = 'run' AND runs.code = readings.of
    WHERE readings.at >= ? AND readings.at < ? ORDER BY readings.at, readings.number"""

TASKS = """
    SELECT at, by, station, task, degrees || ' °' || unit FROM tasks_done
    WHERE degrees IS NOT NULL AND at >= ? AND at < ? ORDER BY at, task"""

MADE = """
    SELECT moves.at, actions.by, actions.station, batches.prep, batches.code, batches.name, moves.amount, batches.unit,
           batches.use_by, batches.why, batches.pack, undone.by, undone.at
    FROM (SELECT DISTINCT action FROM log WHERE at >= ? AND at < ?) AS logged
    CROSS JOIN moves ON moves.action = logged.action JOIN batches ON batches.code = moves.batch
    JOIN actions ON actions.id = moves.action LEFT JOIN actions AS undone ON undone.id = actions.undone_by
    WHERE moves.number = (SELECT min(first.number) FROM moves AS first WHERE first.batch = batches.code)
    ORDER BY moves.at, moves.number"""
"""Whatever moves food has a line in the log of the same moment: through it a day is found among the moves of years."""

DISCARDED = """
    SELECT log.at, log.by, log.station, log.prep, log.batch, coalesce(batches.name, ''), log.before,
           CASE WHEN coalesce(batches.pack, 0) THEN NULL ELSE -moves.amount END, coalesce(batches.unit, ''), log.why,
           undone.by, undone.at
    FROM log JOIN actions ON actions.id = log.action
    LEFT JOIN actions AS undone ON undone.id = actions.undone_by
    LEFT JOIN batches ON batches.code = log.batch
    LEFT JOIN moves ON moves.action = log.action AND moves.batch = log.batch AND moves.kind = 'discarded'
    WHERE log.did = 'discarded' AND log.at >= ? AND log.at < ? ORDER BY log.at, log.number"""

CORRECTED = f"""
    SELECT log.at, log.by, log.station, log.prep, log.batch, coalesce(batches.name, ''), log.did, log.before,
           log.after, log.why, undone.by, undone.at
    FROM log JOIN actions ON actions.id = log.action
    LEFT JOIN actions AS undone ON undone.id = actions.undone_by
    LEFT JOIN batches ON batches.code = log.batch
    WHERE log.did IN ({", ".join(f"'{did}'" for did in PUT_RIGHT)}) AND log.at >= ? AND log.at < ?
    ORDER BY log.at, log.number"""


def record(file: KitchenFile, *, since: datetime, until: datetime | None = None) -> Record:
    """The record from `since` up to, not at, `until`, the oldest line first; and whether the log proves unbroken from
    there on."""
    span = [instant_text(since), instant_text(until) if until else "9999"]
    with file.looking() as db:
        lines = [*_readings(db, span), *_made(db, span), *_discarded(db, span), *_corrected(db, span)]
        last = int(chain.seal(db).partition(" ")[0])
        row = db.execute("SELECT min(number) FROM log INDEXED BY log_at WHERE at >= ?", [span[0]]).fetchone()
        first = last if row[0] is None else int(row[0])
        in_order = tuple(sorted(lines, key=lambda line: line.at))
        return Record(in_order, chain.seal(db), first, tuple(chain.faults(db, first)))


def _readings(db: Connection, span: list[str]) -> list[Recorded]:
    found = []
    for at, by, station, of, kind, item, name, value, held_to, ok, *back in db.execute(READINGS, span):
        code = of if kind in ("batch", "run") else ""
        found.append(
            Recorded(
                instant(at), by, station, "reading", item, code, name, value, held_to,
                None if ok is None else bool(ok), back=_back(back),
            )
        )  # fmt: skip
    for at, by, station, task, value in db.execute(TASKS, span):
        found.append(Recorded(instant(at), by, station, "reading", task, value=value, did="task"))
    return found


def _made(db: Connection, span: list[str]) -> list[Recorded]:
    return [
        Recorded(
            instant(at), by, station, "batch", prep, code, name, value="open" if pack else "", did=why,
            amount=None if pack else amount, unit=unit,
            use_by=instant_or_none(use_by), back=_back(back),
        )
        for at, by, station, prep, code, name, amount, unit, use_by, why, pack, *back in db.execute(MADE, span)
    ]  # fmt: skip


def _discarded(db: Connection, span: list[str]) -> list[Recorded]:
    return [
        Recorded(
            instant(at), by, station, "discard", prep, batch, name, value=before, limit=why, amount=amount, unit=unit,
            back=_back(back),
        )
        for at, by, station, prep, batch, name, before, amount, unit, why, *back in db.execute(DISCARDED, span)
    ]  # fmt: skip


def _corrected(db: Connection, span: list[str]) -> list[Recorded]:
    return [
        Recorded(
            instant(at), by, station, "correction", prep, batch, name, value=after or before,
            limit=", ".join(word for word in (before if after else "", why) if word), did=did, back=_back(back),
        )
        for at, by, station, prep, batch, name, did, before, after, why, *back in db.execute(CORRECTED, span)
    ]  # fmt: skip


def _back(found: list[Any]) -> tuple[str, datetime] | None:
    by, at = found
    return (by, instant(at)) if at else None
