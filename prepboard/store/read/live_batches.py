"""Batches with something left, as the file keeps them."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from datetime import date
from sqlite3 import Connection
from typing import Any, cast

from prepboard.book.book import Store
from prepboard.book.safety.may_use import UNREAD, WITHHELD, Food, earliest
from prepboard.plan.given.state import Batch
from prepboard.store.file.times import day_or_none, instant, instant_or_none
from prepboard.store.read.stays import Row, read_marks, stays_of
from prepboard.texts import as_kept, later

# What is known of a batch comes with it, as the last column.
_LIVE = """
    SELECT batches.*, food.marks AS marks
    FROM batches LEFT JOIN food ON food.kind = 'batch' AND food.code = batches.code WHERE state = 'live'"""

MARKS_OF_LIVE = """
    SELECT batches.code, food.marks
    FROM batches JOIN food ON food.kind = 'batch' AND food.code = batches.code WHERE state = 'live'"""

IN_ORDER = " ORDER BY made_at, batches.code"

LIVE_BATCHES = _LIVE + IN_ORDER

ReadBatches = dict[str, tuple[tuple[Any, ...], Batch]]
"""By code, each with the row that it was read from, in the order of a State."""


def live_of(n: int) -> str:
    """The question for the live ones of `n` batches by their codes."""
    return f"{_LIVE} AND batches.code IN ({', '.join('?' * n)}){IN_ORDER}"


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


def with_changes(db: Connection, known: ReadBatches, codes: Collection[str]) -> ReadBatches:
    """The batches that are `known`, with those of these codes as they are by now, in the order of a State. What is
    known of food can change with what it came of: of the others only the marks are looked at."""
    marks = dict(db.execute(MARKS_OF_LIVE).fetchall())
    anew = {*codes, *(code for code, (row, _batch) in known.items() if row[-1] != marks.get(code))}
    stayed = {code: read for code, read in known.items() if code not in anew}
    found = {**stayed, **live_batches(db, known, anew)}
    return dict(sorted(found.items(), key=lambda each: (each[1][1].made_at, each[0])))


WITHDRAWN = later("withdrawn: {why}")
PACKS = (later("{name}, lot {lot}"), later("{name}, opened"))
"""What older files say in English of a batch that was withdrawn, and of packs."""


def _batch(row: Row) -> Batch:
    every = read_marks(row["marks"]) if row["marks"] else ()
    marks = tuple(mark for mark in every if mark.row != UNREAD) if every else ()
    end = earliest(Food(True, instant(row["made_at"]), marks, instant_or_none(row["use_by"]), row["why"]))
    withheld = next((mark.why for mark in marks if mark.row == WITHHELD), "")
    return Batch(
        code=row["code"],
        prep=row["prep"],
        left=row["left"],
        made_at=instant(row["made_at"]),
        day_one=date.fromisoformat(row["day_one"]),
        use_by=end.until if end else None,
        why=end.why if end else row["why"],
        store=cast(Store, row["store"]),
        place=row["place"],
        station=row["station"],
        by=row["by"],
        blocked=as_kept(row["blocked"], WITHDRAWN) or withheld,
        marks=marks,
        set_aside=row["set_aside"],
        frozen_at=instant_or_none(row["frozen_at"]),
        called=as_kept(row["name"], *PACKS) if row["pack"] else row["name"],
        unit=row["unit"],
        first_day=date.fromisoformat(row["first_day"]),
        inherited=day_or_none(row["inherited"]),
        safety=day_or_none(row["safety"]),
        stays=stays_of(row["stays"]),
        passes_on=day_or_none(row["passes_on"]),
        lot=row["lot"],
        pack=bool(row["pack"]),
        kept=row["kept"],
        allergens=tuple(json.loads(row["allergens"])) if row["allergens"] else None,
        run=row["run"] or "",
        unread=tuple(mark.since for mark in every if mark.row == UNREAD),
        counts_on_at=instant_or_none(row["counts_on_at"]),
        label_says=instant_or_none(row["label_says"]),
    )
