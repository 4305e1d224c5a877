"""What is under way stays where it is, and takes its hands and places before anything that is planned."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise

from msgspec.structs import replace

from prepboard.plan.floor.floor import Floor
from prepboard.plan.floor.making import Work, work_of
from prepboard.plan.given.state import Placed, Run
from prepboard.plan.runs.runs import Bench
from prepboard.plan.solver.chains import earliest_begin
from prepboard.plan.solver.jobs import Block, Demand, Step


def book_under_way(runs: Sequence[Run], floor: Floor, bench: Bench) -> dict[str, tuple[Placed, ...]]:
    """Books the rest of every run under way, each next step as early as may be; by code."""
    found = {}
    for run in runs:
        steps = bench.going_on(run)
        if steps:
            work = work_of(run.recipe, run.size, floor, run.station or run.recipe.station)
            found[run.code] = _book(run, steps, work, floor, bench.now)
    return found


def _book(run: Run, steps: tuple[Placed, ...], work: Work, floor: Floor, now: datetime) -> tuple[Placed, ...]:
    begins = _begins(steps, work, floor, now)
    kept = floor.state.placements.get(str(run.line)) if run.line else None
    placed = []
    for number, old in enumerate(steps):
        step, begin = work.steps[old.step], begins[number]
        over = begins[number + 1] if number + 1 < len(begins) else begin + step.span
        over = max(over, floor.minute_after(now)) if number == 0 else over
        wanted = kept.steps[old.step].places if kept and old.step < len(kept.steps) else ()
        written = run.recipe.steps[old.step]
        places = _take(step, begin, over, wanted, written.equipment is not None)
        placed.append(
            replace(
                old,
                begins=floor.instant(begin) if number else old.begins,
                hands_until=floor.instant(begin + step.head) if number else old.hands_until,
                ends=floor.instant(over)
                if number + 1 < len(begins)
                else old.ends
                if not number
                else floor.instant(over),
                station=work.stations[old.step],
                equipment=written.equipment,
                at=written.at,
                places=places,
            )
        )
    return tuple(placed)


def _begins(steps: Sequence[Placed], work: Work, floor: Floor, now: datetime) -> list[int]:
    """When each step begins: the one under way when it did, the next ones where hands and places are free, unless
    that would stretch a wait too far."""
    begins = [max(0, floor.minute_after(steps[0].begins))]
    for before, placed in pairwise(steps):
        last, step = work.steps[before.step], work.steps[placed.step]
        earliest = max(floor.minute_after(placed.begins), floor.minute_after(now), begins[-1] + last.span)
        free = earliest_begin(Block((step,), (0,)), earliest)
        too_far = last.most is not None and free > max(begins[-1] + last.head + last.most, earliest)
        begins.append(earliest if too_far else free)
    return begins


def _take(step: Step, begin: int, over: int, wanted: tuple[int, ...], on_equipment: bool) -> tuple[int, ...]:
    """Takes what the step needs, the places that it was given where there are such; answers their numbers."""
    numbers: tuple[int, ...] = ()
    for demand in step.demands:
        until = over if demand.whole else begin + step.head
        equipped = on_equipment and demand is step.demands[-1]
        lanes = _lanes(demand, begin, until, wanted if equipped else ())
        for lane in lanes:
            demand.pool.lanes[lane].force(demand.mode, demand.amount, begin, until)
        if equipped:
            numbers = tuple(lane + 1 for lane in lanes)
    return numbers


def _lanes(demand: Demand, begin: int, until: int, wanted: tuple[int, ...]) -> tuple[int, ...]:
    count = len(demand.pool.lanes)
    if wanted and len(wanted) == demand.lanes and all(number <= count for number in wanted):
        return tuple(number - 1 for number in wanted)
    return demand.pool.choose(demand, begin, until) or tuple(range(demand.lanes))
