"""What closed services taught, as the file keeps it: one short row for each dish, and up to which day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from functools import lru_cache
from sqlite3 import Connection
from typing import Any

import msgspec

from prepboard.plan.given.learned import Common, Learned
from prepboard.plan.given.state import Sitting, Tonight
from prepboard.store.file.times import instant

LEARNED_TO = "learned to"
"""The setting that names the last business day that is in `learned`."""

COMMON = ""
"""The row of `learned` that is no dish's: what the kitchen as a whole has learned."""

NEAR = timedelta(days=10)
"""So far apart two years' special days may be, and still be the same feast."""


def text_of(learned: Learned | Common) -> str:
    return msgspec.json.encode(learned).decode()


@lru_cache(maxsize=5000)
def read_learned(text: str) -> Learned:
    """The state that `text_of` wrote; read once, since it changes once an evening."""
    return msgspec.json.decode(text, type=Learned)


def first_day(db: Connection, recent: date) -> date:
    """The first day that a plan looks back to: a recent one, or that of the first plates that are not learned yet."""
    to = learned_to(db)
    first = db.execute("SELECT min(day) FROM plates WHERE day > ?", [to.isoformat() if to else ""]).fetchone()[0]
    return min(recent, date.fromisoformat(first)) if first else recent


def learned_to(db: Connection) -> date | None:
    row = db.execute("SELECT value FROM settings WHERE name = ?", [LEARNED_TO]).fetchone()
    return date.fromisoformat(row[0]) if row else None


def history(db: Connection, tonight: Mapping[Sitting, Tonight], today: date) -> dict[str, Any]:
    """The parts of a State that history is."""
    rows = dict(db.execute("SELECT dish, state FROM learned").fetchall())
    common, to = rows.pop(COMMON, None), learned_to(db)
    resets = db.execute("SELECT at, dish FROM resets WHERE day > ? ORDER BY at", [to.isoformat() if to else ""])
    return {
        "learned": {dish: read_learned(text) for dish, text in rows.items()},
        "common": msgspec.json.decode(common, type=Common) if common else Common(),
        "learned_to": to,
        "resets": tuple((instant(at), dish) for at, dish in resets.fetchall()),
        "last_year": _last_year(db, [key for key, set_to in tonight.items() if set_to.special and key[1] >= today]),
    }


def _last_year(db: Connection, special: list[Sitting]) -> dict[Sitting, tuple[date, Mapping[str, int]]]:
    """Of each special sitting the one a year before that it is like: a special one near that day, else the same
    date's, else the same weekday's."""
    found: dict[Sitting, tuple[date, Mapping[str, int]]] = {}
    for service, day in special:
        for candidate in _a_year_before(db, service, day):
            plates = dict(
                db.execute(
                    "SELECT dish, sum(n - back) FROM plates WHERE day = ? AND service = ? AND again = '' GROUP BY dish",
                    [candidate.isoformat(), service],
                ).fetchall()
            )
            if any(plates.values()):
                found[service, day] = candidate, plates
                break
    return found


def _a_year_before(db: Connection, service: str, day: date) -> list[date]:
    same_weekday = day - timedelta(days=364)
    same_date = day.replace(year=day.year - 1) if (day.month, day.day) != (2, 29) else same_weekday
    near = db.execute(
        "SELECT day FROM services WHERE service = ? AND special = 1 AND day BETWEEN ? AND ?",
        [service, (same_date - NEAR).isoformat(), (same_date + NEAR).isoformat()],
    ).fetchall()
    feasts = sorted((date.fromisoformat(row[0]) for row in near), key=lambda one: abs(one - same_date))
    return [*feasts, same_date, same_weekday]
