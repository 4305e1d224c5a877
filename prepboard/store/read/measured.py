"""Readings as the file keeps them, from when a run's food cools, and what corrective actions were recorded.

A reading that was taken back counts no more: its action is undone, and its row stays.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime, timedelta
from fractions import Fraction
from sqlite3 import Connection
from typing import Any

from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.book.safety.cooling import Start, cooling_from
from prepboard.book.safety.temperatures import Reading
from prepboard.store.file.times import instant, instant_or_none, instant_text

LOOKED_BACK = timedelta(days=2)
"""Older readings of goods no longer matter to a board, of a place only the last."""

TYPED_LATE = timedelta(minutes=15)
"""A reading that was typed in later than this improves no verdict, unless a sous chef typed it from a named record."""

DOUBTED = """
    readings.probe != '' AND EXISTS (
        SELECT 1 FROM probe_checks AS bad WHERE bad.probe = readings.probe AND NOT bad.ok AND NOT EXISTS (
            SELECT 1 FROM probe_checks AS good
            WHERE good.probe = bad.probe AND good.water = bad.water AND good.ok AND (
                (good.at > readings.at AND good.at < bad.at)
                OR (good.at < readings.at AND (good.at, good.number) > (bad.at, bad.number)))))"""
"""Whether a reading was taken with a probe that was out of tolerance at its check before or after it in either water,
with no good check in the same water between; of the same second nobody knows which came first. Such food counts as not
read: the shorter life."""

SHOWS = f"""(readings.entered = '' OR readings.from_record != ''
        OR julianday(readings.entered) - julianday(readings.at) < 14.9 / 1440) AND NOT ({DOUBTED})"""
"""Whether a reading may show something good: typed as it was taken, or from a record, with a probe in no doubt."""

READ = f"""
    SELECT readings.of, readings.kind, readings.at, readings.degrees, readings.unit, readings.by, readings.meant,
           readings.entered, readings.from_record, {DOUBTED}
    FROM readings JOIN actions ON actions.id = readings.action WHERE actions.undone_by IS NULL AND """

OF_THE_LIVE = """(
    (kind = 'batch' AND of IN (SELECT code FROM batches WHERE state = 'live'))
    OR (kind = 'run' AND of IN (SELECT run FROM batches WHERE state = 'live' AND run IS NOT NULL
                                UNION SELECT code FROM runs WHERE state = 'under way')))
    ORDER BY readings.number"""

# Without the index SQLite would read ten years of them.
ELSEWHERE = READ.replace("FROM readings", "FROM readings INDEXED BY readings_at") + (
    "readings.at >= ? AND kind IN ('place', 'goods') ORDER BY readings.number"
)
LAST = "kind = ? AND of = ? AND readings.at < ? ORDER BY readings.at DESC, readings.number DESC LIMIT 1"

OF_ONE = "((kind = 'batch' AND of = ?) OR (kind = 'run' AND of = ?)) ORDER BY readings.at, readings.number"

COOLS_AT_MOST = timedelta(hours=12)
"""Longer than any code lets food cool."""

MADE_LATELY = """
    SELECT code FROM runs WHERE state = 'under way'
    UNION SELECT run FROM batches WHERE state = 'live' AND run IS NOT NULL AND made_at >= ?"""

CORRECTED = """
    SELECT batch, max(corrections.at) FROM corrections JOIN actions ON actions.id = corrections.action
    WHERE actions.undone_by IS NULL AND batch IN (SELECT code FROM batches WHERE state = 'live') GROUP BY batch"""

CORRECTED_BEFORE = """
    SELECT corrections.at FROM corrections JOIN actions ON actions.id = corrections.action
    WHERE actions.undone_by IS NULL AND batch = ?"""

# The batches that a part was divided from: what was read of them was read of it.
PARENTS = """
    WITH RECURSIVE up (code, parent) AS (
        SELECT code, parent FROM batches WHERE parent IS NOT NULL AND {which}
        UNION SELECT up.code, batches.parent FROM up JOIN batches ON batches.code = up.parent
        WHERE batches.parent IS NOT NULL)
    SELECT code, parent FROM up"""

ANYTHING_MEASURED = """
    SELECT EXISTS (SELECT 1 FROM readings WHERE kind = :kind AND of = :code)
        OR :kind = 'batch' AND (EXISTS (SELECT 1 FROM corrections WHERE batch = :code)
                                OR EXISTS (SELECT 1 FROM batches WHERE code = :code AND parent IS NOT NULL))"""
"""Whether something may have been measured of a batch or a run, or of what a batch is a part of."""

COOLING = "SELECT recorded, book, prep, size, started, state, ended, step_ends FROM runs WHERE code = ?"


def recent(db: Connection, now: datetime, places: Iterable[str]) -> tuple[Reading, ...]:
    """The readings that a plan looks at, in order of time: of live batches and what they are parts of, of their runs,
    of runs under way; the recent ones of places and goods, and the last of each place, however old: out of range it
    stays so until it is read again."""
    since = instant_text(now - LOOKED_BACK)
    rows = [*db.execute(READ + OF_THE_LIVE), *db.execute(ELSEWHERE, [since])]
    for place in places:
        rows += db.execute(READ + LAST, ["place", place, since])
    parts = db.execute("SELECT code, parent FROM batches WHERE state = 'live' AND parent IS NOT NULL").fetchall()
    of_wholes = (replace(one, of=part) for part, parent in parts for one in of_batch(db, parent, None))
    return tuple(sorted((*map(a_reading, rows), *of_wholes), key=lambda reading: reading.at))


def starts(
    db: Connection,
    readings: Iterable[Reading],
    book_of: Callable[[int], Book],
    now: datetime,
    known: Mapping[str, Start] | None = None,
) -> Mapping[str, Start]:
    """From when the food of each run cools: of the runs that were read and those whose batches were, of those under
    way, and of what was made lately, read or not. What is `known` of a run already is not worked out again."""
    runs = {one.of for one in readings if one.kind == "run"}
    codes = [one.of for one in readings if one.kind == "batch"]
    for code in dict.fromkeys(codes):
        row = db.execute("SELECT run FROM batches WHERE code = ?", [code]).fetchone()
        if row and row[0]:
            runs.add(row[0])
    runs |= {run for (run,) in db.execute(MADE_LATELY, [instant_text(now - COOLS_AT_MOST)])}
    known = known or {}
    found = {run: known.get(run) or start_of(db, run, book_of) for run in sorted(runs)}
    return {run: start for run, start in found.items() if start}


def newest(db: Connection) -> tuple[int | None, int | None]:
    """The numbers of the newest reading and the newest correction: rows are only ever added."""
    found = db.execute("SELECT (SELECT max(number) FROM readings), (SELECT max(number) FROM corrections)").fetchone()
    return found[0], found[1]


def is_measured(db: Connection, kind: str, code: str) -> bool:
    """Whether something may have been measured of a batch or a run."""
    return bool(db.execute(ANYTHING_MEASURED, {"kind": kind, "code": code}).fetchone()[0])


def corrections(db: Connection) -> dict[str, datetime]:
    """Live batch -> when the code's corrective action was last recorded."""
    found = {code: instant(at) for code, at in db.execute(CORRECTED)}
    parts = db.execute(PARENTS.format(which="state = 'live'")).fetchall()
    for part, parent in parts:
        for (at,) in db.execute(CORRECTED_BEFORE, [parent]):
            found[part] = max(instant(at), found.get(part, instant(at)))
    return found


