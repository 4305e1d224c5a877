"""What runs under way still take: by when, and before when it cannot be there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from prepboard.plan.given.state import Placement, Run
from prepboard.plan.runs.lacking import on_hand_now
from prepboard.plan.runs.runs import Planned, RunTimes, thaw
from prepboard.plan.runs.sizes import scaled

There = Mapping[int, datetime]
"""By step, before when it cannot begin."""


def needed_by(run: Run, placements: Mapping[str, Placement]) -> datetime | None:
    """When what a run gives is needed, as far as a plan knew when it began."""
    known = placements.get(run.key) or (placements.get(str(run.line)) if run.line else None)
    return known.ready_by if known else None


def latest_begin(run: Run, step: int, earliest: datetime, run_times: RunTimes) -> datetime:
    """Up to when a step ahead may begin without harm, not before its `earliest`: the run is in time then, and the wait
    before it not too long. Its earliest where nobody knows when it is needed."""
    needed = needed_by(run, run_times.state.placements)
    return latest_for(run, step, earliest, needed, run_times) if needed is not None else earliest


def latest_for(run: Run, step: int, earliest: datetime, needed: datetime, run_times: RunTimes) -> datetime:
    """The same of a run that is `needed` at a moment."""
    chain = run_times.chain(run.recipe, run.size, run.station or None)
    latest = needed - thaw(run.recipe) - sum((one.hands + one.least for one in chain[step:]), timedelta())
    if step == run.step + 1:
        latest = min(latest, run.step_began + chain[run.step].hands + chain[run.step].most)
    return max(earliest, latest)


def still_takes(run: Run) -> list[tuple[int, str, int]]:
    """(step, item, amount of one recipe) of all that it has not taken yet and its steps ahead name."""
    return [
        (use.step, use.item, use.amount)
        for use in run.recipe.uses
        if use.step is not None and use.step > run.step and use.item not in run.taken
    ]


def waits(runs: Sequence[Run], planned: Sequence[Planned], run_times: RunTimes) -> dict[str, dict[int, datetime]]:
    """By code of a run under way, before when its steps ahead cannot begin: goods are not there yet, or what they take
    is under way itself, or planned and not made. A time that nobody knows delays nothing."""
    found: dict[str, dict[int, datetime]] = {}
    on_hand = on_hand_now(run_times.state, run_times.now) if len(runs) > 1 else {}
    for run in runs:
        for step, item, amount in still_takes(run):
            comes = run_times.state.missing.get(item)
            if comes is not None:
                _later(found, run.code, step, max(comes, run_times.now))
            others = [one for one in runs if one is not run]
            at, _short = comes_of_others(item, scaled(amount, run.size), on_hand, others, run_times)
            if at is not None:
                _later(found, run.code, step, at)
    keys = {key_of(run): run for run in runs}
    for giver in planned:
        for need in giver.draw:
            run_ = keys.get(need.key) if need.order < 0 else None
            for step, item, _ in still_takes(run_) if run_ else ():
                if item == need.prep and run_:
                    _later(found, run_.code, step, _ready(giver, run_times) + thaw(run_times.book.preps[item]))
    return found


def _later(found: dict[str, dict[int, datetime]], code: str, step: int, at: datetime) -> None:
    there = found.setdefault(code, {})
    there[step] = max(there.get(step, at), at)


def comes_of_others(
    item: str, wanted: int, on_hand: Mapping[str, int], others: Sequence[Run], run_times: RunTimes
) -> tuple[datetime | None, int]:
    """When runs under way give what is not there of what somebody takes who is under way too, and so takes first; None
    where it needs none of them. And what they lack of it."""
    short, at = wanted - on_hand.get(item, 0), None
    givers = [one for one in others if item in one.outputs] if short > 0 else []
    for ready, gives in sorted((_gives(one, run_times), one.outputs[item]) for one in givers):
        if short > 0:
            at, short = ready + thaw(run_times.book.preps[item]), short - gives
    return at, max(0, short)


def _gives(run: Run, run_times: RunTimes) -> datetime:
    """When a run under way is over as it was placed, or by as much later as nobody went on; now where it lies
    nowhere."""
    lies = run_times.lies.get(run.key) or (run_times.lies.get(str(run.line)) if run.line else None)
    if lies is None or not lies.steps:
        return run_times.now
    slipped = next((run_times.now - placed.ends for placed in lies.steps if placed.step == run.step), timedelta())
    return lies.steps[-1].ends + max(slipped, timedelta())


def _ready(giver: Planned, run_times: RunTimes) -> datetime:
    """When a planned run is ready where it lies, no sooner begun than now; where it lies nowhere yet, by itself."""
    lies = run_times.lies.get(giver.name)
    if lies is None or not lies.steps or lies.size != giver.size:
        return max(giver.ready, run_times.now)
    slipped = run_times.now - lies.steps[0].begins
    return lies.steps[-1].ends + max(slipped, timedelta())


def key_of(run: Run) -> str:
    """How what a run takes is named: as its line's, or its own."""
    return str(run.line) if run.line else run.key
