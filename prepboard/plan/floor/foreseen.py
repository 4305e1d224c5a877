"""Foreseen: whether all is as it was planned, and what came since, or was not begun in time."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime

from prepboard.plan.floor.floor import MINUTE, Floor, there_is
from prepboard.plan.floor.lost_runs import too_late
from prepboard.plan.floor.under_way import goes_on_as_placed, kept_of
from prepboard.plan.given.state import Placement, Run, State
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.runs import Planned, RunTimes, thaw


def nobody_began(planned: Sequence[Planned], runs: Sequence[Run], state: State, now: datetime) -> bool:
    """Whether the minute in which one of the planned runs was to begin, or one under way to go on, is over; or one lies
    nowhere."""
    kept = (state.placements.get(run.name) for run in planned if run.recipe.steps)
    if any(old is not None and (not old.steps or old.steps[0].begins + MINUTE <= now) for old in kept):
        return True
    return any(_not_gone_on(run, kept_of(run, state.placements), now) for run in runs)


def _not_gone_on(run: Run, placed: Placement | None, now: datetime) -> bool:
    """Whether a run lies nowhere, or the minute in which it was to go on is over."""
    step = next((step for step in placed.steps if step.step == run.step), None) if placed else None
    return step is None or step.ends + MINUTE <= now


def as_foreseen(
    state: State, planned: Sequence[Planned], runs: Sequence[Run], floor: Floor, run_times: RunTimes
) -> bool:
    """Whether all is as it was planned: the same hands and places, every line placed before, every run begun and gone
    on with when it was to, none ended sooner or later, and none lost since for want of somebody who began it. Nobody
    begins what was too late for all that it is for, or what no place was found for, so that it is no news that it is
    not asked for any more; what is made for one that lies nowhere yet is as new as that."""
    if not state.placed_for.startswith(there_is(state)) or state.slipped:
        return False
    known, now, last = state.placements, run_times.now, too_late(planned, floor, run_times)
    lines = {run.name: run for run in planned}
    if any(due_of(known.get(run.name), now) for index, run in enumerate(planned) if index not in last):
        return False
    loose = {planned[index].name for index in last} | {name for name, old in known.items() if not old.steps}
    loose |= state.nowhere
    asked = [run for index, run in enumerate(planned) if index not in last and not _is_for(run.name, loose)]
    asked = [run for run in asked if run.name not in state.nowhere]
    if any(run.name not in known or _asks_for_more(run, known[run.name]) for run in asked):
        return False
    begun = {}
    for run in runs:
        old = kept_of(run, known)
        if old is None or not goes_on_as_placed(run, old) or _overdue(run, old):
            return False
        begun[str(run.line)] = begun[run.key] = run
    loose |= state.lost
    gone = (
        old
        for name, old in known.items()
        if name not in lines and name not in begun and name not in state.lost and not _is_for(name, loose)
    )
    return all(not old.steps or abs(old.steps[-1].ends - now) < MINUTE for old in gone)


def _asks_for_more(run: Planned, old: Placement) -> bool:
    """Whether a line is asked for in another size than where it lay, or by a moment at which it will not be ready there
    and that is sooner than was said then."""
    if old.size != run.size:
        return True
    if old.ready_by is None or not old.steps or all(need.run_of is not None for need, _ in run.serves):
        return False
    return run.ready_by < min(old.ready_by, old.steps[-1].ends + thaw(run.recipe))


def _is_for(line: str, loose: Collection[str]) -> bool:
    """Whether one of these takes what a line gives, through others or by itself: of what nobody will begin, or what
    lies nowhere yet, it is no news that something is asked for, or no more."""
    while "@" in line:
        line = line.partition("@")[2]
        if line in loose:
            return True
    return False


def new_and_late(planned: Sequence[Planned], state: State) -> list[int]:
    """Those that came late within the plan's span since somebody last pressed a key."""
    known = state.placements
    return [index for index, run in enumerate(planned) if run.name in known and not known[run.name].steps]


def just_came(planned: Sequence[Planned], state: State, now: datetime) -> list[int]:
    """Those that lie nowhere yet, of sittings that come within the plan's span in this minute."""
    until = horizon(state, now)
    return [
        index
        for index, run in enumerate(planned)
        if run.name not in state.placements
        and any(need.occasion and until - MINUTE < need.occasion.starts <= until for need, _ in run.serves)
    ]


def _overdue(run: Run, placed: Placement) -> bool:
    """Whether nobody went on with a step when it was due."""
    step = placed.steps[0]
    return placed.due is not None and step.step == run.step and step.ends >= placed.due + MINUTE


def due_of(old: Placement | None, now: datetime) -> datetime | None:
    """When a line was to begin that nobody has begun since; None for one whose time has not come."""
    if old is None:
        return None
    return old.due or (old.steps[0].begins if old.steps and old.steps[0].begins + MINUTE <= now else None)
