"""Making: runs as jobs, and booked jobs as steps of a run with the clock's times."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Prep
from prepboard.book.book import Step as Written
from prepboard.plan.floor.floor import MINUTE, Floor
from prepboard.plan.floor.lasting import Lasts, lasting_from
from prepboard.plan.floor.plates import LOST, Plates
from prepboard.plan.given.state import Placed
from prepboard.plan.memory import Pages, memory_of
from prepboard.plan.runs.runs import Planned, RunTimes, thaw
from prepboard.plan.runs.today import waits_for
from prepboard.plan.solver.jobs import Booked, Feed, Job, JobStep, Lanes, PoolUse

ITS_HANDS: tuple[tuple[int, ...], ...] = ((0,),)
"""The lanes of a step that takes hands: those of a bench are one lane."""


class RecipeWork(Struct, frozen=True, gc=False):
    """A recipe's steps for one size at one station, with the book's steps they stand for."""

    recipe: Prep
    stations: tuple[str, ...]
    steps: tuple[JobStep, ...]
    too_large: bool
    """It takes more places than there are."""

    def placed(self, booked: Booked, floor: Floor) -> tuple[Placed, ...]:
        found, ends = [], floor.instant(booked.begins[0])
        for number, written in enumerate(self.recipe.steps):
            begins, begin, head = ends, booked.begins[number], self.steps[number].head
            ends = floor.instant(booked.begins[number + 1] if number + 1 < len(booked.begins) else booked.end)
            found.append(
                Placed(
                    number,
                    begins,
                    floor.instant(begin + head) if head else begins,
                    ends,
                    self.stations[number],
                    written.equipment,
                    written.at,
                    self._places(number, booked.lanes),
                )
            )
        return tuple(found)

    def _places(self, number: int, lanes: Lanes) -> tuple[int, ...]:
        """The numbers of the equipment's places, from 1."""
        if self.recipe.steps[number].equipment is None:
            return ()
        return tuple(lane + 1 for lane in lanes[number][-1])

    def lanes(self, steps: Sequence[Placed]) -> Lanes | None:
        """The lanes of each demand of steps placed earlier; None where they are no longer these steps."""
        found: list[tuple[tuple[int, ...], ...]] = []
        for step, written, placed in zip(self.steps, self.recipe.steps, steps, strict=True):
            if written.equipment is None:
                found.append(ITS_HANDS if step.demands else ())
                continue
            places = step.demands[-1]
            numbers = tuple([number - 1 for number in placed.places])
            if len(numbers) != places.lanes or max(numbers) >= len(places.pool.lanes):
                return None
            found.append((*ITS_HANDS, numbers) if len(step.demands) > 1 else (numbers,))
        return tuple(found)


def stations_of(recipe: Prep, station: str) -> tuple[str, ...]:
    """Who does each step of a recipe made at a station: steps that another bench does stay there."""
    return tuple([station if step.station == recipe.station else step.station for step in recipe.steps])


def work_of(
    recipe: Prep, size: Fraction, floor: Floor, station: str, only_on: Sequence[date] | None = None
) -> RecipeWork:
    """The steps of a recipe made at a station; the same on one floor whoever asks. It is begun `only_on` these business
    days."""
    key = id(recipe), *size.as_integer_ratio(), station, None if only_on is None else tuple(only_on)
    found: RecipeWork | None = floor.works.get(key)
    if found is None:
        found = _work_of(recipe, size, floor, station)
        if only_on is not None:
            first = replace(found.steps[0], begins_open=floor.open_on(only_on, found.steps[0].begins_open))
            found = replace(found, steps=(first, *found.steps[1:]))
        floor.works[key] = found
    return found


def _work_of(recipe: Prep, size: Fraction, floor: Floor, station: str) -> RecipeWork:
    stations = stations_of(recipe, station)
    steps, too_large = [], False
    for step, lengths, bench in zip(recipe.steps, _lengths(recipe, size, floor), stations, strict=True):
        key = lengths, bench, step.equipment, id(step.at), step.holds
        found: tuple[JobStep, bool] | None = floor.works.get(key)
        if found is None:
            found = floor.works[key] = _step(step, lengths, floor, bench)
        made, large = found
        steps.append(made)
        too_large |= large
    return RecipeWork(recipe, stations, tuple(steps) or (JobStep(0),), too_large)


Lengths = tuple[int, int, int, int]
"""Of one step: minutes of hands, the least wait and the most, and the racks that it takes."""


def _lengths(recipe: Prep, size: Fraction, floor: Floor) -> tuple[Lengths, ...]:
    known: Pages[object, tuple[tuple[Lengths, ...], Prep]] = memory_of(floor.book).pages("lengths")
    key = id(recipe), *size.as_integer_ratio()
    found = known[key] or known.keep(key, (tuple([_length(step, size) for step in recipe.steps]), recipe))
    return found[0]


