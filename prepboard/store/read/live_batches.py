"""Batches with something left, as the file keeps them."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from datetime import date
from sqlite3 import Connection
from typing import Any, cast

from prepboard.book.book import Store
from prepboard.plan.given.state import Batch
from prepboard.store.file.times import day_or_none, instant, instant_or_none
from prepboard.store.read.lives import Row, stays_of

# What stands in a place that is held back is held back with it.
_LIVE = """
    SELECT batches.*, coalesce(blocked_places.why, '') AS place_blocked
    FROM batches LEFT JOIN blocked_places USING (place) WHERE state = 'live'"""

IN_ORDER = " ORDER BY made_at, code"

LIVE_BATCHES = _LIVE + IN_ORDER

ReadBatches = dict[str, tuple[tuple[Any, ...], Batch]]
"""By code, each with the row that it was read from, in the order of a State."""


def live_of(n: int) -> str:
    """The question for the live ones of `n` batches by their codes."""
    return f"{_LIVE} AND code IN ({', '.join('?' * n)}){IN_ORDER}"


def live_batches(
    db: Connection, known: Mapping[str, tuple[tuple[Any, ...], Batch]], codes: Collection[str] | None = None
) -> ReadBatches:
    """All live batches, or those of them with these codes. One whose row is as it is `known` is the very same."""
    cursor = db.execute(LIVE_BATCHES if codes is None else live_of(len(codes)), list(codes or ()))
    names = [column[0] for column in cursor.description]
    code_at = names.index("code")
    found: ReadBatches = {}
    for row in cursor.fetchall():
        before = known.get(row[code_at])
        same = before is not None and before[0] == row
        found[row[code_at]] = before if same and before else (row, _batch(dict(zip(names, row, strict=True))))
    return found


def _batch(row: Row) -> Batch:
    return Batch(
        code=row["code"],
        prep=row["prep"],
        left=row["left"],
        made_at=instant(row["made_at"]),
        day_one=date.fromisoformat(row["day_one"]),
        use_by=instant_or_none(row["use_by"]),
        why=row["why"],
        store=cast(Store, row["store"]),
        place=row["place"],
        station=row["station"],
        by=row["by"],
        blocked=row["blocked"] or row["place_blocked"],
        set_aside=row["set_aside"],
        frozen_at=instant_or_none(row["frozen_at"]),
        name=row["name"],
        unit=row["unit"],
        first_day=date.fromisoformat(row["first_day"]),
        inherited=day_or_none(row["inherited"]),
        safety=day_or_none(row["safety"]),
        stays=stays_of(row["stays"]),
        passes_on=day_or_none(row["passes_on"]),
        cold=bool(row["cold"]),
        lot=row["lot"],
        pack=bool(row["pack"]),
        kept=row["kept"],
        allergens=tuple(json.loads(row["allergens"])) if row["allergens"] else None,
        run=row["run"] or "",
    )
