"""The record for an inspector: what was read, made, moved, counted, thrown away, put right and signed, as it was
written down then.

Every line has two moments: when it was, and when it was entered. Readings carry the limit that they were held to when
they were taken, stay in the record when they are taken back, and name the one that took their place.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from sqlite3 import Connection
from typing import Any, Literal

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.store.file import chain
from prepboard.store.file.times import instant, instant_or_none, instant_text
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.older import words_of
from prepboard.store.past.probes import Check, Checks
from prepboard.texts import recognized, told

Kind = Literal[
    "reading", "batch", "discard", "correction", "place", "count", "delivery", "sign-off", "task", "run", "rules",
    "clock", "incident", "probe",
]  # fmt: skip

LOGGED: Mapping[str, Kind] = {
    **dict.fromkeys(("moved", "frozen", "thawed", "split"), "place"),
    **dict.fromkeys(("counted", "not there"), "count"),
    **dict.fromkeys(("delivered", "arrived", "sent back"), "delivery"),
    **dict.fromkeys(("dispatched", "taken back", "received", "refused", "arrived there", "settled"), "delivery"),
    **dict.fromkeys(("lost", "instead"), "run"),
    **dict.fromkeys(
        (
            "corrected",
            "label corrected",
            "relabelled",
            "counts on",
            "kept",
            "blocked",
            "unblocked",
            "withdrawn",
            "undo",
            "restored",
            "lot typed",
            "held back elsewhere",
            "let go elsewhere",
            "seen to",
        ),
        "correction",
    ),
    "signed": "sign-off",
    "task": "task",
    "loaded": "rules",
    "clock": "clock",
    "incident": "incident",
    "probe checked": "probe",
}
"""The log's words that stand in the record, and as what."""

CHANGES = frozenset({"moved", "frozen", "thawed", "split", "counted", "instead"})
"""Of these both what it was and what it is are told."""

IN_ITS_PLACE = timedelta(hours=2)
"""A reading of the same so soon after one was taken back is what took its place."""


class Recorded(Struct, frozen=True):
    """One line of the record. `batch` is a code of a batch or a run, `item` a prep, a good, a place or a task.

    `value` and `limit` are as they were written down; of a discard and a batch `amount` is in millionths and `unit`
    its base unit, of a batch `use_by` is the one that stands now. `back` says who took it back, and when. `entered` is
    when it was typed, `source` from which other record. `of` is what a reading is of.
    """

    at: datetime
    by: str
    station: str
    kind: Kind
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
    entered: datetime | None = None
    source: str = ""
    of: str = ""
    meant: str = ""
    """What a reading was judged as."""
    role: str = ""
    replaced_by: str = ""
    """Of a reading that was taken back: what was read in its place, and when that was entered."""
    in_place_of: str = ""
    """Of a reading: the one that was taken back before it."""
    replaced_at: datetime | None = None
    probe: str = ""
    """What a reading was taken with."""
    checked: Check | None = None
    """Of a reading with a probe: the probe's last check before it."""
    found_out: Check | None = None
    """And its next one after it, where that was out of tolerance."""


class Record(Struct, frozen=True):
    lines: tuple[Recorded, ...]
    seal: str
    """The log's last line and the head of its hash."""
    first: int
    """The first line of the log that belongs to the record; from there to the last it was proved."""
    broken: tuple[str, ...]
    """What is wrong with that part of the log's chain; nothing while it is whole."""
    loaded: Mapping[str, Book]
    """The books that were loaded in that time, by their version."""
    book_of: tuple[str, datetime] | None = None
    """Who loaded the book that counts now, and when."""
    clock_set: datetime | None = None
    """When the clock of this file was first set by hand."""


