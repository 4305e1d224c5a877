"""What is under way stays where it is, and takes its hands and places before anything that is planned.

The rest of a run lies where it was placed when its step began. What nobody went on with in time slips; a run that is
late and began a step at another moment than was planned goes on as early as it may. A run that begins at another moment
than its line was placed at is placed as early as may be, around what else is under way: that is what "if started now"
says of a line, too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from prepboard.plan.floor.floor import MINUTE, Floor, there_is
from prepboard.plan.floor.making import RecipeWork, work_of
from prepboard.plan.given.state import Placed, Placement, Run
from prepboard.plan.runs.runs import RunTimes, thaw
from prepboard.plan.runs.still_takes import There, needed_by
from prepboard.plan.solver.chains import earliest_begin, earliest_chain
from prepboard.plan.solver.jobs import Block, JobStep, PoolUse, in_blocks


def book_under_way(
    runs: Sequence[Run], floor: Floor, run_times: RunTimes, waits: Mapping[str, There]
) -> dict[str, tuple[Placed, ...]]:
    """Books the rest of every run under way, those first whose rest was placed when their step began, and of these
    those last that were to wait too long there, for a place; by code. `waits` says by code what its steps ahead wait
    for."""
    found: dict[str, tuple[Placed, ...]] = {}
    kept = {run.code: kept_of(run, floor.state.placements) for run in runs}
    works = {
        run.code: work_of(run.recipe, run.size, floor, run.station or run.recipe.station)
        for run in runs
        if 0 <= run.step < len(run.recipe.steps)
    }
    last = {code for code, work in works.items() if _waits_too_long(kept[code], work)}
    for run in sorted(runs, key=lambda run: (kept[run.code] is None, run.code in last, run.started, run.code)):
        if run.code not in works:
            continue
        work = works[run.code]
        begins = _begins(run, work, floor, run_times.now, kept[run.code], waits.get(run.code, {}))
        found[run.code] = _book(run, work, begins, floor, run_times.now, kept[run.code])
    return {run.code: found[run.code] for run in runs if run.code in found}


def over_if_begun(run: Run, floor: Floor, now: datetime, there: There, kept: Placement | None) -> datetime:
    """When a run would be over if it were begun now, around what is booked, and where its steps were placed if it is
    the line's minute; nothing is booked."""
    work = work_of(run.recipe, run.size, floor, run.station)
    begins = _begins(run, work, floor, now, kept, there)
    last = work.steps[run.step + len(begins) - 1]
    return (floor.instant(begins[-1]) if len(begins) > 1 else run.step_began) + last.span * MINUTE


def kept_of(run: Run, placements: Mapping[str, Placement]) -> Placement | None:
    """Where the rest of a run was placed as its step began: its own placement, or, of one that began just when its
    line was to, the line's."""
    own = placements.get(run.key)
    if own is not None and own.steps and own.steps[-1].step + 1 == len(run.recipe.steps):
        return own
    line = placements.get(str(run.line)) if run.line else None
    if line is None or len(line.steps) != len(run.recipe.steps) or line.size != run.size:
        return None
    as_placed = abs(line.steps[0].begins - run.started) < MINUTE
    return line if as_placed else None


def goes_on_as_placed(run: Run, placed: Placement) -> bool:
    """Whether its step began when it was placed to."""
    began = next((step.begins for step in placed.steps if step.step == run.step), None)
    return began is not None and abs(began - run.step_began) < MINUTE


def _waits_too_long(kept: Placement | None, work: RecipeWork) -> bool:
    """Whether a run waits longer than it may where it was placed."""
    mosts = ((step, work.steps[step.step].most) for step in kept.steps) if kept else ()
    return any(most is not None and step.ends - step.hands_until > most * MINUTE for step, most in mosts)


def _begins(run: Run, work: RecipeWork, floor: Floor, now: datetime, kept: Placement | None, there: There) -> list[int]:
    """When each step begins: the one under way when it did, the next ones where they were placed, or, late or never
    placed, as early as may be; a wait is not stretched too far, whoever is busy."""
    first, current = max(0, floor.minute(run.step_began)), work.steps[run.step]
    rest = work.steps[run.step + 1 :]
    if not rest:
        return [first]
    soonest = max(first + current.span, floor.minute(now))
    latest = None if current.most is None else max(soonest, first + current.head + current.most)
    after = [soonest, *([0] * (len(rest) - 1))]
    for step, at in there.items():
        if step > run.step:
            after[step - run.step - 1] = max(after[step - run.step - 1], floor.minute(at))
    if latest is not None:
        latest = max(latest, after[0])  # What is not there is waited for, however long that is.
    wished = _as_kept(run, kept, after, latest, floor)
    if wished and kept and _as_placed(run, kept, wished, floor):
        return [first, *wished]
    for wish in [wished, after] if wished else [after]:
        begins = earliest_chain(_blocks(work, run.step + 1, floor), wish, floor.length)
        if begins is not None and (latest is None or begins[0] <= latest):
            return [first, *begins]
    return _one_by_one(run, work, first, wished or after, floor)


def _blocks(work: RecipeWork, first: int, floor: Floor) -> tuple[Block, ...]:
    """The steps from one on, those together that move as one; the same on one floor whoever asks."""
    key = "rest", id(work), first
    found: tuple[Block, ...] | None = floor.works.get(key)
    if found is None:
        found = floor.works[key] = in_blocks(work.steps[first:])
    return found


