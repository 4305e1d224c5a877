"""A file of ten years, made quickly, against the same kitchen without a past: its size, and what it costs to look at.

One day is done by the same actions that keys call: the demo's Saturday, with plates one at a time. It is then copied
into the past in SQL, day by day, under other codes and numbers. What undo needs is kept of the last week only, as the
kitchen itself keeps it; `--all-changes` keeps it of every day, to see what that would cost and how it goes.

Run it by hand: python tests/benchmarks/ten_years.py [--years 10] [--plates 250] [--keep FILE] [--all-changes]
"""

from __future__ import annotations

import argparse
import json
import shutil
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

from prepboard.clock import FixedClock
from prepboard.demo import ZONE, build
from prepboard.plan.board import plan
from prepboard.plan.leftovers.waste_report import report_of
from prepboard.store.act.letting_go import let_go
from prepboard.store.act.upkeep import check_now
from prepboard.store.actions.service import plate
from prepboard.store.file.who import Refused, Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.record import record
from prepboard.store.past.waste import past_waste

EVENING = datetime(2026, 6, 13, 21, 30, tzinfo=ZONE).astimezone(UTC)
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
    """The demo up to its evening, and plates one at a time."""
    build(path, at=EVENING)
    file = KitchenFile.open(path, FixedClock(EVENING))
    sittings = [(one.service, one.day) for one in plan(file.read(), EVENING).sittings if one.running]
    with file.looking() as db:
        (done,) = db.execute("SELECT count(*) FROM plates WHERE at >= '2026-06-13T02'").fetchone()
    dishes = list(file.read().book.dishes)
    for turn in range(plates * 4):
        if done >= plates:
            break
        try:
            plate(file, Who("MR", "pass"), sittings[0], dishes[turn % len(dishes)], 1)
            done += 1
        except Refused:
            continue
    file.close()


def grow(path: Path, days: int, *, all_changes: bool) -> None:
    """Copies the last business day so many days into the past."""
    db = sqlite3.connect(path, isolation_level=None)
    for pragma in ("foreign_keys = OFF", "synchronous = OFF", "journal_mode = MEMORY", "cache_size = -400000"):
        db.execute(f"PRAGMA {pragma}")
    later = db.execute("SELECT type, name, sql FROM sqlite_master WHERE type IN ('trigger', 'index') AND sql != ''")
    again = [(kind, name, sql) for kind, name, sql in later.fetchall()]
    for kind, name, _sql in again:
        db.execute(f'DROP {kind} "{name}"')
    span = {name: (db.execute(f"SELECT max(rowid) FROM {name}").fetchone()[0] or 0) + 1 for name in DAILY}
    _day(db)
    db.execute("BEGIN")
    for table in DAILY:
        _to_the_end(db, table, span, days)
    for back in range(days, 0, -1):
        for table in DAILY:
            if table != "changes" or all_changes or back <= WEEK:
                db.execute(_copied(db, table, span, days - back, back))
    _chain(db)
    db.execute("COMMIT")
    for _kind, _name, sql in again:
        db.execute(sql)
    db.execute("PRAGMA journal_mode = WAL")
    db.close()


def _day(db: sqlite3.Connection) -> None:
    """Which rows are copied: all that the demo's actions did, so that each day has the food and the runs of a week."""
    not_daily = "('load', 'clock', 'past plates')"
    db.execute(f"CREATE TEMP TABLE day_actions AS SELECT id FROM actions WHERE did NOT IN {not_daily}")
    db.execute("CREATE TEMP TABLE day_codes AS SELECT code FROM batches UNION SELECT code FROM runs")
    db.execute("CREATE INDEX temp.days ON day_actions (id)")
    db.execute("CREATE INDEX temp.codes ON day_codes (code)")


def _is_of_the_day(table: str) -> str:
    if table == "actions":
        return "id IN (SELECT id FROM day_actions)"
    if table in ("runs", "batches", "food"):
        return "code IN (SELECT code FROM day_codes)"
    if table in ("log", "moves", "readings", "corrections", "changes"):
        return "action IN (SELECT id FROM day_actions)"
    if table in ("tasks_done", "signed", "services", "ran_out"):
        return "day = '2026-06-13'"
    return "at >= '2026-06-13T02'"


