"""Work left: hands-on minutes that each station still has before the next service, against the hands there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta

from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.occasions import Occasion
from prepboard.plan.given.state import Placed, State
from prepboard.plan.runs.runs import RunTimes
from prepboard.plan.runs.today import cooks
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import MakeLine, Move, StationWork, UnderWay

MINUTE = timedelta(minutes=1)


def work_left(
    state: State,
    now: datetime,
    occasion: Occasion | None,
    make: Sequence[MakeLine],
    under_way: Sequence[UnderWay],
    tasks: Sequence[TaskLine],
    run_times: RunTimes,
) -> tuple[StationWork, ...]:
    """One entry for each station of the book, for the sitting under way or next; none without a sitting.

    What should begin before it counts, however late it would; so do the tasks of the day that are due before it.
    """
    if occasion is None:
        return ()
    before = max(occasion.starts, now)
    minutes: dict[str, int] = defaultdict(int)
    of_line: dict[str, list[tuple[int, MakeLine]]] = defaultdict(list)
    for line in make:
        for station, much in _by_station(line.steps, before, line.ready_by <= before).items():
            minutes[station] += much
            of_line[station].append((much, line))
    for run in under_way:
        ahead = (step for step in run.steps if step.hands_until > now)
        for station, much in _by_station(ahead, before, False, now).items():
            minutes[station] += much
    for task in tasks:
        if task.done is None and task.at < before and not task.is_missed(now):
            minutes[task.station] += task.hands_minutes
    hands = {station: _hands(state, station, now, before, run_times) for station in state.book.stations}
    return tuple(
        StationWork(
            station,
            before,
            hands[station],
            minutes[station],
            tuple(_moves(station, before, minutes, hands, of_line[station])),
        )
        for station in state.book.stations
    )


def _by_station(
    steps: Iterator[Placed] | Sequence[Placed], before: datetime, all_of_it: bool, since: datetime | None = None
) -> Mapping[str, int]:
    """Hands-on minutes of steps that begin before a moment, or of all of them, by station."""
    found: dict[str, int] = defaultdict(int)
    for placed in steps:
        if placed.hands_until > placed.begins and (all_of_it or placed.begins < before):
            begin = placed.begins if since is None else max(placed.begins, since)
            found[placed.station] += -((begin - placed.hands_until) // MINUTE)
    return found


def _hands(state: State, station: str, now: datetime, before: datetime, run_times: RunTimes) -> int:
    """Minutes of hands that a station has, each business day with its own cooks."""
    days, found = state.book.kitchen.days, state.book.stations[station]
    day, total = days.business_day(now), 0
    while (opens := days.opens(day)) < before:
        since, until = max(now, opens), min(before, days.opens(day + ONE_DAY))
        total += run_times.hours(station).minutes_between(since, until) * cooks(state, found, day)
        day += ONE_DAY
    return total


def _moves(
    station: str,
    before: datetime,
    minutes: Mapping[str, int],
    hands: Mapping[str, int],
    lines: Sequence[tuple[int, MakeLine]],
) -> Iterator[Move]:
    """What would make a station's work fit: first what is not for this service, the least urgent first; then whole
    lines for the station with most room."""
    over = minutes[station] - hands[station]
    later = [(line, much) for much, line in lines if line.ready_by > before]
    for line, much in sorted(later, key=lambda one: (one[0].ready_by, one[1]), reverse=True):
        if over > 0:
            over -= much
            yield Move(line.line, line.prep, much, "")
    room = {other: hands[other] - minutes.get(other, 0) for other in hands if other != station}
    for much, line in sorted(lines, key=lambda one: (-one[0], str(one[1].line))):
        other = max(room, key=lambda one: room[one], default="")
        if over > 0 and line.ready_by <= before and line.station == station and other and room[other] >= much:
            over -= much
            room[other] -= much
            yield Move(line.line, line.prep, much, other)
