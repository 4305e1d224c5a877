"""Work left: hands-on minutes that each station still has before the next service, against the hands there."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime

from prepboard.plan.lines import MakeLine, Work
from prepboard.plan.occasions import Occasion
from prepboard.plan.runs import Bench
from prepboard.plan.state import State
from prepboard.plan.today import cooks


def work_left(
    state: State, now: datetime, occasion: Occasion | None, make: tuple[MakeLine, ...], bench: Bench
) -> tuple[Work, ...]:
    """One entry for each station of the book, for the sitting under way or next; none without a sitting."""
    if occasion is None:
        return ()
    before = max(occasion.starts, now)
    minutes: dict[str, int] = defaultdict(int)
    for line in make:
        recipe = state.book.preps[line.prep]
        for placed in line.steps:
            if placed.begins < before:
                station = recipe.steps[placed.step].station
                station = line.station if station == recipe.station else station
                minutes[station] += int((placed.hands_until - placed.begins).total_seconds()) // 60
    for run in state.runs:
        for placed in bench.going_on(run)[1:]:
            if placed.begins < before:
                minutes[run.recipe.steps[placed.step].station] += run.recipe.steps[placed.step].hands_minutes(run.size)
    day = state.book.kitchen.days.business_day(now)
    return tuple(
        Work(
            station.id,
            before,
            bench.hours(station.id).minutes_between(now, before) * cooks(state, station, day),
            minutes[station.id],
        )
        for station in state.book.stations.values()
    )
