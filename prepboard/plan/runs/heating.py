"""Heating up: when equipment that takes long to get hot is hot.

Whoever comes first switches it on, and it stays on until the last one leaves: a kitchen's habit (common practice, no
source). A kitchen where somebody is always there has it on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta

from prepboard.book.book import Equipment
from prepboard.plan.given.state import State
from prepboard.plan.runs.today import cooks


def hot_times(state: State, equipment: Equipment, days: Iterable[date]) -> Iterator[tuple[datetime, datetime]] | None:
    """From when to when it is hot on each of these business days; None where it always is."""
    stations = state.book.stations.values()
    if not equipment.heats_up or any(station.hours is None for station in stations):
        return None
    heats = timedelta(minutes=equipment.heats_up)
    of_days = (_there(state, day) for day in days)
    return ((there[0] + heats, there[1]) for there in of_days if there)


def hot_from(state: State, equipment: Equipment, at: datetime) -> datetime | None:
    """When it is hot on the day of a moment; None where nobody waits for that."""
    hot = hot_times(state, equipment, [state.book.kitchen.days.business_day(at)])
    return next((since for since, _until in hot), None) if hot else None


def _there(state: State, day: date) -> tuple[datetime, datetime] | None:
    """When the first hands come and the last ones leave; None on a day without any."""
    span = state.book.kitchen.days.span
    windows = [
        span(day, opens, closes)
        for station in state.book.stations.values()
        if station.hours is not None and cooks(state, station, day)
        for opens, closes in station.hours.on(day) or ()
    ]
    return (min(begin for begin, _ in windows), max(end for _, end in windows)) if windows else None
