"""What runs under way still take: by when, and before when it cannot be there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from prepboard.plan.given.state import Placement, Run
from prepboard.plan.runs.runs import Planned, RunTimes, thaw

There = Mapping[int, datetime]
"""By step, before when it cannot begin."""


def needed_by(run: Run, placements: Mapping[str, Placement]) -> datetime | None:
    """When what a run gives is needed, as far as a plan knew when it began."""
    known = placements.get(run.key) or (placements.get(str(run.line)) if run.line else None)
    return known.ready_by if known else None


def latest_begin(run: Run, step: int, earliest: datetime, run_times: RunTimes) -> datetime:
    """Up to when a step ahead may begin without harm, not before its `earliest`: the run is in time then, and the wait
    before it not too long. Its earliest where nobody knows when it is needed."""
    chain = run_times.chain(run.recipe, run.size, run.station or None)
    needed = needed_by(run, run_times.state.placements)
    if needed is None:
        return earliest
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
    is planned and not made. A time that nobody knows delays nothing."""
    found: dict[str, dict[int, datetime]] = {}
    for run in runs:
        for step, item, _ in still_takes(run):
            comes = run_times.state.missing.get(item)
            if comes is not None:
                _later(found, run.code, step, max(comes, run_times.now))
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
