"""Staying: one cook of a station who is there in its break, or after its hours, because somebody said so."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from prepboard.plan.given.state import State
from prepboard.plan.runs.hours import Hours

Spans = tuple[tuple[datetime, datetime], ...]
"""(since, until), in order of time."""


def stays(state: State, station: str) -> Spans:
    """When one cook of a station stays, whatever its hours. Nothing for a station that keeps none: hands are always
    there."""
    found = state.book.stations.get(station)
    if not state.staying or found is None or found.hours is None:
        return ()
    days = state.book.kitchen.days
    spans = []
    for (whose, day, clock), minutes in state.staying.items():
        if whose == station:
            since = days.in_day(day, time.fromisoformat(clock))
            spans.append((since, since + timedelta(minutes=minutes)))
    return tuple(sorted(spans))


def hours_of(
    state: State, station: str, around: datetime, busy: tuple[tuple[datetime, datetime], ...] | None = None
) -> Hours:
    """When somebody of a station is there, those who stay included; `busy` is what is no run."""
    known = state.book.stations.get(station)
    return Hours(known, state.book.kitchen.days, around, busy or (), stays(state, station))