def _as_kept(
    run: Run, kept: Placement | None, after: Sequence[int], latest: int | None, floor: Floor
) -> list[int] | None:
    """Before when the steps ahead shall not begin because they were placed there; None for a run that is late and
    does not go on as it was placed."""
    if kept is None:
        return None
    late = kept.ready_by is not None and kept.steps[-1].ends + thaw(run.recipe) > kept.ready_by
    if late and not goes_on_as_placed(run, kept):
        return None
    placed = {step.step: floor.minute(step.begins) for step in kept.steps}
    wished = [max(bound, placed.get(run.step + 1 + number, 0)) for number, bound in enumerate(after)]
    if latest is not None:
        wished[0] = min(wished[0], latest)
    return wished


def _as_placed(run: Run, kept: Placement, wished: Sequence[int], floor: Floor) -> bool:
    """Whether a run goes on as it was placed, in a kitchen that is as it was: then nothing is in its way."""
    if not goes_on_as_placed(run, kept) or not floor.state.placed_for.startswith(there_is(floor.state)):
        return False
    return list(wished) == [floor.minute(step.begins) for step in kept.steps if step.step > run.step]


def _one_by_one(run: Run, work: RecipeWork, first: int, after: Sequence[int], floor: Floor) -> list[int]:
    """Each step where hands and places are free; where that would stretch a wait too far whoever is busy comes, but
    nothing goes into a place before another run has left it."""
    begins = [first]
    for number, bound in enumerate(after, run.step + 1):
        last, step = work.steps[number - 1], work.steps[number]
        earliest = max(bound, begins[-1] + last.span)
        free = earliest_begin(in_blocks((step,))[0], earliest)
        if last.most is not None and free > max(begins[-1] + last.head + last.most, earliest):
            in_place = run.recipe.steps[number].equipment is not None
            free = _left_free(step, earliest, floor) if in_place else earliest
        begins.append(free)
    return begins


def _left_free(step: JobStep, earliest: int, floor: Floor) -> int:
    """The soonest begin at which a step has the places that it takes, with hands or without; its earliest where it
    never has."""
    begin = earliest_begin(in_blocks((JobStep(step.head, step.least, demands=step.demands[-1:]),))[0], earliest)
    return begin if begin + step.span <= floor.length else earliest


def _book(
    run: Run, work: RecipeWork, begins: Sequence[int], floor: Floor, now: datetime, kept: Placement | None
) -> tuple[Placed, ...]:
    """Takes what the steps need, the places that they were given where there are such."""
    wanted = {step.step: step.places for step in kept.steps} if kept else {}
    places = []
    for number, begin in enumerate(begins):
        index = run.step + number
        step, on_equipment = work.steps[index], run.recipe.steps[index].equipment is not None
        over = begins[number + 1] if number + 1 < len(begins) else begin + step.span
        over = max(over, floor.minute(now)) if number == 0 else over
        places.append(_take(step, begin, over, wanted.get(index, ()), on_equipment))
    return _placed(run, work, begins, floor, now, places)


def _placed(
    run: Run, work: RecipeWork, begins: Sequence[int], floor: Floor, now: datetime, places: Sequence[tuple[int, ...]]
) -> tuple[Placed, ...]:
    placed = []
    for number, begin in enumerate(begins):
        index, last = run.step + number, number + 1 == len(begins)
        step, written = work.steps[index], run.recipe.steps[index]
        at = floor.instant(begin) if number else run.step_began
        hands = at + step.head * MINUTE
        ends = hands + step.least * MINUTE if last else floor.instant(begins[number + 1])
        placed.append(
            Placed(index, at, hands, ends, work.stations[index], written.equipment, written.at, places[number])
        )
    return tuple(placed)


def _take(step: JobStep, begin: int, over: int, wanted: tuple[int, ...], on_equipment: bool) -> tuple[int, ...]:
    """Takes what the step needs, the places that it was given where there are such; answers their numbers."""
    numbers: tuple[int, ...] = ()
    for demand in step.demands:
        until = over if demand.whole else begin + step.head
        equipped = on_equipment and demand is step.demands[-1]
        lanes = _lanes(demand, begin, until, wanted if equipped else ())
        for lane in lanes:
            demand.pool.lanes[lane].force(demand.setting, demand.amount, begin, until)
        if equipped:
            numbers = tuple(lane + 1 for lane in lanes)
    return numbers


def _lanes(demand: PoolUse, begin: int, until: int, wanted: tuple[int, ...]) -> tuple[int, ...]:
    count = len(demand.pool.lanes)
    if wanted and len(wanted) == demand.lanes and all(number <= count for number in wanted):
        return tuple(number - 1 for number in wanted)
    free = demand.pool.choose(demand, begin, until)
    return free if len(free) == demand.lanes else tuple(sorted((*free, *_soonest_free(demand, begin, until, free))))


def _soonest_free(demand: PoolUse, begin: int, until: int, free: tuple[int, ...]) -> list[int]:
    """What is there is somewhere: of the lanes that others have, those that they leave first."""
    lanes = demand.pool.lanes
    left = {
        number: lane.last_taken(demand.setting, demand.amount, begin, until)
        for number, lane in enumerate(lanes)
        if number not in free
    }
    return sorted(left, key=lambda number: left[number])[: demand.lanes - len(free)]


def keep_under_way(
    runs: Iterable[Run], lies: Mapping[str, tuple[Placed, ...]], placements: Mapping[str, Placement]
) -> dict[str, Placement]:
    """The placements of the rest of each run; when a step is due stays as it was when it began."""
    found = {}
    for run in runs:
        steps, old = lies.get(run.code), placements.get(run.key)
        if steps:
            same = old is not None and old.steps[0].step == run.step and old.steps[0].begins == run.step_began
            due = old.due if same and old else steps[0].ends
            found[run.key] = Placement(run.size, needed_by(run, placements), due, steps)
    return found
