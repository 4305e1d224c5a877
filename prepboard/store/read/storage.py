"""How a batch was kept, as the file has it: its places from when on, its readings, its ways down.

A part has the history of the whole up to when it was divided off.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from sqlite3 import Connection
from typing import Any, cast, get_args

from msgspec import Struct

from prepboard.book.book import Book, Store
from prepboard.book.rules import RuleBook
from prepboard.book.safety.cooling import Start
from prepboard.book.safety.holding import COLD, OUTSIDE, HowKept, Stood
from prepboard.book.safety.judging import Judged, Way, judge
from prepboard.book.safety.temperatures import Reading, within
from prepboard.store.file.times import instant, instant_text
from prepboard.store.read.measured import OF_ONE, READ, SHOWS, a_reading, start_of

Row = dict[str, Any]

FIRST_READ = timedelta(hours=4)
"""Food whose recipe neither heats nor cools, and that is warm when it is first read so soon after it was made, is on
its way down from then: the stricter of both ways' limits (common practice, no source)."""

STANDS = "NOT EXISTS (SELECT 1 FROM moves AS back WHERE back.gives_back = moves.number AND back.kind = 'undone')"

MOVES = f"""
    SELECT number, at, kind, run, why, amount FROM moves WHERE batch = ? AND kind != 'undone' AND {STANDS}
    ORDER BY at, number"""

OF_PLACE = READ + (
    "readings.kind = 'place' AND readings.of = ? AND readings.at >= ? AND readings.at <= ? ORDER BY readings.at"
)
CORRECTED_AT = """
    SELECT corrections.at FROM corrections JOIN actions ON actions.id = corrections.action
    WHERE actions.undone_by IS NULL AND batch = ? ORDER BY corrections.at"""
FIRST_USED = f"SELECT min(at) FROM moves WHERE run = ? AND kind = 'used' AND {STANDS}"

AFTER = timedelta(hours=1)
"""How long after food left a place what is read there still speaks of it; the first reading after that always does."""

FIRST_AFTER = (
    "SELECT min(readings.at) FROM readings JOIN actions ON actions.id = readings.action WHERE actions.undone_by IS NULL"
    f" AND readings.kind = 'place' AND readings.of = ? AND readings.at > ? AND readings.meant != 'exposed' AND {SHOWS}"
)


class Storage(Struct, frozen=True):
    """All of a batch that its marks are worked out from. `made` are the runs that it came from, from when on."""

    row: Row
    held: HowKept
    judged: Judged
    corrected: tuple[datetime, ...]
    made: tuple[tuple[str, datetime], ...]
    divided: tuple[str, datetime] | None


class Files(Struct, frozen=True):
    """What a question to the file needs."""

    db: Connection
    book: Book
    book_of: Callable[[int], Book]
    now: datetime

    def rows(self, sql: str, *values: Any) -> list[Row]:
        cursor = self.db.execute(sql, values)
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor]


def storage_of(files: Files, code: str, more: Reading | None = None) -> Storage | None:
    """With one reading `more` that is not kept yet. None for a batch that was never there, or was taken back."""
    found = files.rows("SELECT * FROM batches WHERE code = ? AND state != 'undone'", code)
    if not found:
        return None
    row = found[0]
    moves, divided = _moves(files, row)
    stood = _stood(files.book, row, moves)
    readings = [*_readings(files, row, divided), *([more] if more else [])]
    made = tuple((str(move["run"]), instant(move["at"])) for move in moves if move["kind"] == "made" and move["run"])
    ready = _ready(row, moves)
    ways, start = _ways(files, row, made, stood, readings, ready, came=_came(moves) is not None)
    judged = judge(files.book.kitchen.rules, ways, files.now)
    first_cold = _first_cold(files, made[0][0]) if made and stood[0].store in OUTSIDE else None
    held = HowKept(
        row["code"],
        ready,
        stood,
        tuple(sorted((*_run_readings(files, made[:1]), *readings), key=lambda one: one.at)),
        {place: _of_place(files, place, stood) for place in {one.place for one in stood}},
        judged.coolings,
        start.at if start and start.known and start.hot and not start.both else None,
        first_cold,
        frozenset(_cold_enough(files.book)),
        tuple(at for _run, at in made[1:]),
    )
    corrected = [instant(at) for (at,) in files.db.execute(CORRECTED_AT, [code])]
    for parent in _parents(files, row):
        corrected += [instant(at) for (at,) in files.db.execute(CORRECTED_AT, [parent])]
    return Storage(row, held, judged, tuple(sorted(corrected)), made, divided)


def _ready(row: Row, moves: Sequence[Row]) -> datetime:
    """From when on this kitchen knows how it was kept: of what came from another one since it came, by this clock."""
    came = _came(moves)
    return instant(came["at"]) if came else instant(row["made_at"])


def _came(moves: Sequence[Row]) -> Row | None:
    """The move by which it, or the whole that it is a part of, came from another kitchen."""
    return next((move for move in moves if move["kind"] == "received"), None)


def _parents(files: Files, row: Row) -> list[str]:
    found: list[str] = []
    while row["parent"]:
        found.append(str(row["parent"]))
        row = files.rows("SELECT * FROM batches WHERE code = ?", row["parent"])[0]
    return found


def _moves(files: Files, row: Row) -> tuple[list[Row], tuple[str, datetime] | None]:
    """Its moves, those of the whole before it was divided off first; and from what, when it was."""
    own = files.rows(MOVES, row["code"])
    if not row["parent"] or not own:
        return own, None
    at = own[0]["at"]
    (whole,) = files.rows("SELECT * FROM batches WHERE code = ?", row["parent"])
    before, _divided = _moves(files, whole)
    return [move for move in before if move["at"] <= at] + own, (str(row["parent"]), instant(at))