def start_of(db: Connection, run: str, book_of: Callable[[int], Book]) -> Start | None:
    """From when a run's food cools, by the recipe that it was started with."""
    row = db.execute(COOLING, [run]).fetchone()
    if row is None:
        return None
    recorded, version, prep, size, started, state, ended, ends = row
    book = book_of(version)
    return cooling_from(
        book.preps[prep],
        Fraction(size),
        book.kitchen.rules,
        started=instant(started) if recorded else None,
        step_ends={int(index): instant(end) for index, end in json.loads(ends).items()},
        ready=instant_or_none(ended) if state == "done" else None,
    )


def of_batch(db: Connection, batch: str, run: str | None) -> list[Reading]:
    """The readings of one batch, of those that it is a part of, and of the run it came from."""
    readings = [a_reading(row) for row in db.execute(READ + OF_ONE, [batch, run or ""])]
    for _part, parent in db.execute(PARENTS.format(which="code = ?"), [batch]).fetchall():
        readings += [a_reading(row) for row in db.execute(READ + OF_ONE, [parent, ""])]
    return readings


def of_place(db: Connection, place: str) -> list[Reading]:
    """All readings of a place."""
    rows = db.execute(READ + "kind = 'place' AND of = ? ORDER BY readings.at, readings.number", [place])
    return [a_reading(row) for row in rows]


def a_reading(row: tuple[Any, ...]) -> Reading:
    of, kind, at, degrees, unit, by, meant, entered, record, doubted = row
    late = bool(entered) and not record and instant(entered) - instant(at) > TYPED_LATE
    return Reading(of, kind, instant(at), Fraction(degrees), unit, by, meant, late or bool(doubted))
