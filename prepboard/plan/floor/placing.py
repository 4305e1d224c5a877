"""Placing the plan's runs: with hands per station, places per equipment, and what is under way, in time.

Sizes are worked out before, from each run alone. Here runs only move. `pinned.py` says what stays,
`foreseen.py` what is news.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from datetime import date, datetime, timedelta

from msgspec import Struct

from prepboard.plan.floor.floor import Floor, name_of, there_is, there_was
from prepboard.plan.floor.foreseen import as_foreseen, due_of, just_came, new_and_late, nobody_began
from prepboard.plan.floor.lost_runs import lost_anyway, too_late
from prepboard.plan.floor.making import RecipeWork, jobs_of, stations_of, work_of
from prepboard.plan.floor.pinned import SOME, Effort, keep, make_room, place_anew, place_around, place_last
from prepboard.plan.floor.under_way import book_under_way, keep_under_way, kept_of
from prepboard.plan.given.state import Placed, Placement, Run, State
from prepboard.plan.memory import Pages, memory_of
from prepboard.plan.runs.runs import SOON, Planned, RunTimes
from prepboard.plan.runs.still_takes import waits
from prepboard.plan.runs.today import station_of
from prepboard.plan.runs.torn import on_anothers_day
from prepboard.plan.solver.jobs import Job
from prepboard.plan.solver.orders import place_all
from prepboard.plan.solver.schedule import Schedule

BACK = timedelta(days=2)
"""How far before the first start, alone, a run may be moved."""
ON = timedelta(days=4)
"""How far after the last ready-by a late run may be placed."""
FURTHEST_BACK = timedelta(days=20)

MANY = 200
"""With more runs than this one order has to do."""


SCHEDULES = 16
"""Schedules that are remembered of one minute."""


class Placing(Struct, frozen=True):
    """Where everything lies: planned runs by line, runs under way by code. A line with steps that is not here fits
    nowhere."""

    digest: str
    placements: Mapping[str, Placement]
    under_way: Mapping[str, tuple[Placed, ...]]
    stations: Mapping[str, str]
    """Line -> its station, where that is not the prep's own."""
    cost: int = 0
    """What is late costs, where all was placed."""
    avoidable: int = 0
    """How much more that is than each run by itself would cost, where all could move."""
    anew: bool = False
    """Whether all could move for the sake of others, since something happened that was not foreseen."""
    made_way: frozenset[str] = frozenset()
    """Lines that lay elsewhere, and made way for what came within the plan's span."""
    settled: bool = True
    """Whether what is needed and where it lies came out as each other."""


NOT_PLACED = Placing("", {}, {}, {})


def place_under_way(state: State, runs: Sequence[Run], run_times: RunTimes) -> Mapping[str, tuple[Placed, ...]]:
    """Where the rest of every run under way lies, by code: nothing that is planned is in its way."""
    if not runs:
        return {}
    floor = floor_for(state, (), runs, run_times.now, shared=True)
    floor.lie()
    return book_under_way(runs, floor, run_times, waits(runs, (), run_times))


def place_runs(
    state: State,
    planned: Sequence[Planned],
    runs: Sequence[Run],
    run_times: RunTimes,
    moving: bool = False,
    before: Floor | None = None,
) -> tuple[Placing, Floor]:
    """Places planned runs, plates first, around the `runs` under way, those too whose food is held back; `planned`
    itself stays as it is. And the floor, with only what is under way on it: that of the same plan `before`, if it does.

    Time alone moves nothing that lies somewhere but what nobody began, and what hangs on that, and what makes way as
    another sitting comes within the plan's span. With `moving`, which a person's action is, what lies somewhere may
    move for the sake of others, unless nothing happened that was not foreseen.
    """
    now = run_times.now
    floor = floor_for(state, planned, runs, now, shared=True)
    floor.waits = waits(runs, planned, run_times)
    if before is not None and _is_still(before, floor, runs):
        floor, before.state = before, state
        floor.lie()
    else:
        floor.lie()
        floor.under_way = book_under_way(runs, floor, run_times, floor.waits)
    under_way = floor.under_way
    bound = run_times.bound
    stations = [bound.get(run.name) or station_of(state, run, now) for run in planned]
    facts = facts_of(state, planned, stations, runs)
    digest = digest_of(facts)
    still = digest == state.placed_for and not nobody_began(planned, runs, state, now)
    still = still and not (bound and bound.keys() & on_anothers_day(planned, bound, state.placements, run_times))
    # What nobody began when it was due is news to a press, though time moved it already.
    anew = moving and not (still and before is not None) and not as_foreseen(state, planned, runs, floor, run_times)
    if anew and state.given and not run_times.laid:
        # What is placed anew may go back to the day, and with that to the bench, that makes it if it lies alone.
        stations = [bound.get(run.name) or station_of(state, run, now, by_itself=True) for run in planned]
        facts = facts_of(state, planned, stations, runs)
        digest = digest_of(facts)
    given = {run.name: station for run, station in zip(planned, stations, strict=True) if station != run.recipe.station}
    if still and not anew:
        return Placing(digest, _as_the_book_says(state, planned, stations), under_way, given), floor
    news = [] if anew else new_and_late(planned, state) if moving else just_came(planned, state, now)
    laid = _laid(planned, stations, floor, run_times, under_way, facts, digest, anew, news)
    lies = _placements(laid, planned, floor, runs, now, under_way)
    made_way = frozenset(planned[index].name for index in laid.made_way)
    return Placing(digest, lies, under_way, given, laid.cost, laid.avoidable, anew, made_way), floor


