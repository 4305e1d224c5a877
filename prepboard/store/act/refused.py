"""Whether the readings of a batch let anybody take from it; asked again at every taking, whatever a screen showed."""

from __future__ import annotations

from prepboard.book.safety.judging import Judged, Measured, judge
from prepboard.book.safety.temperatures import Reading
from prepboard.store.act.doing import Doing, Row
from prepboard.store.read.measured import corrections, of_batch, start_of


def judged(doing: Doing, food: Row, more: Reading | None = None) -> Judged | None:
    """What the readings say of a batch, or of a run, now; with one `more` that is not kept yet. None when it was never
    read."""
    is_batch = "store" in food
    run = food["run"] if is_batch else food["code"]
    readings = of_batch(doing.db, food["code"] if is_batch else "", run)
    if more is not None:
        readings.append(more)
    if not readings:
        return None
    start = start_of(doing.db, run, lambda version: doing.file.book(doing.db, version)) if run else None
    settled = corrections(doing.db).get(food["code"]) if is_batch else None
    measured = Measured(readings, start, food["store"] if is_batch else None, settled)
    return judge(doing.book.kitchen.rules, measured, doing.now)


def why_held(doing: Doing, batch: Row) -> str:
    """Why a batch's readings let nobody take from it; empty when they do."""
    found = judged(doing, batch)
    return found.held if found else ""
