"""Readiness: when a planned run is ready if someone starts it now, and how early it may start."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta

from prepboard.plan.floor.too_late import late_amounts, late_notes
from prepboard.plan.given.state import Placed
from prepboard.plan.runs.more import more_now
from prepboard.plan.runs.runs import Bench, Planned
from prepboard.plan.runs.sizes import scaled
from prepboard.plan.runs.stock import Need
from prepboard.plan.runs.today import missing_notes, station_of, waits_for
from prepboard.plan.shown.lines import MakeLine, Note, Serves, Taken

MINUTE = timedelta(minutes=1)


def make_lines(planned: Iterable[Planned], bench: Bench) -> list[MakeLine]:
    """The plan's runs as lines, by start-by; `planned` in planning order, plates first."""
    ready_now: dict[str, datetime] = {}
    planned = list(planned)
    of_late = late_amounts(planned, bench.now)
    lines = [_line(run, bench, ready_now, planned, of_late) for run in reversed(planned)]
    return sorted(
        lines, key=lambda line: (line.start_by, line.ready_by, bench.book.preps[line.prep].order, line.line.n)
    )


def _line(
    run: Planned,
    bench: Bench,
    ready_now: dict[str, datetime],
    planned: Sequence[Planned],
    of_late: Mapping[int, int],
) -> MakeLine:
    there = _when_there(run, ready_now)
    for step, at in waits_for(run, bench.state.missing, bench.now).items():
        there[step] = max(there.get(step, at), at)
    from_now = bench.after(run.recipe, run.size, bench.now, there)
    alone = from_now[-1].ends if from_now else max([bench.now, *there.values()])
    # A late run waits for hands and places too.
    late_too = run.start_by < bench.now or run.ready > run.ready_by
    ready = max(alone, run.ready) if late_too else alone
    ready_now[run.name] = ready
    late = max(0, -((run.start_by - bench.now) // MINUTE))
    notes = [*run.notes, *missing_notes(run, bench.state.missing), *more_now(run, ready, bench.now)]
    if ready > run.ready_by and not late:
        notes += [Note("waits for", {"item": need.prep, "at": at}) for need, at in _late_items(run, ready_now)]
    notes += late_notes(run, ready, alone, there, planned, of_late, bench)
    return MakeLine(
        line=run.line,
        prep=run.recipe.id,
        station=run.station or station_of(bench.state, run, bench.now),
        amount=run.outputs[run.recipe.id],
        size=run.size,
        outputs=run.outputs,
        start_by=run.start_by,
        can_start_from=_can_start_from(run, bench, there, from_now),
        ready_by=run.ready_by,
        late_minutes=late,
        ready_if_started_now=ready,
        serves=tuple(_serves(need, amount) for need, amount in run.serves),
        takes=tuple(_takes(run)),
        steps=run.steps,
        use_by=run.lots[run.recipe.id].good_until,
        par=run.need.amount if run.need.par else None,
        on_hand=run.on_hand,
        under_way=run.under_way,
        short=run.short,
        notes=tuple(notes),
    )


def _serves(need: Need, amount: int) -> Serves:
    return Serves(need.service, need.run_of, need.service_day, amount)


def _takes(run: Planned) -> Iterable[Taken]:
    """Goods and preps, in the recipe's order, each when its step begins, else at the start; a late run's first step
    should have begun at its start-by."""
    begins = {placed.step: placed.begins for placed in run.steps[1:]}
    for use in run.recipe.uses:
        at = begins.get(use.step, run.start_by) if use.step is not None else run.start_by
        yield Taken(use.item, scaled(use.amount, run.size), at)


def _drawn_there(need: Need, ready_now: dict[str, datetime]) -> datetime | None:
    """When all that a need drew is there, runs that are still planned being started now."""
    return max((ready_now.get(lot.name, lot.there) for lot, _ in need.drawn), default=None)


def _when_there(run: Planned, ready_now: dict[str, datetime]) -> dict[int, datetime]:
    """By step, before when it cannot begin."""
    steps = {use.item: use.step for use in run.recipe.uses}
    there: dict[int, datetime] = {}
    for need in run.takes:
        at = _drawn_there(need, ready_now)
        if at is not None:
            step = steps[need.prep] or 0
            there[step] = max(there.get(step, at), at)
    return there


def _late_items(run: Planned, ready_now: dict[str, datetime]) -> list[tuple[Need, datetime]]:
    found = [(need, _drawn_there(need, ready_now)) for need in run.takes]
    return [(need, at) for need, at in found if at is not None and at > need.at]


def _can_start_from(run: Planned, bench: Bench, there: dict[int, datetime], from_now: tuple[Placed, ...]) -> datetime:
    """The earliest start from now on whose batch is still good as long as the latest start's would be, as far as
    it is needed; its ingredients there. `from_now` are its steps if it is started now."""
    if run.start_by <= bench.now:
        return bench.now
    wanted = max((need.until for need, _ in run.serves), default=run.ready_by)
    latest_good = run.lots[run.need.prep].good_until
    if latest_good is not None:
        wanted = min(wanted, latest_good)

    def holds(start: datetime, moments: Sequence[datetime]) -> bool:
        ready = moments[-1] if moments else start
        return ready <= run.ready_by and bench.good_from(run.recipe, run.need.prep, moments, ready) >= wanted

    def after(start: datetime) -> Sequence[datetime]:
        return bench.moments_after(run.recipe, run.size, start, there)

    at_once = [*(placed.begins for placed in from_now), from_now[-1].ends] if from_now else []
    if holds(bench.now, at_once):
        return at_once[0] if at_once else bench.now
    early, late = 0, (run.start_by - bench.now) // MINUTE
    while early < late:
        middle = (early + late) // 2
        start = bench.now + middle * MINUTE
        if holds(start, after(start)):
            late = middle
        else:
            early = middle + 1
    start = bench.now + late * MINUTE
    moments = after(start)
    return min(run.start_by, moments[0] if moments else start)
