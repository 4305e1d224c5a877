"""A file of ten years, made quickly, against the same kitchen without a past: its size, and what it costs to look at.

One day is done by the same actions that keys call: the demo's Saturday, with plates one at a time. It is then copied
into the past in SQL, day by day, under other codes and numbers. What undo needs is kept of the last week only, as the
kitchen itself keeps it; `--all-changes` keeps it of every day, to see what that would cost and how it goes.

Run it by hand: python tests/benchmarks/ten_years.py [--years 10] [--plates 250] [--keep FILE] [--all-changes]
A FILE that is there is looked at as it is.
"""

from __future__ import annotations

import argparse
import shutil
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from prepboard.clock import FixedClock
from prepboard.demo import ZONE, build
from prepboard.plan.board import plan
from prepboard.plan.leftovers.waste_report import report_of
from prepboard.store.actions.food.making import done
from prepboard.store.actions.history import keep_learned
from prepboard.store.actions.night.service import plate
from prepboard.store.file.chain import LINKS, link
from prepboard.store.file.codes import new_code
from prepboard.store.file.ids import SECONDS
from prepboard.store.file.who import Did, Refused, Who
from prepboard.store.health.letting_go import let_go
from prepboard.store.health.upkeep import check_now
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.record import record
from prepboard.store.past.waste import past_waste
from prepboard.store.transaction.doing import Doing, act

EVENING = datetime(2026, 6, 13, 19, 45, tzinfo=ZONE).astimezone(UTC)
DAILY = (
    "actions", "log", "moves", "plates", "runs", "batches", "food", "readings", "corrections", "notes", "tasks_done",
    "signed", "services", "goods_discarded", "ran_out", "changes",
)  # fmt: skip
NUMBERED = {"plate": "plates", "gives_back": "moves"}
OF_ACTION = {"action", "undone_by"}
CODES = {"batch", "run", "parent", "code"}
WEEK = 7
A_MONTH = 30
"""Days behind the file that the old one is compared with: an empty one would have nothing to show."""


def a_day(path: Path, plates: int) -> None:
    """The demo up to its evening, with food enough for plates one at a time."""
    build(path, at=EVENING)
    file = KitchenFile.open(path, FixedClock(EVENING, set_by_hand=False))
    board, who = plan(file.read(), EVENING), Who("MR", "pass")
    (sitting, *_rest) = [(one.service, one.day) for one in board.sittings if one.running]
    for prep in board.state.book.preps:
        with suppress(Refused):
            done(file, who, prep=prep)
    with file.looking() as db:
        (out,) = db.execute("SELECT count(*) FROM plates WHERE at >= '2026-06-13T02'").fetchone()
    dishes = [dish for dish, one in board.state.book.dishes.items() if not one.services or sitting[0] in one.services]
    for number in range(max(0, plates - out)):
        with suppress(Refused):
            plate(file, who, sitting, dishes[number % len(dishes)], 1)
    file.close()


def grow(path: Path, days: int, *, all_changes: bool, only_plates: bool = False) -> None:
    """Copies the last business day so many days into the past; or only what its plates left."""
    daily = ("actions", "log", "moves", "plates") if only_plates else DAILY
    db = sqlite3.connect(path, isolation_level=None)
    for pragma in ("foreign_keys = OFF", "synchronous = OFF", "journal_mode = MEMORY", "cache_size = -400000"):
        db.execute(f"PRAGMA {pragma}")
    later = db.execute("SELECT type, name, sql FROM sqlite_master WHERE type IN ('trigger', 'index') AND sql != ''")
    again = [(kind, name, sql) for kind, name, sql in later.fetchall()]
    for kind, name, _sql in again:
        db.execute(f'DROP {kind} "{name}"')
    _codes(db)
    _day(db, "= 'plate'" if only_plates else "NOT IN ('load', 'clock', 'past plates')")
    span = {name: (db.execute(f"SELECT max(rowid) FROM {name}").fetchone()[0] or 0) + 1 for name in DAILY}
    span["moves"] = db.execute("SELECT max(number) + 1 FROM day_moves").fetchone()[0]
    db.execute("BEGIN")
    for table in DAILY:
        _to_the_end(db, table, span, days)
    for table in DAILY:
        if table == "moves":
            _to_the_end(db, table, span, days, "day_moves")
        else:
            db.execute(f"CREATE TEMP TABLE day_{table} AS SELECT * FROM {table} WHERE {_is_of_the_day(table)}")
    for back in range(days, 0, -1):
        for table in daily:
            if table != "changes" or all_changes or back <= WEEK:
                db.execute(_copied(db, table, span, days - back, back))
    _chain(db)
    db.execute("COMMIT")
    for _kind, _name, sql in again:
        db.execute(sql)
    db.execute("PRAGMA journal_mode = WAL")
    db.close()


def _codes(db: sqlite3.Connection) -> None:
    """A code of the length that the program would have drawn on a day so far back, for one of the last day."""
    known = {code for (code,) in db.execute("SELECT code FROM batches UNION SELECT code FROM runs")}
    random, given = Random(1), {}

    def code_of(code: str, back: int) -> str:
        if (code, back) not in given:
            new = new_code(random, known.__contains__)
            known.add(new)
            given[code, back] = new
        return given[code, back]

    db.create_function("code_of", 2, code_of, deterministic=True)


