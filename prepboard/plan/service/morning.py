"""The morning: what a kitchen that opens must know of the night, until the day's first sitting begins."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime

from msgspec import Struct

from prepboard.plan.demand.occasions import occasions
from prepboard.plan.given.state import Batch, State
from prepboard.plan.shown.day_lines import OpenClose, TaskLine
from prepboard.plan.shown.lines import UnderWay


class Morning(Struct, frozen=True):
    """What the night left. All empty outside of the morning."""

    expired: tuple[Batch, ...] = ()
    """Past their use-by, whether the close forgot them or they ended in the night."""
    open_closes: tuple[OpenClose, ...] = ()
    """Closes of days before that some station has not signed."""
    overnight: tuple[UnderWay, ...] = ()
    """Runs that were started before the business day and still go on, by when somebody is needed."""
    to_open: tuple[TaskLine, ...] = ()
    """Tasks to open with that are not done."""

    def of(self, stations: Collection[str]) -> Morning:
        """What of it concerns these stations."""
        closes = (OpenClose(one.day, one.ended, _only(one.stations, stations)) for one in self.open_closes)
        return Morning(
            tuple(batch for batch in self.expired if batch.station in stations),
            tuple(one for one in closes if one.stations),
            tuple(run for run in self.overnight if run.station in stations),
            tuple(task for task in self.to_open if task.station in stations),
        )


def _only(names: tuple[str, ...], stations: Collection[str]) -> tuple[str, ...]:
    return tuple(name for name in names if name in stations)


def morning(
    state: State,
    now: datetime,
    under_way: tuple[UnderWay, ...],
    tasks: tuple[TaskLine, ...],
    open_closes: tuple[OpenClose, ...],
) -> Morning:
    """What the night left, from the start of the business day to its first sitting; on a day without one, all day."""
    days = state.book.kitchen.days
    today = days.business_day(now)
    opens = days.opens(today)
    if _service_began(state, today, opens, now):
        return Morning()
    return Morning(
        tuple(batch for batch in state.batches if batch.use_by is not None and batch.use_by <= now),
        tuple(one for one in open_closes if one.day < today),
        tuple(run for run in under_way if run.started < opens),
        tuple(task for task in tasks if task.done is None and state.book.tasks[task.task].when == "open"),
    )


def _service_began(state: State, today: date, opens: datetime, now: datetime) -> bool:
    return any(sitting.day == today and sitting.starts <= now for sitting in occasions(state, opens, now))
