"""What is different today: who makes a prep, how many hands a station has, which goods are not there; and all of it
as a list, what a new book has lost too."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime

from prepboard.book.book import Equipment, Station
from prepboard.plan.given.state import Sitting, State, Tonight
from prepboard.plan.runs.runs import Planned
from prepboard.plan.shown.day_lines import DayChange
from prepboard.plan.shown.lines import Note


def station_of(state: State, run: Planned, now: datetime, by_itself: bool = False) -> str:
    """The station that makes a run: its prep's own, or the one that it was given to on the day on which it begins where
    it lies; of one that lies nowhere yet, and wherever it lies, `by_itself`."""
    if not state.given:
        return run.recipe.station
    steps = run.alone if by_itself else run.steps
    begins = steps[0].begins if steps else run.ready
    day = state.book.kitchen.days.business_day(max(begins, now))
    station = state.given.get((run.recipe.id, day), run.recipe.station)
    return station if station in state.book.stations else run.recipe.station


def cooks(state: State, station: Station, day: date) -> int:
    """How many cooks a station has on a business day."""
    return state.hands.get((station.id, day), station.cooks.on(day) or 0)


def places(state: State, equipment: Equipment, day: date) -> int:
    """How many places of a piece of equipment work on a business day."""
    return state.equipment.get((equipment.id, day), equipment.places)


def waits_for(run: Planned, missing: Mapping[str, datetime | None], now: datetime) -> dict[int, datetime]:
    """By step, before when it cannot begin because goods that it takes are not there. What nobody knows the time of
    holds up no step: the note says it."""
    there: dict[int, datetime] = {}
    for use in run.recipe.uses if missing else ():
        comes = missing.get(use.item)
        if comes is not None:
            step = use.step or 0
            there[step] = max(there.get(step, comes), comes, now)
    return there


def missing_notes(run: Planned, missing: Mapping[str, datetime | None]) -> list[Note]:
    """One note for each of the goods that a run waits for."""
    waits = dict.fromkeys([use.item for use in run.recipe.uses if use.item in missing] if missing else ())
    return [Note("waits for", {"item": item, "at": missing[item]}) for item in waits]


def changes(state: State, now: datetime) -> tuple[DayChange, ...]:
    """All that is different from the book from this business day on, by day."""
    today = state.book.kitchen.days.business_day(now)
    found = [change for change in _all(state, today) if change.day >= today]
    return tuple(sorted(found, key=lambda change: (change.day, change.kind, change.what, change.of)))


def _all(state: State, today: date) -> Iterator[DayChange]:
    book = state.book
    for (station, day), n in state.hands.items():
        yield DayChange("hands", day, station, station in book.stations, n=n)
    for (equipment, day), n in state.equipment.items():
        yield DayChange("equipment", day, equipment, equipment in book.equipment, n=n)
    for (prep, day), station in state.given.items():
        yield DayChange("given", day, prep, prep in book.preps and station in book.stations, of=station)
    for (station, day, clock), n in state.staying.items():
        yield DayChange("staying", day, station, station in book.stations, of=clock, n=n)
    for goods, until in state.missing.items():
        yield DayChange("missing", today, goods, goods in book.goods, at=until)
    for (day, dish, prep), amount in state.portions.items():
        known = dish in book.dishes and prep in book.dishes[dish].plate
        yield DayChange("portion", day, prep, known, of=dish, n=amount)
    for sitting in state.added:
        yield DayChange("added", sitting[1], sitting[0], sitting[0] in book.services)
    for sitting, tonight in state.tonight.items():
        yield from _of_sitting(state, sitting, tonight)


def _of_sitting(state: State, sitting: Sitting, tonight: Tonight) -> Iterator[DayChange]:
    service, day = sitting
    if tonight.cancelled:
        yield DayChange("cancelled", day, service, service in state.book.services)
    if tonight.special:
        yield DayChange("special", day, service, service in state.book.services)
    for dish in sorted(tonight.off):
        why = tonight.why_off.get(dish, "")
        yield DayChange("taken off", day, dish, dish in state.book.dishes, of=service, why=why)
