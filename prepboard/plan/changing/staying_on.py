"""Staying on: in which breaks a line's hands are missing, and how long somebody would have to stay for it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from msgspec import Struct

from prepboard.plan.given.numbers import Change, Number
from prepboard.plan.given.state import Placed, State
from prepboard.plan.runs.staying import hours_of
from prepboard.plan.shown.lines import MakeLine

MINUTE = timedelta(minutes=1)
LONGEST = timedelta(minutes=60)
"""Nobody is asked to stay longer than that for one line."""
TRIED = timedelta(hours=4)
ROUND = 5
"""A stay is asked for in so many minutes."""
COMES_BACK = timedelta(minutes=15)
"""Who is needed later than that in a break comes back for it, and does not wait."""


class Gap(Struct, frozen=True):
    """When nobody of a station is there."""

    station: str
    begins: datetime
    ends: datetime


def gaps(state: State, line: MakeLine, now: datetime) -> Iterator[Gap]:
    """The next break, or end of hours, of each bench that works on a line, where that comes before it is ready."""
    for station in dict.fromkeys((line.station, *(step.station for step in line.steps))):
        if station not in state.book.stations or state.book.stations[station].hours is None:
            continue
        hours = hours_of(state, station, now)
        begins = hours.closes(now.replace(second=0, microsecond=0))
        opens = hours.earliest_start(1, begins)
        if opens is not None and begins < line.ready_at:
            yield Gap(station, begins, opens)


def probes(state: State, gap: Gap) -> Iterator[Change]:
    """Somebody is there for a break's first hour, or for all of it: to see what would be done then, before so much is
    asked of anybody."""
    for ends in dict.fromkeys(min(gap.ends, gap.begins + length) for length in (LONGEST, TRIED)):
        yield _change(state, gap.station, gap.begins, ends)


def needed(state: State, gap: Gap, steps: tuple[Placed, ...], probe: Change) -> Iterator[Change]:
    """Somebody is there as long as these steps need them: their hands alone, then whoever takes out what is done; last,
    where others go first, all of an hour that was tried."""
    own = [step for step in steps if (step.station or gap.station) == gap.station]
    hands = [(step.begins, step.hands_until) for step in own if step.hands_until > step.begins]
    out = [(step.ends - MINUTE, step.ends) for step in own if step.ends > step.hands_until]
    for spans in (hands, hands + out):
        inside = [(since, until) for since, until in spans if since < gap.ends and until > gap.begins]
        if inside:
            since, until = min(one for one, _ in inside), max(one for _, one in inside)
            begins = gap.begins if since <= gap.begins + COMES_BACK else _rounded(since)
            if min(until, gap.ends) - begins <= LONGEST:
                yield _change(state, gap.station, begins, min(until, gap.ends))
    if timedelta(minutes=minutes_of(probe)) <= LONGEST:
        yield probe


def minutes_of(change: Change) -> int:
    """How long somebody stays."""
    return change.to if isinstance(change.to, int) else 0


def _rounded(at: datetime) -> datetime:
    """Down to five minutes: nobody comes back at 15:29."""
    return at.replace(minute=at.minute // ROUND * ROUND, second=0, microsecond=0)


def _change(state: State, station: str, since: datetime, until: datetime) -> Change:
    days = state.book.kitchen.days
    since = since.replace(second=0, microsecond=0)
    minutes = -(-max(1, -((since - until) // MINUTE)) // ROUND) * ROUND
    clock = f"{days.local(since):%H:%M}"
    number = Number("staying", item=station, day=days.business_day(since), on=clock)
    return Change(number, state.staying.get((station, days.business_day(since), clock)), minutes)
