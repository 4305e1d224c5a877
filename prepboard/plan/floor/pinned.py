"""Keeping: runs stay where they were placed as long as that holds; only what is new or broken is placed around them.

A run that nobody began in time is to be begun now, and a late one stays where it is unless it can be ready sooner.
Where that would make others late, those in its way move, each no further than it must.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from prepboard.plan.floor.floor import MINUTE, Floor
from prepboard.plan.floor.making import Work
from prepboard.plan.given.state import Placement, Run, State
from prepboard.plan.runs.runs import Planned
from prepboard.plan.solver.orders import place_all
from prepboard.plan.solver.rivals import Rivals
from prepboard.plan.solver.schedule import Schedule


def nobody_began(planned: Sequence[Planned], runs: Sequence[Run], state: State, now: datetime) -> bool:
    """Whether the minute in which one of the planned runs was to begin, or one under way to go on, is over."""
    kept = (state.placements.get(str(run.line)) for run in planned)
    if any(old is not None and old.steps and old.steps[0].begins + MINUTE <= now for old in kept):
        return True
    goes_on = (state.placements.get(run.key) for run in runs)
    return any(old is None or old.steps[0].ends + MINUTE <= now for old in goes_on)


def due_of(old: Placement | None, now: datetime) -> datetime | None:
    """When a line was to begin that nobody has begun since; None for one whose time has not come."""
    if old is None:
        return None
    return old.due or (old.steps[0].begins if old.steps and old.steps[0].begins + MINUTE <= now else None)


def keep(schedule: Schedule, planned: Sequence[Planned], works: Sequence[Work], floor: Floor) -> set[int]:
    """Books again what was placed before and still holds, users first; the runs that are kept."""
    kept = set()
    for index, run in enumerate(planned):
        old = floor.state.placements.get(str(run.line))
        if old is None or not old.steps or (old.size, old.ready_by) != (run.size, run.ready_by):
            continue
        if len(old.steps) != len(works[index].recipe.steps):
            continue
        lanes = works[index].lanes(old.steps)
        begins = [floor.minute(placed.begins) for placed in old.steps]
        if lanes is not None and schedule.keep(index, begins, lanes, begins[0]):
            kept.add(index)
    for index in sorted(kept):
        if schedule.costs[index][0]:
            schedule.sooner(index)
    return kept


def place_the_rest(schedule: Schedule, kept: set[int], planned: Sequence[Planned], floor: Floor) -> None:
    """Places what was not kept; what was late before is let be: others shall not move for what nobody can help."""
    new = [index for index in range(len(planned)) if index not in kept]
    allowed = _late_before(schedule, new, planned, floor)
    place_all(schedule, new, tries=1, allowed=allowed)
    if schedule.late > allowed:
        rivals = Rivals(schedule, range(len(planned)))
        for index in new:
            if schedule.late > allowed and schedule.costs[index][0]:
                rivals.make_way(index)


def _late_before(schedule: Schedule, new: Sequence[int], planned: Sequence[Planned], floor: Floor) -> int:
    """How late the runs were, all together, where they lay before."""
    olds = [(index, floor.state.placements.get(str(planned[index].line))) for index in new]
    jobs = [(schedule.jobs[index], floor.minute(old.steps[-1].ends)) for index, old in olds if old and old.steps]
    return schedule.late + sum(max(0, end - job.due) * job.weight for job, end in jobs)