# An action's own `entered` is empty where it was typed as it happened.
READINGS = """
    SELECT readings.at, readings.by, readings.station, readings.of, readings.kind,
           coalesce(batches.prep, runs.prep, readings.of), coalesce(batches.name, ''),
           readings.degrees || ' °' || readings.unit, readings.held_to, readings.ok, readings.meant,
           readings.entered, readings.from_record, readings.probe, undone.by, undone.at
    FROM readings JOIN actions ON actions.id = readings.action
    LEFT JOIN actions AS undone ON undone.id = actions.undone_by
    LEFT JOIN batches ON readings.kind = 'batch' AND batches.code = readings.of
    LEFT JOIN runs ON readings.kind = 'run' AND runs.code = readings.of
    WHERE readings.at >= ? AND readings.at < ? ORDER BY readings.at, readings.number"""

TASKS = """
    SELECT at, by, station, task, degrees || ' °' || unit, probe FROM tasks_done
    WHERE degrees IS NOT NULL AND at >= ? AND at < ? ORDER BY at, task"""

MADE = """
    SELECT moves.at, actions.by, actions.station, batches.prep, batches.code, batches.name, moves.amount, batches.unit,
           batches.use_by, batches.why, batches.pack, actions.entered, undone.by, undone.at
    FROM (SELECT DISTINCT action FROM log WHERE at >= ? AND at < ?) AS logged
    CROSS JOIN moves ON moves.action = logged.action JOIN batches ON batches.code = moves.batch
    JOIN actions ON actions.id = moves.action LEFT JOIN actions AS undone ON undone.id = actions.undone_by
    WHERE moves.number = (SELECT min(first.number) FROM moves AS first WHERE first.batch = batches.code)
    ORDER BY moves.at, moves.number"""
"""Whatever moves food has a line in the log of the same moment: through it a day is found among the moves of years."""

DISCARDED = """
    SELECT log.at, log.by, log.station, log.prep, log.batch, coalesce(batches.name, ''), log.before,
           CASE WHEN coalesce(batches.pack, 0) THEN NULL ELSE -moves.amount END, coalesce(batches.unit, ''), log.why,
           actions.entered, undone.by, undone.at
    FROM log JOIN actions ON actions.id = log.action
    LEFT JOIN actions AS undone ON undone.id = actions.undone_by
    LEFT JOIN batches ON batches.code = log.batch
    LEFT JOIN moves ON moves.action = log.action AND moves.batch = log.batch AND moves.kind = 'discarded'
    WHERE log.did = 'discarded' AND log.at >= ? AND log.at < ? ORDER BY log.at, log.number"""

OF_THE_LOG = f"""
    SELECT log.at, log.by, log.role, log.station, log.prep, log.batch, coalesce(batches.name, ''), log.did, log.before,
           log.after, log.why, actions.entered, undone.by, undone.at
    FROM log JOIN actions ON actions.id = log.action
    LEFT JOIN actions AS undone ON undone.id = actions.undone_by
    LEFT JOIN batches ON batches.code = log.batch
    WHERE log.did IN ({", ".join(f"'{did}'" for did in LOGGED)}) AND log.at >= ? AND log.at < ?
    ORDER BY log.at, log.number"""

CLOCK_SET = "SELECT min(at) FROM log WHERE did = 'clock'"
BOOK_OF = "SELECT by, loaded_at FROM book ORDER BY version DESC LIMIT 1"


def record(file: KitchenFile, *, since: datetime, until: datetime | None = None) -> Record:
    """The record from `since` up to, not at, `until`, the oldest line first; and whether the log proves unbroken from
    there on."""
    span = [instant_text(since), instant_text(until) if until else "9999"]
    with file.looking() as db:
        lines = [*_linked(_readings(db, span)), *_made(db, span), *_discarded(db, span), *_of_the_log(db, span)]
        last = int(chain.seal(db).partition(" ")[0])
        row = db.execute("SELECT min(number) FROM log INDEXED BY log_at WHERE at >= ?", [span[0]]).fetchone()
        first = last if row[0] is None else int(row[0])
        in_order = tuple(sorted(lines, key=lambda line: line.at))
        clock = db.execute(CLOCK_SET).fetchone()[0]
        book = db.execute(BOOK_OF).fetchone()
        versions = dict.fromkeys(line.value for line in lines if line.kind == "rules" and line.value.isdigit())
        return Record(
            in_order,
            chain.seal(db),
            first,
            tuple(chain.faults(db, first)),
            {version: file.book(db, int(version)) for version in versions},
            (book[0], instant(book[1])) if book else None,
            instant_or_none(clock),
        )