def _stood(book: Book, row: Row, moves: Sequence[Row]) -> tuple[Stood, ...]:
    brought = [move for move in moves if move["kind"] in ("moved", "frozen", "thawed")]
    first = next((move for move in moves if move["kind"] in ("made", "opened", "counted", "received")), None)
    stays = json.loads(row["stays"])
    begin = _ready(row, moves)
    if _came(moves) is not None:
        # What was before is the sender's to know.
        stays = [stay for stay in stays if stay[1] <= instant_text(begin)][-1:] or stays
    place = first["why"] if first else ""
    if not place and not brought:
        place = row["place"]
    found = [Stood(place.rstrip("?"), cast(Store, stays[0][0]), begin, bool(place) and not place.endswith("?"))]
    for move in brought:
        store = _store(book, str(move["why"]), found[-1].store)
        found.append(Stood(str(move["why"]), store, max(begin, instant(move["at"]))))
    return tuple(found)


def _store(book: Book, place: str, otherwise: Store) -> Store:
    known = book.places.get(place)
    if known is not None:
        return known.store
    return cast(Store, place) if place in get_args(Store) else otherwise


def _readings(files: Files, row: Row, divided: tuple[str, datetime] | None) -> list[Reading]:
    own = [a_reading(found) for found in files.db.execute(READ + OF_ONE, [row["code"], ""])]
    if divided is None:
        return own
    (whole,) = files.rows("SELECT * FROM batches WHERE code = ?", divided[0])
    before = _readings(files, whole, _moves(files, whole)[1])
    return [one for one in before if one.at <= divided[1]] + own


def _run_readings(files: Files, made: Iterable[tuple[str, datetime]]) -> list[Reading]:
    found = []
    for run, at in made:
        of_run = (a_reading(row) for row in files.db.execute(READ + OF_ONE, ["", run]))
        found += [one for one in of_run if one.at <= at]
    return found


def _ways(
    files: Files,
    row: Row,
    made: tuple[tuple[str, datetime], ...],
    stood: tuple[Stood, ...],
    readings: list[Reading],
    ready: datetime,
    *,
    came: bool,
) -> tuple[list[Way], Start | None]:
    """One way down for each run that went in, each from its own hot step's end, and one whenever it left the hot; and
    the start of the first. No way of what came from another kitchen goes back to there: one cooling is not judged over
    two clocks."""
    rules = files.book.kitchen.rules
    hot = [stay.since for stay in stood if stay.store == "hot"]
    first: Start | None = None
    ways: list[Way] = []
    for index, (run, at) in enumerate(made):
        start = start_of(files.db, run, files.book_of)
        if start is not None and start.at > at:
            start = Start(at, start.hot, start.both, start.known)  # A part that was taken out before the end.
        read = [*_run_readings(files, [(run, at)]), *(one for one in readings if one.at >= at)]
        if start is None and stood[0].store not in (*OUTSIDE, "hot"):
            start = _first_warm(rules, read, at)
        first = start if index == 0 else first
        ends = next((since for since in hot if start and since >= start.at), None)
        chilled = next((stay.since for stay in stood if stay.store in COLD and start and stay.since >= start.at), None)
        ways.append(Way(start, read, ends, chilled))
    if not made and stood[0].store not in (*OUTSIDE, "hot") and not row["pack"] and not came:
        ways.append(Way(_first_warm(rules, readings, ready), readings))
    for stay, following in pairwise(stood):
        if stay.store == "hot" and following.store != "hot":
            ends = next((since for since in hot if since > following.since), None)
            later = [one for one in readings if one.at >= following.since]
            ways.append(Way(Start(following.since, hot=True), later, ends))
    return ways, first


def _first_warm(rules: RuleBook, readings: Iterable[Reading], ready: datetime) -> Start | None:
    first = min(
        (one for one in readings if one.at >= ready and one.meant != "core"), key=lambda one: one.at, default=None
    )
    if first is None or within(rules, "cold_holding", first) or first.at - ready > FIRST_READ:
        return None
    return Start(ready, hot=True, both=True)


def _of_place(files: Files, place: str, stood: tuple[Stood, ...]) -> tuple[Reading, ...]:
    begins = [one.since for one in stood if one.place == place]
    last = len(stood) - 1
    ends = [stood[at + 1].since if at < last else files.now for at, one in enumerate(stood) if one.place == place]
    (following,) = files.db.execute(FIRST_AFTER, [place, instant_text(max(ends))]).fetchone()
    span = instant_text(min(begins)), max(following or "9999", instant_text(max(ends) + AFTER))
    return tuple(a_reading(row) for row in files.db.execute(OF_PLACE, [place, *span]))


def _first_cold(files: Files, run: str) -> datetime | None:
    """When a run took its first thing; where nobody saw it start, as long before its end as its steps take."""
    (row,) = files.rows("SELECT * FROM runs WHERE code = ?", run)
    (used,) = files.db.execute(FIRST_USED, [run]).fetchone()
    if row["recorded"]:
        return instant(used or row["started"])
    recipe = files.book_of(row["book"]).preps[row["prep"]]
    least = sum(step.wait + (step.hands_on + step.hands_on_each) // 60 for step in recipe.steps)
    return instant(row["started"]) - timedelta(minutes=least)


def _cold_enough(book: Book) -> Iterable[str]:
    """The places that are cold enough for the longer time out of control, by the book."""
    key = "time_control_cold_limit"
    if key not in book.kitchen.rules.rules:
        return
    for place in book.places.values():
        if place.store == "time" and place.temperature:
            said = Reading(place.id, "place", AT_ALL, place.temperature.degrees, place.temperature.unit)
            if within(book.kitchen.rules, key, said):
                yield place.id


AT_ALL = datetime(1970, 1, 1, tzinfo=UTC)
