"""Reads what left the kitchen unsold in a stretch of time. Not part of a snapshot: no plan is worked out from it."""

from __future__ import annotations

import json
from datetime import date, datetime
from fractions import Fraction
from sqlite3 import Connection
from typing import Any

from prepboard.plan.given.past import Gone, Past, PastRun
from prepboard.store.file.times import instant, instant_text
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import told

# An amount that was given back, in part or as a whole, is not gone; what gives back is no row of its own.
GONE = """
    SELECT moves.at, moves.kind, batches.prep, moves.why, batches.station, batches.name, batches.unit, batches.code,
           batches.run, coalesce(plates.again, ''),
           -moves.amount - (SELECT coalesce(sum(back.amount), 0) FROM moves AS back
                            WHERE back.gives_back = moves.number),
           (SELECT coalesce(sum(made.amount), 0) FROM moves AS made
            WHERE made.batch = batches.code AND made.kind IN ('made', 'received'))
    FROM {way} JOIN batches ON batches.code = moves.batch
    WHERE moves.at >= ? AND moves.at < ? AND moves.gives_back IS NULL"""

OUT_OF_STOCK = (
    GONE.format(way="moves LEFT JOIN plates ON plates.number = moves.plate")
    + " AND moves.kind IN ('gone', 'discarded') ORDER BY moves.number"
)
# From the few plates that went out twice to their moves: of all moves most are plates.
ON_PLATES_AGAIN = (
    GONE.format(way="plates INDEXED BY plates_again CROSS JOIN moves ON moves.plate = plates.number")
    + " AND moves.kind = 'plated' AND plates.again != '' ORDER BY moves.number"
)

GOODS = "SELECT at, goods, why, station, amount FROM goods_discarded WHERE at >= ? AND at < ? ORDER BY number"

ENDED = """
    SELECT prep, size, book, state, ended, station, outputs FROM runs
    WHERE state IN ('done', 'lost') AND ended >= ? AND ended < ? ORDER BY ended, code"""

COVERS = "SELECT service, day, coalesce(came, covers) FROM services WHERE day >= ? AND day <= ? AND cancelled = 0"


def past_waste(file: KitchenFile, since: datetime, until: datetime) -> Past:
    """What left unsold from `since` up to, not at, `until`, with the runs that ended and the guests that came.
    From whatever thread."""
    span = [instant_text(since), instant_text(until)]
    with file.glance() as db:
        gone = [_gone(file, db, row) for sql in (OUT_OF_STOCK, ON_PLATES_AGAIN) for row in db.execute(sql, span)]
        goods = [
            Gone(instant(at), "discard", item, why, amount, station)
            for at, item, why, station, amount in db.execute(GOODS, span)
        ]
        runs = [_run(file, db, row) for row in db.execute(ENDED, span).fetchall()]
        covers = {
            (service, date.fromisoformat(day)): guests
            for service, day, guests in db.execute(COVERS, [since.date().isoformat(), until.date().isoformat()])
            if guests is not None
        }
    return Past(tuple(one for one in (*gone, *goods) if one.amount > 0), tuple(runs), covers)


def _gone(file: KitchenFile, db: Connection, row: tuple[Any, ...]) -> Gone:
    at, kind, prep, why, station, name, unit, code, run, again, amount, made = row
    found = None
    if run is not None and kind == "discarded":
        one = db.execute("SELECT prep, size, book, state, ended, station, outputs FROM runs WHERE code = ?", [run])
        found = _run(file, db, one.fetchone())
    return Gone(
        at=instant(at),
        kind="discard" if kind == "discarded" else "use" if kind == "gone" else "again",
        item=prep,
        reason=again or why,
        amount=amount,
        station=station,
        name=told(name),
        unit=unit,
        batch=code,
        made=made,
        run=found,
    )


def _run(file: KitchenFile, db: Connection, row: tuple[Any, ...]) -> PastRun:
    prep, size, version, state, ended, station, outputs = row
    recipe = file.book(db, version).preps[prep]
    return PastRun(recipe, Fraction(size), state == "lost", instant(ended), station, json.loads(outputs))