def _day(db: sqlite3.Connection, which: str) -> None:
    """Which rows are the last business day's: what its actions did, and the food that they touched. What was there of
    that food before the day counts as made on it."""
    db.execute(f"CREATE TEMP TABLE day_ids AS SELECT id FROM actions WHERE at >= '2026-06-13T02' AND did {which}")
    db.execute("CREATE INDEX temp.days ON day_ids (id)")
    db.execute("CREATE TEMP TABLE day_moves AS SELECT * FROM moves WHERE action IN (SELECT id FROM day_ids)")
    db.execute(
        "CREATE TEMP TABLE day_codes AS SELECT batch AS code FROM day_moves"
        " UNION SELECT code FROM runs WHERE started >= '2026-06-13T02'"
    )
    db.execute("CREATE INDEX temp.codes ON day_codes (code)")
    before = """
        SELECT code, left - (SELECT coalesce(sum(amount), 0) FROM day_moves WHERE batch = code) AS there FROM batches
        WHERE code IN (SELECT code FROM day_codes) AND there != 0"""
    (number,) = db.execute("SELECT max(number) FROM moves").fetchone()
    (first,) = db.execute("SELECT id FROM day_ids LIMIT 1").fetchone()
    for code, there in db.execute(before).fetchall():
        number += 1
        db.execute(
            "INSERT INTO day_moves (number, action, at, batch, kind, amount, why)"
            " VALUES (?, ?, '2026-06-13T02:00:00Z', ?, 'made', ?, '')",
            [number, first, code, there],
        )


def _is_of_the_day(table: str) -> str:
    if table == "actions":
        return "id IN (SELECT id FROM day_ids)"
    if table in ("runs", "batches", "food"):
        return "code IN (SELECT code FROM day_codes)"
    if table in ("log", "readings", "corrections", "changes"):
        return "action IN (SELECT id FROM day_ids)"
    if table in ("tasks_done", "signed", "services", "ran_out"):
        return "day = '2026-06-13'"
    return "at >= '2026-06-13T02'"


def _columns(db: sqlite3.Connection, table: str) -> list[str]:
    return [row[1] for row in db.execute(f"PRAGMA table_info({table})")]


def _to_the_end(db: sqlite3.Connection, table: str, span: dict[str, int], days: int, into: str = "") -> None:
    """Numbers grow with time: what is there stands behind all the days that are put before it."""
    for column in _columns(db, table):
        of = table if column == "number" else NUMBERED.get(column)
        if of and table not in ("notes", "goods_discarded"):
            by = span[of] * days
            db.execute(f"UPDATE {into or table} SET {column} = {column} + {by} WHERE {column} IS NOT NULL")
    if table == "notes":
        db.execute(f"UPDATE notes SET number = number + {span[table] * days}")


def _copied(db: sqlite3.Connection, table: str, span: dict[str, int], at: int, back: int) -> str:
    columns = _columns(db, table)
    said = ", ".join(_moved(table, column, span, at, back) for column in columns)
    return f"INSERT OR IGNORE INTO {table} ({', '.join(columns)}) SELECT {said} FROM day_{table}"


def _moved(table: str, column: str, span: dict[str, int], at: int, back: int) -> str:
    """A column as it was so many days ago."""
    of = table if column == "number" else NUMBERED.get(column)
    if of:
        days = at if of in span else 0
        return f"{column} - {span[of]} * ({back + at} - {days})"
    if column in OF_ACTION or (table == "actions" and column == "id"):
        # Ids grow with time: an earlier day's stand before.
        return f"printf('%0{SECONDS}d', {at}) || substr({column}, {SECONDS + 1})"
    if column in CODES or (table == "readings" and column == "of"):
        known = f"{column} IN (SELECT code FROM day_codes)"
        return f"CASE WHEN {known} THEN code_of({column}, {back}) ELSE {column} END"
    if column == "line":
        return f"{column} || printf('.%x', {back})"
    if table == "notes" and column in ("done_at", "done_by"):
        at_ = "strftime('%Y-%m-%dT%H:%M:%SZ', at, '-{back} days')"
        return at_.format(back=back) if column == "done_at" else "'MR'"
    if column == "state":
        return "CASE state WHEN 'live' THEN 'closed' WHEN 'under way' THEN 'done' ELSE state END"
    if column in (
        "answer",
        "holds",
        "marks",
        "texts",
        "before",
        "after",
        "left",
        "amount",
        "n",
        "step",
        "size",
        "book",
    ):
        return column
    return (
        f"CASE WHEN {column} GLOB '[12]???-??-??T*Z' THEN strftime('%Y-%m-%dT%H:%M:%SZ', {column}, '-{back} days')"
        f" WHEN {column} GLOB '[12]???-??-??' THEN date({column}, '-{back} days') ELSE {column} END"
    )