class Laid(Struct, frozen=True):
    """Where everything lies."""

    steps: Sequence[tuple[Placed, ...]]
    """Of each run; none of what fits nowhere."""
    cost: int
    avoidable: int
    made_way: Sequence[int]


def _laid(
    planned: Sequence[Planned],
    stations: Sequence[str],
    floor: Floor,
    run_times: RunTimes,
    under_way: Mapping[str, tuple[Placed, ...]],
    facts: Facts,
    digest: str,
    anew: bool,
    news: Sequence[int],
) -> Laid:
    """The runs placed, or as they were placed within the minute; `digest` is of the `facts`."""
    state, after = floor.state, floor.minute(run_times.now)
    there = floor.origin, floor.length, after, *under_way.items(), *run_times.bound
    moment = facts, anew, _is_again(state, run_times), *news, *there
    if digest == state.placed_for and (known := _remembered(state, moment, ())):
        return known
    works, schedule = lay_out(planned, stations, floor, run_times, under_way)
    asked = *moment, *map(_asked, schedule.jobs)
    # Hashed once: that takes as long as placing some of them.
    name = hash(asked)
    known = _remembered(state, name, asked)
    if known is None:
        empty = schedule.snapshot()
        avoidable, made_way = _place(schedule, planned, works, floor, run_times, anew, news)
        lies = [
            work.placed(booked, floor) if booked is not None else ()
            for work, booked in zip(works, schedule.booked, strict=True)
        ]
        known = Laid(lies, schedule.cost()[0], avoidable, made_way)
        schedule.restore(empty)
        _schedules(state).keep(name, (state.placements, asked, known))
        _schedules(state).keep(moment, (state.placements, (), known))
    return known


def _is_again(state: State, run_times: RunTimes) -> bool:
    """Whether all lies as the round before, of the same plan, had it."""
    return run_times.laid and state.placements is run_times.lies


def _schedules(state: State) -> Pages[Hashable, tuple[Mapping[str, Placement], tuple[object, ...], Laid]]:
    """Schedules that were worked out a moment ago, by all that they follow from, so that a plate or a count within the
    minute costs none."""
    return memory_of(state.book).pages("schedules", SCHEDULES)


def _remembered(state: State, key: Hashable, asked: tuple[object, ...]) -> Laid | None:
    """What was worked out with the same placements kept before, for the same that was `asked`."""
    kept, was_asked, found = _schedules(state)[key] or ({}, (), None)
    return found if found is not None and was_asked == asked and kept == state.placements else None


def _place(
    schedule: Schedule,
    planned: Sequence[Planned],
    works: Sequence[RecipeWork],
    floor: Floor,
    run_times: RunTimes,
    anew: bool,
    news: Sequence[int],
) -> tuple[int, Sequence[int]]:
    """Places all; answers what `place_anew` does, and who made way for news."""
    last, effort = too_late(planned, floor, run_times), Effort(_tries(len(planned)), _budget(len(planned)))
    if anew and last:
        # What could be saved now is asked for as all else is.
        last &= lost_anyway(planned, floor, run_times)
    # What waits for somebody's decision lies around all else too.
    last |= {index for index, run in enumerate(planned) if run.recipe.on_demand}
    schedule.need_not_last = last
    kept, avoidable = keep(schedule, planned, works, floor, last), 0
    made_way: Sequence[int] = ()
    if kept and anew:
        avoidable = place_anew(schedule, kept, planned, floor, last, run_times.now, effort)
    elif kept:
        place_around(schedule, kept, planned, floor, last, run_times.now, _is_again(floor.state, run_times))
        made_way = make_room(schedule, kept, news, floor.minute(run_times.now + SOON))
    else:
        rest = [index for index in range(len(planned)) if index not in last]
        place_all(schedule, rest, tries=effort.tries, improving=effort.improving)
    place_last(schedule, planned, works, floor, last)
    return avoidable, made_way


def _asked(job: Job) -> tuple[object, ...]:
    """What a job's place follows from, besides its steps and what there is of hands and places."""
    fresh = job.fresh, job.fresh_step, job.fresh_grain
    return (
        job.due,
        job.after,
        job.weight,
        job.alone,
        job.feeds,
        fresh,
        job.slack,
        job.lost_from,
        job.lost,
        job.no_use_from,
    )


