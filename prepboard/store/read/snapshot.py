"""From rows to a State: one snapshot, live rows only, so that ten years of history cost nothing."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from sqlite3 import Connection
from typing import Any

from prepboard.book.book import Book, Prep
from prepboard.book.otherwise import AS_WRITTEN, Otherwise, made_otherwise
from prepboard.plan.given.state import Batch, Line, Run, Sitting, State, Tonight
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.times import day_or_none, instant, instant_text
from prepboard.store.read.group import group_of
from prepboard.store.read.handover import handed_over
from prepboard.store.read.learned import first_day, history
from prepboard.store.read.measured import corrections, recent, starts
from prepboard.store.read.schedules import Known, placements
from prepboard.store.read.stays import read_marks
from prepboard.store.read.tonight import differences
from prepboard.texts import _

RECENT = timedelta(days=2)
"""Sittings of so many business days back are still looked at."""

RECENT_NEEDS = timedelta(days=14)
"""Lines of needs this old no longer stand in any plan."""

RUNS_UNDER_WAY = """
    SELECT runs.code, line, prep, book, size, outputs, started, step, step_began, taken, by, station, first_day,
           first_safety, instead, other_places, marks, step_ends
    FROM runs LEFT JOIN food ON food.kind = 'run' AND food.code = runs.code
    WHERE state = 'under way' ORDER BY started, runs.code"""

# How often a need was run for. Lines are numbered from 0, and the second may be started before the first: the next
# number is above all that were used, so that no line comes twice.
LINES_RUN = """
    SELECT prep, need, max(count(*), max(n) + 1) FROM runs INDEXED BY runs_by_day
    WHERE line IS NOT NULL AND state != 'undone' AND need_day >= ? GROUP BY prep, need
    UNION
    SELECT prep, need, max(count(*), max(n) + 1) FROM runs
    WHERE line IS NOT NULL AND state != 'undone'
      AND need IN (SELECT 'run.' || code FROM runs WHERE state = 'under way') GROUP BY prep, need"""

PLATES = """
    SELECT service, day, dish, sum(n - back) FROM plates WHERE day >= ? AND again = ''
    GROUP BY service, day, dish"""


# A plate that was taken back was none.
LAST_PLATES = """
    SELECT service, day, dish, max(at) FROM plates WHERE day >= ? AND again = '' AND back < n
    GROUP BY service, day, dish"""

# Of counts that were not taken back.
COUNTED = """
    SELECT log.prep, max(log.at) FROM log JOIN actions ON actions.id = log.action
    WHERE log.at >= ? AND log.did = 'counted' AND actions.undone_by IS NULL GROUP BY log.prep"""


def newest_book(db: Connection) -> int:
    """The version of the book that counts now; StoreFault when none was ever loaded."""
    version = db.execute("SELECT max(version) FROM book").fetchone()[0]
    if version is None:
        raise StoreFault(_("no book has been loaded into this file yet"))
    return int(version)


def version_of(db: Connection) -> int:
    """Grows with every write of prepboard's own."""
    return int(db.execute("SELECT value FROM settings WHERE name = 'version'").fetchone()[0])


def snapshot(
    db: Connection,
    now: datetime,
    book: Book,
    book_of: Callable[[int], Book],
    known: Known,
    set_by_hand: bool,
    batches: tuple[Batch, ...],
) -> State:
    """Everything that a State holds, read anew."""
    today = book.kitchen.days.business_day(now)
    since = (today - RECENT).isoformat()
    plates = plates_of(db, today)
    return State(
        book=book,
        version=version_of(db),
        batches=batches,
        standing=dict(db.execute("SELECT prep, amount FROM standing_pars").fetchall()),
        portions={
            (date.fromisoformat(day), dish, prep): amount
            for day, dish, prep, amount in db.execute(
                "SELECT day, dish, prep, amount FROM portions WHERE day >= ?", [since]
            )
        },
        counted_at={
            prep: instant(at)
            for prep, at in db.execute(COUNTED, [instant_text(book.kitchen.days.opens(today - RECENT))])
        },
        **plates,
        **runs_of(db, today, book_of),
        **readings_of(db, now, book, book_of),
        **differences(db, since),
        **handed_over(db, book, now),
        **group_of(db, book, now),
        **history(db, plates["tonight"], today),
        short_since={
            (prep, need): instant(at)
            for prep, need, at in db.execute("SELECT prep, need, since FROM shorts WHERE day >= ?", [since])
        },
        **placements(db, known),
        clock_set_by_hand=set_by_hand,
        new_at=_new_at(db),
    )


def _new_at(db: Connection) -> datetime | None:
    row = db.execute("SELECT loaded_at FROM book ORDER BY version LIMIT 1").fetchone()
    return instant(row[0]) if row else None


def plates_of(db: Connection, today: date) -> dict[str, Any]:
    """The State's fields of what goes out, and of what is set for each sitting."""
    unlearned = first_day(db, today - RECENT).isoformat()
    plated = {(row[0], date.fromisoformat(row[1]), row[2]): row[3] for row in db.execute(PLATES, [unlearned])}
    last = {
        (service, date.fromisoformat(day), dish): instant(at)
        for service, day, dish, at in db.execute(LAST_PLATES, [(today - RECENT).isoformat()])
    }
    return {"plated": plated, "plated_at": last, "tonight": _tonight(db, unlearned, plated)}