def _readings(db: Connection, span: list[str]) -> list[Recorded]:
    found = []
    checks = Checks(db)
    for row in db.execute(READINGS, span):
        at, by, station, of, kind, item, name, value, held_to, ok, meant, entered, source, probe, *back = row
        code = of if kind in ("batch", "run") else ""
        found.append(
            Recorded(
                instant(at), by, station, "reading", item, code, told(name), value, recognized(held_to),
                None if ok is None else bool(ok), back=_back(back), entered=_entered(at, entered), source=source,
                of=of, meant=meant, probe=probe,
                checked=checks.before(probe, at), found_out=checks.found_out(probe, at),
            )
        )  # fmt: skip
    for at, by, station, task, value, probe in db.execute(TASKS, span):
        when = instant(at)
        found.append(
            Recorded(
                when, by, station, "reading", task, value=value, did="task", entered=when, probe=probe,
                checked=checks.before(probe, at), found_out=checks.found_out(probe, at),
            )
        )  # fmt: skip
    return found


def _linked(lines: list[Recorded]) -> list[Recorded]:
    """Each reading that was taken back, and what was read in its place."""
    found = list(lines)
    for index, line in enumerate(found):
        if line.back is None or not line.of:
            continue
        taken_back = line.back[1]
        later = [
            other
            for other, one in enumerate(found)
            if other != index
            and one.of == line.of
            and one.entered
            and taken_back <= one.entered <= taken_back + IN_ITS_PLACE
        ]
        if later:
            other = min(later, key=lambda one: found[one].entered or taken_back)
            found[index] = replace(line, replaced_by=found[other].value, replaced_at=found[other].at)
            found[other] = replace(found[other], in_place_of=line.value)
    return found


def _made(db: Connection, span: list[str]) -> list[Recorded]:
    found = []
    for row in db.execute(MADE, span):
        at, by, station, prep, code, name, amount, unit, use_by, why, pack, entered, *back = row
        found.append(
            Recorded(
                instant(at), by, station, "batch", prep, code, told(name), value="open" if pack else "", did=why,
                amount=None if pack else amount, unit=unit, use_by=instant_or_none(use_by), back=_back(back),
                entered=_entered(at, entered),
            )
        )  # fmt: skip
    return found


def _discarded(db: Connection, span: list[str]) -> list[Recorded]:
    return [
        Recorded(
            instant(at), by, station, "discard", prep, batch, told(name), value=recognized(before), limit=told(why),
            amount=amount, unit=unit, back=_back(back), entered=_entered(at, entered),
        )
        for at, by, station, prep, batch, name, before, amount, unit, why, entered, *back in db.execute(DISCARDED, span)
    ]  # fmt: skip


def _of_the_log(db: Connection, span: list[str]) -> list[Recorded]:
    found = []
    for row in db.execute(OF_THE_LOG, span):
        at, by, role, station, prep, batch, name, did, before, after, why, entered, *back = row
        before, after, why = words_of(did, before, after, why)
        if did == "task" and after:
            continue  # What was read stands as a reading.
        limit = ", ".join(word for word in (before if after else "", why) if word)
        if did in CHANGES or did == "probe checked":
            limit = why
        if did == "undo":
            after, limit = before.partition(". ")[0], ""
        found.append(
            Recorded(
                instant(at), by, station, LOGGED[did], prep, batch, told(name), value=_change(did, before, after),
                limit=limit, did=did, ok=not before if did == "probe checked" else None, back=_back(back),
                entered=_entered(at, entered), role=role,
            )
        )  # fmt: skip
    return found


def _change(did: str, before: str, after: str) -> str:
    """What it was and what it is, where both are places, amounts or names; else what it is."""
    if did in CHANGES and before and after:
        return f"{before} → {after}"
    return after or before


def _entered(at: str, entered: str) -> datetime:
    return instant(entered or at)


def _back(found: list[Any]) -> tuple[str, datetime] | None:
    by, at = found
    return (by, instant(at)) if at else None
