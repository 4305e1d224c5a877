"""Readiness: when a planned run is ready if someone starts it now, and how early it may start."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from msgspec.structs import replace

from prepboard.plan.floor.floor import Floor
from prepboard.plan.floor.placing import Placing
from prepboard.plan.floor.too_late import GivingWay, late_amounts, late_notes, lost, not_for
from prepboard.plan.floor.under_way import over_if_begun
from prepboard.plan.floor.waiting import all_at_work, causes_of, is_late
from prepboard.plan.given.state import Placed, Placement, Run, Sitting
from prepboard.plan.needs.more import more_now
from prepboard.plan.runs.lacking import frozen_now, lacks, on_hand_now
from prepboard.plan.runs.runs import Planned, RunTimes, thaw
from prepboard.plan.runs.sizes import scaled
from prepboard.plan.runs.still_takes import comes_of_others, latest_for
from prepboard.plan.runs.stock import Need, minute_of
from prepboard.plan.runs.today import missing_notes, station_of, waits_for
from prepboard.plan.shown.lines import MakeLine, Note, Serves, Taken, WaitsFor

MINUTE = timedelta(minutes=1)
SAID_FOR = timedelta(hours=1)
"""So long a line says what moved it."""


def make_lines(
    planned: Iterable[Planned], placing: Placing, floor: Floor, run_times: RunTimes, kept: Mapping[str, Placement]
) -> list[MakeLine]:
    """The plan's runs as lines, by when they begin; `planned` in planning order, plates first, `floor` with what is
    under way on it. `kept` are the placements that the file has by now, with what moved them."""
    floor.lie()
    ready_now: dict[str, datetime] = {}
    planned = list(planned)
    causes: Mapping[str, WaitsFor] = {}
    if any(map(is_late, planned)):
        causes = causes_of(planned, all_at_work(planned, placing, run_times), run_times)
    of_late, giving_way = late_amounts(planned), GivingWay(planned, run_times.now)
    too_late, missed = lost(planned, run_times.now), not_for(planned, run_times.now)
    on_hand, frozen = (amounts(run_times.state, run_times.now) for amounts in (on_hand_now, frozen_now))
    lines = [
        _line(run, placing, floor, run_times, ready_now, giving_way, of_late, on_hand) for run in reversed(planned)
    ]
    for index, run in enumerate(reversed(planned)):
        said: dict[str, Any] = {"too_late": True} if run.name in too_late else {}
        notes = lines[index].notes
        if run.name in missed:
            said["not_for"] = missed[run.name]
            if run.name not in too_late:
                notes = _still_for(run, lines[index], missed[run.name][0], too_late)
        if lacking := lacks(run, on_hand, frozen, run_times.state):
            said["lacks"] = lacking
        if run.name in causes:
            said["waits_for"] = causes[run.name]
        if moved := _moved(run, kept.get(run.name), run_times.now):
            notes = (*notes, moved)
        if notes is not lines[index].notes:
            said["notes"] = notes
        if said:
            lines[index] = replace(lines[index], **said)
    return sorted(
        lines, key=lambda line: (line.begins, line.ready_by, run_times.book.preps[line.prep].order, line.line.n)
    )


def _line(
    run: Planned,
    placing: Placing,
    floor: Floor,
    run_times: RunTimes,
    ready_now: dict[str, datetime],
    giving_way: GivingWay,
    of_late: Mapping[int, int],
    on_hand: Mapping[str, int],
) -> MakeLine:
    there = _when_there(run, ready_now)
    for step, at in waits_for(run, run_times.state.missing, run_times.now).items():
        there[step] = max(there.get(step, at), at)
    from_now = run_times.after(run.recipe, run.size, run_times.now, there)
    alone = from_now[-1].ends if from_now else max([run_times.now, *there.values()])
    station = run.station or station_of(run_times.state, run, run_times.now)
    kept = placing.placements.get(run.name)
    # Who starts it now has it on the bench that it was given to today.
    today = run_times.station_on(run.recipe, run_times.now)
    now = run_times.now
    begun = _begun(run, today, now)
    lies_there = _when_it_lies_there(run, begun, on_hand, ready_now, run_times)
    if_now = soonest = _if_started_now(run, begun, kept, floor, lies_there)
    first_there = there.get(0, now)
    if first_there > now:
        soonest = _if_started_now(run, _begun(run, today, first_there), kept, floor, there)
    elif _ahead(there, now) != _ahead(lies_there, now):
        soonest = _if_started_now(run, begun, kept, floor, there)
    ready_now[run.name] = soonest
    ready = minute_of(max(run.ready, run_times.now)) + thaw(run.recipe)
    notes = [*run.notes, *missing_notes(run, run_times.state.missing), *more_now(run, soonest, run_times.now)]
    notes += late_notes(run, ready, alone, there, giving_way, of_late, run_times)
    return MakeLine(
        line=run.line,
        prep=run.recipe.id,
        station=station,
        amount=run.outputs[run.recipe.id],
        size=run.size,
        outputs=run.outputs,
        begins=max(run.begins, run_times.now),
        can_start_from=_can_start_from(run, run_times, there, from_now),
        ready_by=run.ready_by,
        ready_at=ready,
        ready_if_started_now=if_now,
        serves=tuple(_serves(need, amount) for need, amount in run.serves),
        takes=tuple(_takes(run)),
        steps=run.steps,
        use_by=run.lots[run.recipe.id].good_until,
        par=run.need.amount if run.need.par else None,
        on_hand=run.on_hand,
        under_way=run.under_way,
        left_over=run.left_over,
        short=run.short,
        notes=tuple(notes),
        due_at=kept.due if kept and run.begins < run_times.now + MINUTE else None,
    )


def _ahead(there: Mapping[int, datetime], now: datetime) -> dict[int, datetime]:
    """By step after the first, what has to be waited for."""
    return {step: at for step, at in there.items() if step and at > now}


def _still_for(run: Planned, line: MakeLine, sitting: Sitting, too_late: Collection[str]) -> tuple[Note, ...]:
    """The notes of a line with that it misses a sitting, and which other run still takes of it, if one does."""
    still = next((need.run_of for need in run.draw if need.run_of and need.key not in too_late), None)
    facts = {"at": line.ready_at, "service": sitting[0], "day": sitting[1], **({"item": still} if still else {})}
    return (Note("too late", facts), *(note for note in line.notes if note.kind != "too late"))


def _moved(run: Planned, known: Placement | None, now: datetime) -> Note | None:
    """What moved it within the hour."""
    moved = known.moved if known and known.size == run.size else None
    if moved is None or moved.at <= now - SAID_FOR:
        return None
    return Note("moved", {"since": moved.since, "did": moved.did, "item": moved.item, "minutes": moved.minutes})


def _if_started_now(
    run: Planned, begun: Run, kept: Placement | None, floor: Floor, there: Mapping[int, datetime]
) -> datetime:
    """When a run is ready that is `begun` at a moment: as it was placed, where that is then; else with its first step
    begun at once and the others around what is under way, as soon as what they take is `there`."""
    begin = begun.started
    if not run.recipe.steps:
        return max([begin, *there.values()])
    as_placed = kept is not None and abs(kept.steps[0].begins - begin) < MINUTE
    if kept is not None and as_placed and kept.steps[0].begins <= begin:
        return kept.steps[-1].ends + thaw(run.recipe)
    # In the last seconds of the minute before it goes on as it was placed, as far as its waits let it.
    return over_if_begun(begun, floor, begin, there, kept if as_placed else None) + thaw(run.recipe)


def _begun(run: Planned, station: str, at: datetime) -> Run:
    """A planned run that somebody begins at a moment."""
    return Run(run.name, run.line, run.recipe, run.size, run.outputs, at, 0, at, frozenset(), "", station)


def _serves(need: Need, amount: int) -> Serves:
    return Serves(need.service, need.run_of, need.service_day, amount)


def _takes(run: Planned) -> Iterable[Taken]:
    """Goods and preps, in the recipe's order, each when its step begins, else at the start; a late run's first step
    should have begun at its start-by."""
    begins = {placed.step: placed.begins for placed in run.steps[1:]}
    for use in run.recipe.uses:
        at = begins.get(use.step, run.begins) if use.step is not None else run.begins
        yield Taken(use.item, scaled(use.amount, run.size), at)


def _drawn_there(need: Need, ready_now: dict[str, datetime]) -> datetime | None:
    """When all that a need drew is there, runs that are still planned being started now."""
    return max((ready_now.get(lot.name, lot.there) for lot, _ in need.drawn), default=None)


def _when_there(run: Planned, ready_now: dict[str, datetime]) -> dict[int, datetime]:
    """By step, before when it cannot begin."""
    steps = {use.item: use.step for use in run.recipe.uses} if run.takes else {}
    there: dict[int, datetime] = {}
    for need in run.takes:
        at = _drawn_there(need, ready_now)
        if at is not None:
            step = steps[need.prep] or 0
            there[step] = max(there.get(step, at), at)
    return there


def _when_it_lies_there(
    run: Planned, begun: Run, on_hand: Mapping[str, int], ready_now: Mapping[str, datetime], run_times: RunTimes
) -> dict[int, datetime]:
    """By step after the first, before when it cannot begin once the run is under way, `begun` now: what is planned for
    it lies where it does, but for what it cannot wait for so long; that is made sooner, if it can be."""
    there = waits_for(run, run_times.state.missing, run_times.now)
    steps = {use.item: use.step or 0 for use in run.recipe.uses} if run.takes else {}
    givers = run_times.state.runs
    for need in run.takes:
        step = steps[need.prep]
        if not step:
            continue
        at, short = comes_of_others(need.prep, need.amount, on_hand, givers, run_times)
        found = [at] if at else []
        if short:
            latest = latest_for(begun, step, _earliest(begun, step, run_times), run.ready_by, run_times)
            planned = [lot for lot, _ in need.drawn if lot.source == "planned"]
            found += [min(lot.there, max(latest, ready_now.get(lot.name, lot.there))) for lot in planned]
        if found:
            there[step] = max(found if step not in there else [there[step], *found])
    there.pop(0, None)
    return there


def _earliest(begun: Run, step: int, run_times: RunTimes) -> datetime:
    """When a step of a run that has just begun may begin at the soonest."""
    chain = run_times.chain(begun.recipe, begun.size, begun.station or None)
    return begun.step_began + sum((one.hands + one.least for one in chain[:step]), timedelta())


def _can_start_from(
    run: Planned, run_times: RunTimes, there: dict[int, datetime], from_now: tuple[Placed, ...]
) -> datetime:
    """The earliest start from now on whose batch is still good as long as the latest start's would be, as far as
    it is needed; its ingredients there. `from_now` are its steps if it is started now."""
    if run.begins <= run_times.now:
        return run_times.now
    wanted = max((need.until for need, _ in run.serves), default=run.ready_by)
    latest_good = run.lots[run.need.prep].good_until
    if latest_good is not None:
        wanted = min(wanted, latest_good)

    lot = run.lots[run.need.prep]
    served = [need.until for need, _ in run.serves if need.occasion is not None]
    fresh = min(max(served), lot.fresh_until) if served and lot.fresh_until is not None else None

    def holds(start: datetime, moments: Sequence[datetime]) -> bool:
        ready = moments[-1] if moments else start
        if fresh is not None and lot.fresh_for is not None and ready + lot.fresh_for < fresh:
            return False
        return ready <= run.ready_by and run_times.good_from(run.recipe, run.need.prep, moments, ready) >= wanted

    at_once = [*(placed.begins for placed in from_now), from_now[-1].ends] if from_now else []
    after = _moments_after(run, run_times, there, at_once)
    if holds(run_times.now, at_once):
        return at_once[0] if at_once else run_times.now
    early, late = 0, (run.begins - run_times.now) // MINUTE
    while early < late:
        middle = (early + late) // 2
        start = run_times.now + middle * MINUTE
        if holds(start, after(start)):
            late = middle
        else:
            early = middle + 1
    start = run_times.now + late * MINUTE
    moments = after(start)
    return min(run.begins, moments[0] if moments else start)


def _moments_after(
    run: Planned, run_times: RunTimes, there: dict[int, datetime], at_once: Sequence[datetime]
) -> Callable[[datetime], Sequence[datetime]]:
    """When a run's steps begin, and when it is ready, if it is started at a moment; `at_once` if it is started now."""
    known: list[tuple[datetime, Sequence[datetime]]] = [(run_times.now, at_once)]

    def after(start: datetime) -> Sequence[datetime]:
        # Who starts while nobody can begin yet begins when who started before that could.
        for first, moments in known if not run_times.state.given else ():
            if moments and first <= start <= moments[0]:
                return moments
        moments = run_times.moments_after(run.recipe, run.size, start, there)
        known.append((start, moments))
        return moments

    return after
