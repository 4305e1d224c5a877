"""Keeping: runs stay where they were placed as long as that holds; only what is new or broken is placed around them.

A run that nobody began in time is to be begun now, and a late one stays where it is unless it can be ready sooner.
Where that would make others late, those in its way move, each no further than it must.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from msgspec import Struct

from prepboard.plan.floor.floor import MINUTE, Floor
from prepboard.plan.floor.making import Work
from prepboard.plan.floor.plates import WEIGHT
from prepboard.plan.given.state import Placement, Run, State
from prepboard.plan.runs.runs import Planned
from prepboard.plan.solver.orders import place_all
from prepboard.plan.solver.rivals import Rivals, unavoidable
from prepboard.plan.solver.schedule import Schedule

LITTLE = 10 * WEIGHT
"""So many weighed minutes are no reason to place anew what lies somewhere already."""
SOON = timedelta(hours=1)
"""What begins within this stays: somebody is about to."""


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
        if old is None or not old.steps or old.size != run.size:
            continue
        if len(old.steps) != len(works[index].recipe.steps):
            continue
        lanes = works[index].lanes(old.steps)
        begins = [floor.minute(placed.begins) for placed in old.steps]
        if lanes is not None and schedule.keep(index, begins, lanes, begins[0]):
            kept.add(index)
    for index in sorted(kept):
        if schedule.costs[index][0]:
            schedule.sooner(index, LITTLE)
    return kept


class Effort(Struct, frozen=True):
    """What placing everything anew may cost: orders that are tried, and placements to better the best of them."""

    tries: int
    improving: int


def place_around(
    schedule: Schedule, kept: set[int], planned: Sequence[Planned], floor: Floor, now: datetime, effort: Effort
) -> None:
    """Places what was not kept around what was; those in its way move no further than they must. Where that leaves
    more late than each run by itself would be, by more than a little, all is placed anew but what begins within the
    hour, and lies so from now on if that is better by more than a little."""
    new = [index for index in range(len(planned)) if index not in kept]
    _place_the_rest(schedule, new, planned, floor)
    cost = schedule.cost()[0]
    if cost <= LITTLE:
        return
    so_far, soon = schedule.lying(), floor.minute(now + SOON)
    stays = {index: was for index in sorted(kept) if (was := schedule.booked[index]) and was.begins[0] < soon}
    for index in range(len(planned)):
        schedule.take_out(index)
    if cost - sum(unavoidable(schedule, range(len(planned))).values()) > LITTLE:
        for index, was in stays.items():
            schedule.book(index, was.begins, was.lanes, was.wanted)
        rest = [index for index in range(len(planned)) if index not in stays]
        place_all(schedule, rest, tries=effort.tries, improving=effort.improving)
        if cost - schedule.cost()[0] > LITTLE:
            return
    schedule.lay(so_far)


def _place_the_rest(schedule: Schedule, new: Sequence[int], planned: Sequence[Planned], floor: Floor) -> None:
    """What was late before is let be: others shall not move for what nobody can help."""
    allowed = _late_before(schedule, new, planned, floor)
    place_all(schedule, new, tries=1, allowed=allowed)
    if schedule.cost()[0] > allowed:
        rivals = Rivals(schedule, range(len(planned)))
        for index in rivals.late():
            if schedule.cost()[0] > allowed and schedule.costs[index][0]:
                rivals.make_way(index)


def _late_before(schedule: Schedule, new: Sequence[int], planned: Sequence[Planned], floor: Floor) -> int:
    """What lateness the runs cost, all together, where they lay before."""
    olds = [(index, floor.state.placements.get(str(planned[index].line))) for index in new]
    jobs = [(schedule.jobs[index], floor.minute(old.steps[-1].ends)) for index, old in olds if old and old.steps]
    return schedule.late + sum(job.lateness(end) for job, end in jobs)