def runs_of(db: Connection, today: date, book_of: Callable[[int], Book]) -> dict[str, Any]:
    """The State's fields of runs."""
    needs = [(today - RECENT_NEEDS).isoformat()]
    return {
        "runs": tuple(_run(row, book_of(row[3])) for row in db.execute(RUNS_UNDER_WAY)),
        "lines_run": {(prep, need): n for prep, need, n in db.execute(LINES_RUN, needs)},
    }


def readings_of(db: Connection, now: datetime, book: Book, book_of: Callable[[int], Book]) -> dict[str, Any]:
    """The State's fields of what was measured of the batches and runs that are there."""
    readings = recent(db, now, book.places)
    return {
        "readings": readings,
        "cooling_from": starts(db, readings, book_of, now),
        "corrected": corrections(db) if readings else {},
    }


def _run(row: tuple[Any, ...], book: Book) -> Run:
    code, line, prep, _version, size, outputs, started, step, began, taken, *others = row
    by, station, first_day, safety, instead, places, marks, step_ends = others
    recipe = book.preps[prep]
    return Run(
        code=code,
        line=Line.read(line) if line else None,
        recipe=made_otherwise(recipe, _otherwise(book, instead, places)),
        size=Fraction(size),
        outputs=json.loads(outputs),
        started=instant(started),
        step=step,
        step_began=instant(began),
        taken=taken_items(recipe, json.loads(taken), json.loads(instead)),
        by=by,
        station=station,
        first_day=day_or_none(first_day),
        first_safety=day_or_none(safety),
        marks=read_marks(marks) if marks else (),
        step_ends={int(index): instant(at) for index, at in json.loads(step_ends).items()},
    )


def _otherwise(book: Book, instead: str, places: str) -> Otherwise:
    """How a run is made; what its book does not know, or measures otherwise, is in no plan."""
    if instead == "{}" and not places:
        return AS_WRITTEN
    swapped = json.loads(instead).items()
    known = {item: other for item, other in swapped if other in book.preps or other in book.goods}
    alike = {item: other for item, other in known.items() if book.measure(item).kind == book.measure(other).kind}
    return Otherwise(alike, json.loads(places or "{}"))


def taken_items(recipe: Prep, places: list[int], instead: Mapping[str, str]) -> frozenset[str]:
    """The ingredients of which a run has taken all: `places` are those in `uses`, then in `takes_if_there`; what went
    in instead is one as well."""
    every = [use.item for use in (*recipe.uses, *recipe.takes_if_there)]
    open_still = {item for place, item in enumerate(every) if place not in places}
    taken = {every[place] for place in places} - open_still
    return frozenset(taken | {instead[item] for item in taken if item in instead})


def _tonight(db: Connection, since: str, plated: Iterable[tuple[str, date, str]]) -> Mapping[Sitting, Tonight]:
    def by_sitting(table: str, value: str) -> dict[tuple[str, str], dict[str, Any]]:
        found: dict[tuple[str, str], dict[str, Any]] = defaultdict(dict)
        key = "prep" if table == "pars" else "dish"
        rows = db.execute(f"SELECT service, day, {key}, {value} FROM {table} WHERE day >= ?", [since])
        for service, day, item, set_to in rows:
            found[service, day][item] = set_to
        return found

    mixes, counts = by_sitting("mixes", "share"), by_sitting("counts", "n")
    pars, off = by_sitting("pars", "amount"), by_sitting("taken_off", "why")
    out = by_sitting("ran_out", "CASE WHEN went_on THEN NULL ELSE at END")
    dishes: dict[tuple[str, str], set[str]] = defaultdict(set)
    for service, day, dish in plated:
        dishes[service, day.isoformat()].add(dish)
    services = {
        (row[0], row[1]): row[2:]
        for row in db.execute(
            "SELECT service, day, covers, came, percent, cancelled, special, past, ended, moved_to, at_start"
            " FROM services WHERE day >= ?",
            [since],
        )
    }
    off_at = by_sitting("taken_off", "at")
    was_off: dict[tuple[str, str], list[tuple[str, datetime, datetime]]] = defaultdict(list)
    for service, day, dish, begun, until in db.execute(
        "SELECT service, day, dish, since, until FROM was_off WHERE day >= ? ORDER BY since", [since]
    ):
        was_off[service, day].append((dish, instant(begun), instant(until)))
    tonight: dict[Sitting, Tonight] = {}
    for key in sorted({*services, *mixes, *counts, *pars, *off, *out, *was_off}):
        covers, came, percent, cancelled, special, past, ended, moved_to, at_start = services.get(
            key, (None, None, 0, 0, 0, 0, None, None, None)
        )
        tonight[key[0], date.fromisoformat(key[1])] = Tonight(
            covers=covers,
            came=came,
            percent=percent,
            shares={dish: Fraction(share) for dish, share in mixes.get(key, {}).items()},
            counts=counts.get(key, {}),
            pars=pars.get(key, {}),
            off=frozenset(off.get(key, ())),
            cancelled=bool(cancelled),
            why_off=off.get(key, {}),
            special=bool(special),
            listed=frozenset(dishes[key]) if past else None,
            out={dish: instant(at) for dish, at in out.get(key, {}).items() if at},
            ended=instant(ended) if ended else None,
            moved_to=time.fromisoformat(moved_to) if moved_to else None,
            off_since={dish: instant(at) for dish, at in off_at.get(key, {}).items() if at},
            was_off=tuple(was_off.get(key, ())),
            at_start=at_start,
        )
    return tonight
