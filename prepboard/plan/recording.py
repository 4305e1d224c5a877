"""What was recorded since a board was worked out, at once: the plan follows.

A plate out costs what a plate changes. What nothing of it touched is the very same as before until the minute is over:
then everything that time alone changes is looked at again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from operator import is_
from typing import TypeVar

from msgspec.structs import replace

from prepboard.plan.as_lines import all_expiring, all_under_way
from prepboard.plan.board import Board
from prepboard.plan.demand.occasions import AsBooked, Occasion
from prepboard.plan.given.state import Run, Sitting, State
from prepboard.plan.memory import memory_of
from prepboard.plan.probes.watching import Watch, held_back, watch
from prepboard.plan.runs.runs import RunTimes
from prepboard.plan.service.coming import coming
from prepboard.plan.service.counts import left, serving
from prepboard.plan.service.handover import current, tasks
from prepboard.plan.service.on_vans import on_vans
from prepboard.plan.shown.lines import Expiring, Left, MakeLine, UnderWay

T = TypeVar("T")

_TOLD = ("version", "notes")
"""Of a State what nothing is worked out from."""

_KEPT = ("placements", "placed_for", "placed_at", "nowhere", "lost")

_FOR_PLATES = tuple(name for name in State.__struct_fields__ if name not in (*_TOLD, *_KEPT, "batches"))
"""All of a State that plates left may follow from, but its batches."""


def recorded(before: Board, state: State, now: datetime) -> Board:
    """What was recorded since `before`, at once: runs, batches and plates as they stand, and no line that was begun.

    What has to be worked out is still that of `before`; `plan` follows.
    """
    if state.book is not before.state.book:
        return before
    old, soon = before.state, _minute(now) == _minute(before.now)
    seen, runs = _watch(before, state, now, soon), state.runs
    state = held_back(state, seen)
    make = _not_begun(before, state, runs)
    under_way = before.under_way if soon and runs is old.runs else _under_way(before, state, runs, now)
    served = _served(before, state, now, soon)
    same_day = soon and state.tasks_done is old.tasks_done and _cancelled(state) == _cancelled(old)
    return replace(
        before,
        state=state,
        now=now,
        make=make,
        under_way=under_way,
        watch=seen,
        served=served,
        expiring=_expiring(before, state, now, soon),
        given_left=_left(before, state, now, soon, served, make, under_way),
        tasks=before.tasks if same_day else tasks(state, now),
        notes=current(state, now),
    )


def only_told(old: State, state: State) -> bool:
    """Whether nothing but notes was written since `old`: then no line, run or plate is another, and all is shown
    without a plan. What a look found to say the same is the very same (`store/read/what_changed.py`)."""
    return all(getattr(old, name) is getattr(state, name) for name in State.__struct_fields__ if name not in _TOLD)


def _left(
    before: Board,
    state: State,
    now: datetime,
    soon: bool,
    served: tuple[Occasion, ...],
    make: tuple[MakeLine, ...],
    under_way: tuple[UnderWay, ...],
) -> tuple[Left, ...] | None:
    """The same as before where it says the same; nothing for a board on which nobody has looked at it."""
    known = before.looked_at_left
    if known is None:
        return None
    nothing_planned = make is before.make and under_way is before.under_way and served is before.served
    if soon and nothing_planned and _same_for_plates(before.state, state):
        return known
    comes = coming(state, now, make, under_way, on_vans(state, now))
    return _as_before(known, left(state, now, served, comes), lambda line: line.dish)


def _same_for_plates(old: State, state: State) -> bool:
    """Whether nothing but batches is another, and none of those goes onto plates."""
    if not all(getattr(old, name) is getattr(state, name) for name in _FOR_PLATES):
        return False
    on_plates = memory_of(state.book).once(
        "on plates", lambda: frozenset(item for dish in state.book.dishes.values() for item in dish.plate)
    )
    before, after = ([one for one in its.batches if one.prep in on_plates] for its in (old, state))
    return before == after


def _minute(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)


def _watch(before: Board, state: State, now: datetime, soon: bool) -> Watch:
    old = before.state
    same = (
        soon
        and not before.watch.held
        and state.readings is old.readings
        and state.cooling_from is old.cooling_from
        and state.corrected is old.corrected
        and state.runs is old.runs
        and (state.batches is old.batches or _watched(state, before.watch) == _watched(old, before.watch))
    )
    seen = before.watch if same else watch(state, now)
    return before.watch if seen == before.watch else seen


def _watched(state: State, seen: Watch) -> list[tuple[object, ...]]:
    """What readings are judged by: where each batch is and what is known of it, not how much of it is left; only of
    those of which there is something to say."""
    read = {reading.of for reading in state.readings if reading.kind in ("batch", "run")}
    said = read | {flag.of for flag in seen.flags} | state.cooling_from.keys()
    return [
        (batch.code, batch.place, batch.store, batch.run, batch.marks)
        for batch in state.batches
        if batch.marks or batch.code in said or batch.run in said or batch.place in said
    ]


def _cancelled(state: State) -> set[Sitting]:
    """What of tonight moves a task that waits for the day's last service."""
    return {key for key, tonight in state.tonight.items() if tonight.cancelled}


def _served(before: Board, state: State, now: datetime, soon: bool) -> tuple[Occasion, ...]:
    """The sittings that plates are counted for: nothing but what is set for sittings moves them, or a full minute."""
    if not (soon and before.served and _held(state) == _held(before.state)):
        return serving(state, now)
    if state.tonight is before.state.tonight:
        return before.served
    return tuple(replace(one, tonight=state.tonight.get(one.key, AsBooked)) for one in before.served)


def _held(state: State) -> dict[Sitting, tuple[object, ...]]:
    return {
        key: (tonight.covers, tonight.cancelled, tonight.ended, tonight.moved_to)
        for key, tonight in state.tonight.items()
    }


def _not_begun(before: Board, state: State, runs: Iterable[Run]) -> tuple[MakeLine, ...]:
    if state.lines_run is before.state.lines_run and state.runs is before.state.runs:
        return before.make
    begun = {run.line for run in runs if run.line}
    return tuple(
        line
        for line in before.make
        if line.line not in begun and line.line.n >= state.lines_run.get((line.line.prep, line.line.need), 0)
    )


def _under_way(before: Board, state: State, runs: tuple[Run, ...], now: datetime) -> tuple[UnderWay, ...]:
    run_times = RunTimes(state, now)
    known = {(run.run, run.step): run.steps for run in before.under_way}
    placed = {run.code: known.get((run.code, run.step)) or run_times.going_on(run) for run in runs}
    shown = all_under_way(runs, run_times, placed, state.placements)
    return _as_before(before.under_way, shown, lambda line: line.run)


def _expiring(before: Board, state: State, now: datetime, soon: bool) -> tuple[Expiring, ...]:
    if soon and state.batches is before.state.batches:
        return before.expiring
    return _as_before(before.expiring, all_expiring(state, now), lambda line: line.batch.code)


def _as_before(before: tuple[T, ...], after: tuple[T, ...], key: Callable[[T], str]) -> tuple[T, ...]:
    """The lines of `after`; one that says what it said before is the very same."""
    known = {key(line): line for line in before}
    found = tuple(old if (old := known.get(key(line))) == line and old is not None else line for line in after)
    return before if len(before) == len(found) and all(map(is_, before, found)) else found
