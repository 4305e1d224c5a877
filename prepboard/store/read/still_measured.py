"""What was measured of the food that is there, once some of it came or went: read again only where that could say
something else."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import datetime
from sqlite3 import Connection
from typing import Any

from prepboard.book.book import Book
from prepboard.plan.given.state import State
from prepboard.store.read.measured import is_measured, starts
from prepboard.store.read.snapshot import readings_of

Food = tuple[str, str]
"""As a reading names it: ("batch", code) or ("run", code)."""


def still_measured(
    db: Connection,
    now: datetime,
    before: State,
    state: State,
    book_of: Callable[[int], Book],
    runs_changed: Collection[str],
) -> dict[str, Any]:
    """The State's fields of what was measured, for its batches and runs; nothing was measured or corrected since
    `before`, and of runs only these changed."""
    was, there = foods(before), foods(state)
    came, went = there - was, was - there
    read = {(reading.kind, reading.of) for reading in before.readings}
    if went & read or any(is_measured(db, *food) for food in came):
        return readings_of(db, now, state.book, book_of)
    moved = {batch.run for batch in (*before.batches, *state.batches) if ("batch", batch.code) in came | went} - {""}
    fields: dict[str, Any] = {}
    if went:
        fields["corrected"] = {code: at for code, at in before.corrected.items() if ("batch", code) in there}
    if moved or runs_changed:
        known = {run: start for run, start in before.cooling_from.items() if run not in runs_changed}
        fields["cooling_from"] = starts(db, before.readings, book_of, now, known)
    return fields


def foods(state: State) -> set[Food]:
    """All that readings may be of: batches, the runs they came from, and those under way."""
    of_batches = {("run", batch.run) for batch in state.batches if batch.run}
    return {("batch", batch.code) for batch in state.batches} | of_batches | {("run", run.code) for run in state.runs}
