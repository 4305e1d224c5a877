"""What people tell each other: which notes a station sees, which tasks its day has, which closes are not signed."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime

from prepboard.book.book import Task
from prepboard.plan.demand.occasions import occasions
from prepboard.plan.demand.pars import opening
from prepboard.plan.given.state import HandOver, State
from prepboard.plan.shown.day_lines import OpenClose, TaskLine


def notes_for(state: State, stations: Collection[str]) -> tuple[HandOver, ...]:
    """The notes that these stations see: theirs, those of their runs, and those for the whole kitchen."""
    at = {run.code: run.station for run in state.runs}
    known = {*state.book.stations, *at}
    return tuple(note for note in state.notes if at.get(note.whom, note.whom) in stations or note.whom not in known)


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