def lay_out(
    planned: Sequence[Planned],
    stations: Sequence[str],
    floor: Floor,
    run_times: RunTimes,
    under_way: Mapping[str, tuple[Placed, ...]],
) -> tuple[list[RecipeWork], Schedule]:
    """The runs as jobs of a schedule in which only what is under way is booked."""
    works = [
        work_of(run.recipe, run.size, floor, station, _its_days(run, station, floor, run_times))
        for run, station in zip(planned, stations, strict=True)
    ]
    ready = {code: steps[-1].ends for code, steps in under_way.items()}
    return works, Schedule(jobs_of(planned, works, floor, run_times, ready), floor.length)


def _its_days(run: Planned, station: str, floor: Floor, run_times: RunTimes) -> Sequence[date] | None:
    """The days on which its bench makes what is bound to it; None for what is bound to none."""
    if run.name not in run_times.bound:
        return None
    days = run_times.book.kitchen.days
    return [day for day in floor.days() if run_times.station_on(run.recipe, days.opens(day)) == station]


def _as_the_book_says(state: State, planned: Sequence[Planned], stations: Sequence[str]) -> dict[str, Placement]:
    """Kept placements, each step with the station, the equipment and the temperature that the recipe gives it."""
    found = dict(state.placements)
    for run, station in zip(planned, stations, strict=True):
        kept = found.get(run.name)
        if kept is not None and len(kept.steps) == len(run.recipe.steps):
            benches = stations_of(run.recipe, station)
            steps = zip(kept.steps, run.recipe.steps, benches, strict=True)
            named = tuple(
                Placed(was.step, was.begins, was.hands_until, was.ends, bench, step.equipment, step.at, was.places)
                for was, step, bench in steps
            )
            found[run.name] = Placement(kept.size, run.ready_by, kept.due, named)
    return found


Facts = tuple[str, ...]
"""Everything that placements follow from but the moment. A file keeps their digest; what is remembered is remembered by
themselves."""


def facts_of(state: State, planned: Sequence[Planned], stations: Sequence[str], runs: Sequence[Run]) -> Facts:
    """The hands and places there are, as `there_is` names them; lines with size and ready-by, what each draws of what,
    what is under way."""
    return (
        there_is(state),
        *(
            f"{run.name} {_size(run)} {_asked_by(run)} {station}"
            for run, station in zip(planned, stations, strict=True)
        ),
        *(
            f"{run.name} {need.prep} {lot.source} {lot.name} {amount} {lot.frozen}"
            for run in planned
            for need in run.takes
            for lot, amount in need.drawn
        ),
        *(f"{run.code} {run.size} {run.step} {run.step_began.isoformat()}" for run in runs),
    )


def _size(run: Planned) -> str:
    recipes, parts = run.size.as_integer_ratio()
    return f"{recipes}/{parts}" if parts != 1 else str(recipes)


def digest_of(facts: Facts) -> str:
    """Names the facts, in a file too: first what there is."""
    there, *others = facts
    return there + name_of(others)


def _asked_by(run: Planned) -> str:
    """By when a run is needed; of what only other runs take that follows from where they lie."""
    for need, _ in run.serves:
        if need.run_of is None:
            return run.ready_by.isoformat()
    return ""


def _tries(runs: int) -> int:
    """Orders to place all in."""
    return 4 if runs <= SOME else 2 if runs <= MANY else 1


def _budget(runs: int) -> int:
    """Placements to spend on a better schedule: the more runs, the fewer."""
    return 500 if runs <= 15 else 300 if runs <= SOME else 100 if runs <= MANY else 0


def floor_for(
    state: State, planned: Sequence[Planned], runs: Sequence[Run], now: datetime, shared: bool = False
) -> Floor:
    """Hands and places around the runs, with room before and after them."""
    begins = [now, *(run.step_began for run in runs), *(run.begins for run in planned)]
    ends = [now, *(run.ready_by for run in planned), *(run.ready for run in planned)]
    origin = max(min(begins), now - FURTHEST_BACK).replace(second=0, microsecond=0) - BACK
    longest = max((run.ready - run.begins for run in planned), default=timedelta())
    return Floor(state, origin, (max(ends) + longest + ON - origin) // timedelta(minutes=1), shared)


def _is_still(before: Floor, floor: Floor, runs: Sequence[Run]) -> bool:
    """Whether the floor of a moment ago does: the same minutes, and what is under way was to go on at the same ones."""
    if before.origin != floor.origin or before.length != floor.length or before.waits != floor.waits:
        return False
    was, now = before.state, floor.state
    if not runs or was.placements is now.placements:
        return True
    as_kept = (kept_of(run, was.placements) == kept_of(run, now.placements) for run in runs)
    return there_was(was.placed_for) == there_was(now.placed_for) and all(as_kept)


def _placements(
    laid: Laid,
    planned: Sequence[Planned],
    floor: Floor,
    runs: Sequence[Run],
    now: datetime,
    under_way: Mapping[str, tuple[Placed, ...]],
) -> dict[str, Placement]:
    """Every line's placement, and the rest of every run's."""
    known = floor.state.placements
    found = keep_under_way(runs, under_way, known)
    for run, steps in zip(planned, laid.steps, strict=True):
        if steps and run.recipe.steps:
            due = due_of(known.get(run.name), now)
            found[run.name] = Placement(run.size, run.ready_by, due, steps)
    return found