def _columns(db: sqlite3.Connection, table: str) -> list[str]:
    return [row[1] for row in db.execute(f"PRAGMA table_info({table})")]


def _to_the_end(db: sqlite3.Connection, table: str, span: dict[str, int], days: int) -> None:
    """Numbers grow with time: what is there stands behind all the days that are put before it."""
    for column in _columns(db, table):
        of = table if column == "number" else NUMBERED.get(column)
        if of and table not in ("notes", "goods_discarded"):
            db.execute(f"UPDATE {table} SET {column} = {column} + {span[of] * days} WHERE {column} IS NOT NULL")
    if table == "notes":
        db.execute(f"UPDATE notes SET number = number + {span[table] * days}")


def _copied(db: sqlite3.Connection, table: str, span: dict[str, int], at: int, back: int) -> str:
    columns = _columns(db, table)
    said = ", ".join(_moved(table, column, span, at, back) for column in columns)
    return (
        f"INSERT OR IGNORE INTO {table} ({', '.join(columns)}) SELECT {said} FROM {table} WHERE {_is_of_the_day(table)}"
    )


def _moved(table: str, column: str, span: dict[str, int], at: int, back: int) -> str:
    """A column as it was so many days ago."""
    of = table if column == "number" else NUMBERED.get(column)
    if of:
        days = at if of in span else 0
        return f"{column} - {span[of]} * ({back + at} - {days})"
    if column in OF_ACTION or (table == "actions" and column == "id"):
        return f"substr({column}, 1, 27) || printf('%05x', {back})"
    if column in CODES or (table == "readings" and column == "of"):
        known = f"{column} IN (SELECT code FROM day_codes)"
        return f"CASE WHEN {known} THEN {column} || printf('%x', {back}) ELSE {column} END"
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
        line = json.dumps([before, number, *words, *more], ensure_ascii=False, separators=(",", ":"))
        before = sha256(line.encode()).hexdigest()
        new.append((number, before, -old))
    db.executemany("UPDATE log SET number = ?, chain = ? WHERE number = ?", new)
    keep = "INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)"
    db.execute(keep, ["log seal", f"{len(rows)} {before}"])
    db.execute(keep, ["sealed from", str(db.execute("SELECT max(number) FROM actions").fetchone()[0])])


LOOKS: dict[str, Callable[[KitchenFile], object]] = {
    "open and read": lambda file: _opened(file.path).close(),
    "board, first paint (read, plan)": lambda file: plan(file.read(), EVENING),
    "close": lambda file: plan(file.read(), EVENING).closing,
    "waste, first page": lambda file: _waste(file),
    "record of the day": lambda file: record(file, since=EVENING - timedelta(hours=18)),
    "check, incremental": lambda file: check_now(file, whole=False),
}


def _opened(path: Path) -> KitchenFile:
    file = KitchenFile.open(path, FixedClock(EVENING))
    file.read()
    return file


def _waste(file: KitchenFile) -> object:
    state = file.read()
    since, until = EVENING - timedelta(days=13), EVENING + timedelta(seconds=1)
    return report_of(state.book, past_waste(file, since, until), since, until, "day")


def compare(paths: list[Path], times: int) -> None:
    """Each look at each file, in turns; the median processor time in milliseconds."""
    files = [KitchenFile.open(path, FixedClock(EVENING)) for path in paths]
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
    wanted = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        young, old = Path(folder) / "young.db", wanted.keep or Path(folder) / "old.db"
        a_day(young, wanted.plates)
        shutil.copy(young, old)
        grow(young, A_MONTH, all_changes=False)
        began = time.monotonic()
        grow(old, round(wanted.years * 365), all_changes=wanted.all_changes)
        with sqlite3.connect(old) as db:
            rows = {name: db.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in DAILY}
        db.close()
        print(f"made in {time.monotonic() - began:.0f} s; {old.stat().st_size / 1e6:.0f} MB;", rows, flush=True)
        file = KitchenFile.open(old, FixedClock(EVENING))
        began = time.monotonic()
        first = plan(file.read(), EVENING)
        print(f"first plan of all (learns what was not learned): {time.monotonic() - began:.1f} s", bool(first.make))
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