def _chain(db: sqlite3.Connection) -> None:
    """The log as one unbroken chain again; what its old lines hold is that of another day, so it is sealed from now."""
    columns = "action, at, by, role, station, did, batch, prep, dish, before, after, why"
    before, new = "", []
    rows = db.execute(f"SELECT rowid, holds, {columns} FROM log ORDER BY number").fetchall()
    # Lines stand without a gap.
    db.execute("UPDATE log SET number = -number")
    for number, (old, holds, *words) in enumerate(rows, 1):
        more = [holds] if holds else []
        before = link(before, number, words, *more)[: LINKS[0]]
        new.append((number, before, -old))
    db.executemany("UPDATE log SET number = ?, chain = ? WHERE number = ?", new)
    db.execute("DELETE FROM held_batches")
    keep = "INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)"
    db.execute(keep, ["log seal", f"{len(rows)} {before}"])
    db.execute(keep, ["sealed from", str(db.execute("SELECT max(number) FROM actions").fetchone()[0])])


def hold(file: KitchenFile) -> None:
    """The food that is there is held by a line again, as it is in a file that grew by itself."""

    def body(doing: Doing) -> Did:
        for row in doing.rows("SELECT code, left FROM batches WHERE state = 'live'"):
            doing.put("batches", row)
        return doing.answer("held")

    act(file, Who("MR", "pass"), "note", body)


LOOKS: dict[str, Callable[[KitchenFile], object]] = {
    "open and read": lambda file: _opened(file.path).close(),
    "board, first paint (read, plan)": lambda file: plan(file.read(), EVENING),
    "close": lambda file: plan(file.read(), EVENING).closing,
    "waste, first page": lambda file: _waste(file),
    "record of the day": lambda file: record(file, since=EVENING - timedelta(hours=18)),
    "check, incremental": lambda file: check_now(file, whole=False),
}


def _opened(path: Path) -> KitchenFile:
    file = KitchenFile.open(path, FixedClock(EVENING, set_by_hand=False))
    file.read()
    return file


def _waste(file: KitchenFile) -> object:
    state = file.read()
    since, until = EVENING - timedelta(days=13), EVENING + timedelta(seconds=1)
    return report_of(state.book, past_waste(file, since, until), since, until, "day")


def compare(paths: list[Path], times: int) -> None:
    """Each look at each file, in turns; the median processor time in milliseconds."""
    files = [KitchenFile.open(path, FixedClock(EVENING, set_by_hand=False)) for path in paths]
    for name, look in LOOKS.items():
        spent: list[list[float]] = [[] for _ in files]
        for _turn in range(times):
            for file, of_file in zip(files, spent, strict=True):
                began = time.process_time()
                look(file)
                of_file.append((time.process_time() - began) * 1000)
        few, many = (statistics.median(one) for one in spent)
        print(f"{name:34} {few:8.1f} ms {many:8.1f} ms   {many / few:5.2f} x", flush=True)
    for file in files:
        file.close()


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--years", type=float, default=10)
    asked.add_argument("--plates", type=int, default=250)
    asked.add_argument("--times", type=int, default=9)
    asked.add_argument("--keep", type=Path)
    asked.add_argument("--all-changes", action="store_true")
    asked.add_argument("--only-plates", action="store_true", help="print only how much the plates leave")
    wanted = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        young, old = Path(folder) / "young.db", wanted.keep or Path(folder) / "old.db"
        a_day(young, wanted.plates)
        if wanted.only_plates:
            shutil.copy(young, old)
            before, days = old.stat().st_size, round(wanted.years * 365)
            grow(old, days, all_changes=False, only_plates=True)
            grown = old.stat().st_size - before
            print(f"{grown / 1e6:.0f} MB in {wanted.years} years, {grown / days / wanted.plates:.0f} bytes a plate")
            return
        began = time.monotonic()
        if not old.exists():
            shutil.copy(young, old)
            grow(old, round(wanted.years * 365), all_changes=wanted.all_changes)
        grow(young, A_MONTH, all_changes=False)
        with sqlite3.connect(old) as db:
            rows = {name: db.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in DAILY}
        db.close()
        print(f"made in {time.monotonic() - began:.0f} s; {old.stat().st_size / 1e6:.0f} MB;", rows, flush=True)
        for path in (young, old):
            file = KitchenFile.open(path, FixedClock(EVENING, set_by_hand=False))
            began = time.monotonic()
            first = plan(file.read(), EVENING)
            if first.new_learned:
                keep_learned(file, first.state.version, *first.new_learned)
            hold(file)
            print(f"the first plan, which learns all of the past once: {time.monotonic() - began:.1f} s", flush=True)
            check_now(file)
            file.close()
        file = KitchenFile.open(old, FixedClock(EVENING, set_by_hand=False))
        for _turn in range(2):
            began = time.monotonic()
            gone = let_go(file, breath=0)
            print(f"let go of {gone} rows in {time.monotonic() - began:.1f} s", flush=True)
        began = time.monotonic()
        wrong = check_now(file)
        print(f"check, whole: {time.monotonic() - began:.1f} s; {wrong[:2]}", flush=True)
        file.close()
        compare([young, old], wanted.times)


if __name__ == "__main__":
    sys.exit(main())
