"""What people tell each other: which notes a station sees, which tasks its day has, which closes are not signed.

A note may be about who is coming to a sitting (an allergy, a late table): the benches see it that have a prep on one
of the dishes that it names, or of all that the sitting has, until the sitting is over.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime, timedelta

from prepboard.book.book import Book, Task
from prepboard.plan.demand.occasions import end_of, occasions, stands_on
from prepboard.plan.demand.pars import opening
from prepboard.plan.given.guests import Guests, about_guests
from prepboard.plan.given.state import HandOver, State
from prepboard.plan.shown.day_lines import OpenClose, TaskLine


def benches(book: Book, guests: Guests) -> frozenset[str]:
    """The stations with a prep on one of their plates."""
    service, day = guests.sitting
    counted = (book.services[service].counts or {}) if service in book.services else {}
    meant = [
        dish
        for dish in book.dishes.values()
        if (dish.id in guests.dishes if guests.dishes else stands_on(dish, service, day) or dish.id in counted)
    ]
    return frozenset(book.preps[item].station for dish in meant for item in dish.plate if item in book.preps)


def current(state: State, now: datetime) -> tuple[HandOver, ...]:
    """The notes that still concern somebody: one about guests goes when their sitting is over."""
    return tuple(note for note in state.notes if note.done_at or not _over(state.book, about_guests(note.whom), now))


def _over(book: Book, guests: Guests | None, now: datetime) -> bool:
    if guests is None:
        return False
    service, day = guests.sitting
    return now >= end_of(book, book.services.get(service), day) + timedelta(minutes=book.kitchen.runs_over)


def notes_for(state: State, notes: Collection[HandOver], stations: Collection[str]) -> tuple[HandOver, ...]:
    """Of these notes the ones that stations see: theirs, those of their runs, those about guests whose plates they
    have a hand in, and those for the whole kitchen."""
    at = {run.code: run.station for run in state.runs}
    known = {*state.book.stations, *at}

    def seen(note: HandOver) -> bool:
        guests = about_guests(note.whom)
        if guests is not None:
            return not benches(state.book, guests).isdisjoint(stations)
        return at.get(note.whom, note.whom) in stations or note.whom not in known

    return tuple(note for note in notes if seen(note))


def tasks(state: State, now: datetime) -> tuple[TaskLine, ...]:
    """The tasks of this business day, done or not, by their moment."""
    day = state.book.kitchen.days.business_day(now)
    lines = [_line(state, task, day) for task in state.book.tasks.values() if day.weekday() in task.weekdays]
    return tuple(sorted(lines, key=lambda line: line.at))


def open_closes(state: State) -> tuple[OpenClose, ...]:
    """The closes that a station has not signed, oldest first."""
    return tuple(
        OpenClose(day, ended, tuple(station for station in state.book.stations if (day, station) not in state.signed))
        for day, ended in sorted(state.unsigned.items())
    )


def _line(state: State, task: Task, day: date) -> TaskLine:
    done = state.tasks_done.get((task.id, day))
    return TaskLine(task.id, task.station, _moment(state, task, day), task.hands_on, task.reads, done)


def _moment(state: State, task: Task, day: date) -> datetime:
    """When a task is due: as its station opens, as the day's last service ends, or at its time."""
    days = state.book.kitchen.days
    if task.when == "open":
        return opening(state, task.station, day)
    if task.when != "close":
        return days.in_day(day, task.when)
    begin, end = days.opens(day), days.next_opening(day)
    ends = [sitting.ends for sitting in occasions(state, begin, end) if sitting.day == day]
    return max(ends, default=_closing_time(state, task.station, day))


def _closing_time(state: State, station: str, day: date) -> datetime:
    days = state.book.kitchen.days
    found = state.book.stations.get(station)
    windows = found.hours.on(day) if found and found.hours else None
    return days.span(day, *windows[-1])[1] if windows else days.next_opening(day)
