"""Torn: a run whose prep one bench makes on some days and another one on others. With the hands of the one it comes to
lie on a day of the other, and with those on a day of the first: then it is bound to one of them, on its days."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from prepboard.book.days import ONE_DAY
from prepboard.plan.given.state import Placed, Placement
from prepboard.plan.runs.runs import Planned, RunTimes, thaw
from prepboard.plan.runs.stock import minute_of
from prepboard.plan.runs.timing import MINUTE, backward, forward

DAYS = 7
"""So many days on it is looked for one on which a bench makes a prep."""


def on_anothers_day(
    planned: Iterable[Planned], stations: Mapping[str, str], lies: Mapping[str, Placement], run_times: RunTimes
) -> set[str]:
    """The lines that lie, with the hands of these `stations` or of their own bench, on a day on which another one makes
    them."""
    there = ((run, stations.get(run.name, run.recipe.station), lies.get(run.name)) for run in planned)
    return {
        run.name
        for run, bench, one in there
        if one is not None and one.steps and run_times.station_on(run.recipe, one.steps[0].begins) != bench
    }


def bind(planned: Iterable[Planned], torn: Collection[str], run_times: RunTimes) -> None:
    """Binds each of the lines that are `torn` to the bench with which it is least late by itself, and begins last."""
    for run in planned:
        if run.name in torn:
            run_times.bound[run.name] = _best(run, run_times)


def _best(run: Planned, run_times: RunTimes) -> str:
    recipe, book = run.recipe, run_times.book
    benches = [recipe.station, *(bench for (prep, _), bench in run_times.state.given.items() if prep == recipe.id)]
    found = {}
    for bench in dict.fromkeys(bench for bench in benches if bench in book.stations):
        steps = _before(run, bench, run_times) or _after(run, bench, run_times)
        if steps:
            found[bench] = max(steps[-1].ends + thaw(recipe), run.ready_by), -steps[0].begins.timestamp()
    return min(found, key=lambda bench: found[bench]) if found else recipe.station


def _before(run: Planned, bench: str, run_times: RunTimes) -> tuple[Placed, ...] | None:
    """The latest steps on a day of this bench that are ready in time and begin from now on."""
    chain, days = run_times.chain(run.recipe, run.size, bench), run_times.book.kitchen.days
    by = run.ready_by - thaw(run.recipe)
    while (steps := backward(chain, by)) and steps[0].begins >= run_times.now:
        if run_times.station_on(run.recipe, steps[0].begins) == bench:
            return steps
        by -= steps[0].begins - days.opens(days.business_day(steps[0].begins)) + MINUTE
    return None


def _after(run: Planned, bench: str, run_times: RunTimes) -> tuple[Placed, ...] | None:
    """The earliest steps on a day of this bench."""
    chain, days = run_times.chain(run.recipe, run.size, bench), run_times.book.kitchen.days
    start = minute_of(run_times.now)
    for _ in range(DAYS):
        steps = forward(chain, start)
        if steps is None or run_times.station_on(run.recipe, steps[0].begins) == bench:
            return steps
        start = days.opens(days.business_day(steps[0].begins) + ONE_DAY)
    return None
