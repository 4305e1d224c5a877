"""What cooking does to a maker's date: under the FDA Food Code it stands (3-501.17(B)); where a book names one core
figure for all food (UK guidance 70 °C for 2 minutes, FSAI Guidance Note 15: 75 °C), a recorded core reading at it ends
the dates of what was in by then, if they were not past."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from prepboard.book.rules import RuleBook
from prepboard.book.safety.temperatures import Reading, within
from prepboard.store.file.times import day_or_none, instant
from prepboard.store.food.use_by import earliest, handed_on_at
from prepboard.store.read.measured import of_batch
from prepboard.store.read.storage import STANDS
from prepboard.store.transaction.doing import Doing, Row

TAKEN = f"SELECT batch, at FROM moves WHERE run = ? AND kind = 'used' AND {STANDS} ORDER BY number"


def makers_date(doing: Doing, run: Row) -> date | None:
    """The earliest maker's date that still stands in a run's food."""
    known = day_or_none(run["first_safety"])
    rules = doing.book.kitchen.rules
    if known is None or "cook_core" not in rules.rules:
        return known
    cooked = cooked_at(rules, of_batch(doing.db, "", run["code"]))
    if cooked is None:
        return known
    days: list[date | None] = []
    for code, at in doing.db.execute(TAKEN, [run["code"]]).fetchall():
        batch = doing.row("batches", code=code)
        assert batch is not None, code
        safety = handed_on_at(doing, batch, instant(at)).safety
        past = safety is not None and doing.book.kitchen.days.midnight_after(safety) <= cooked
        if instant(at) > cooked or past:
            days.append(safety)
    return earliest(days)


def cooked_at(rules: RuleBook, readings: list[Reading]) -> datetime | None:
    """When a core was shown to have been at the book's figure for its time: by one reading, or by the first and the
    last of an unbroken row of them. What is in doubt shows nothing."""
    lasts = rules.rules.get("cook_core_for")
    least = timedelta(**{lasts.unit: int(lasts.value)}) if lasts else timedelta()
    since: datetime | None = None
    for reading in sorted(
        (one for one in readings if one.meant == "core" and not one.doubtful), key=lambda one: one.at
    ):
        if not within(rules, "cook_core", reading):
            since = None
            continue
        since = since or reading.at
        if reading.at - since >= least:
            return reading.at
    return None