def _length(written: Written, size: Fraction) -> Lengths:
    head, least, most = written.hands_minutes(size), written.wait, max(written.wait, written.wait_up_to)
    if written.attended:
        head, most, least = head + least, most - least, 0
    racks = written.racks
    taken = racks.numerator * size.numerator, racks.denominator * size.denominator
    return head, least, most, -(-taken[0] // taken[1]) if written.equipment is not None else 0


def _step(written: Written, lengths: Lengths, floor: Floor, station: str) -> tuple[JobStep, bool]:
    head, least, most, needed = lengths
    demands, too_large, hot = [], False, None
    hands = floor.hands(station)
    if head and hands is not None:
        demands.append(floor.pair_of_hands(station))
    if written.equipment is not None:
        places, hot = floor.places(written.equipment), floor.hot(written.equipment)
        racks = places.lanes[0].capacity
        wanted = max(1, -(-needed // racks))
        too_large = wanted > len(places.lanes)
        demands.append(
            PoolUse(
                places,
                racks if wanted > 1 else needed,
                floor.heat(written.at),
                written.holds == "all",
                min(wanted, len(places.lanes)),
            )
        )
    rigid = least > 0 and most == least
    return JobStep(head, least, most, tuple(demands), hands if rigid else None, hot), too_large


def jobs_of(
    planned: Sequence[Planned],
    works: Sequence[RecipeWork],
    floor: Floor,
    run_times: RunTimes,
    ready: Mapping[str, datetime],
) -> list[Job]:
    """One job for each run, users first; what a run draws of another is a feed. `ready` is of runs under way."""
    index = {run.name: number for number, run in enumerate(planned)}
    givers: dict[tuple[str, str], list[str]] = defaultdict(list)
    for run in planned:
        for need, _ in run.serves:
            if need.run_of is not None:
                givers[need.key, need.prep].append(run.name)
    plates, by_name = Plates(floor.state, run_times.now), {run.name: run for run in planned}
    lasts = [lasting_from(run, by_name, floor, run_times) for run in planned]
    now, jobs = floor.minute(run_times.now), []
    for run, work, last in zip(planned, works, lasts, strict=True):
        due, at_step = _due(run, floor), _at_step(run) if run.takes else {}
        lost_from, no_use_from = _over(run, floor)
        jobs.append(
            Job(
                work.steps,
                due,
                _after(run, work, floor, run_times.now, now, ready, at_step),
                plates.weight(run),
                floor.minute(run.alone[0].begins) if run.alone else due,
                _feeds(run, planned, index, givers, floor, lasts, at_step) if run.takes else (),
                last.fresh,
                last.step,
                last.grain,
                run.recipe.ready_before,
                lost_from,
                LOST * plates.of(run),
                no_use_from,
            )
        )
    return jobs


def _over(run: Planned, floor: Floor) -> tuple[int | None, int | None]:
    """When the first sitting that it is for is over, and when the last one is, if it is for nothing else."""
    ends = [occasion.ends for need, _ in run.serves if (occasion := need.occasion) is not None]
    if not ends:
        return None, None
    thaws = thaw(run.recipe)
    return floor.minute(min(ends) - thaws), floor.minute(max(ends) - thaws) if len(ends) == len(run.serves) else None


def _due(run: Planned, floor: Floor) -> int:
    """When a run must be over, its cushion and its thaw included."""
    return floor.minute(run.ready_by - thaw(run.recipe)) - run.recipe.ready_before


def _at_step(run: Planned) -> dict[str, int]:
    """The step that takes each item; the first where none is named."""
    return {use.item: use.step or 0 for use in run.recipe.uses}


def _after(
    run: Planned,
    work: RecipeWork,
    floor: Floor,
    now: datetime,
    minute: int,
    ready: Mapping[str, datetime],
    at_step: Mapping[str, int],
) -> tuple[int, ...]:
    """Before when each step may not begin: now, which is this minute, and when what it takes of stock, of goods on
    their way or of runs under way is there."""
    after = [minute] * len(work.steps)
    if floor.state.missing:
        for step, comes in waits_for(run, floor.state.missing, now).items():
            after[step] = floor.minute(comes)
    for need in run.takes:
        step = at_step[need.prep]
        for lot, _ in need.drawn:
            if lot.source != "planned":
                there = ready[lot.name] + thaw(floor.book.preps[need.prep]) if lot.name in ready else lot.there
                if lot.frozen and lot.thaw and run.alone:
                    # Taken when it would be by itself, and not sooner than it can be taken out for then.
                    alone = run.alone[step].begins
                    there = max(there, taken) if (taken := lot.thaw.soonest(alone)) > alone else there
                after[step] = max(after[step], floor.minute(there))
    return tuple(after)


def _feeds(
    run: Planned,
    planned: Sequence[Planned],
    index: Mapping[str, int],
    givers: Mapping[tuple[str, str], list[str]],
    floor: Floor,
    lasts: Sequence[Lasts],
    at_step: Mapping[str, int],
) -> tuple[Feed, ...]:
    """What the run draws of other planned runs, and those that were planned for it, drawn or not. Those that were
    planned for it first have to last for it, wherever it lies; others take of something else then."""
    feeds: list[Feed] = []
    for need in run.takes:
        for_it = givers.get((need.key, need.prep), ())
        drawn = [lot.name for lot, _ in need.drawn if lot.source == "planned"]
        if not for_it and not drawn:
            continue
        step, lag = at_step[need.prep], thaw(floor.book.preps[need.prep]) // MINUTE
        for name in dict.fromkeys((*for_it, *drawn)):
            number = index[name]
            until = lasts[number].until
            wanted = None if until is None or planned[number].need.key != run.name else floor.minute(until)
            feed = Feed(number, step, lag, planned[number].recipe.ready_before, wanted)
            if feed not in feeds:
                feeds.append(feed)
    return tuple(feeds)
