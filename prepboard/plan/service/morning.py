"""The morning: what a kitchen that opens must know of the night, until the day's first sitting begins."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date, datetime, timedelta

from msgspec import Struct

from prepboard.plan.demand.closed_evenings import LAST_HOUR, fold
from prepboard.plan.demand.occasions import Occasion, occasions, table
from prepboard.plan.given.state import Batch, State
from prepboard.plan.shown.day_lines import OpenClose, TaskLine
from prepboard.plan.shown.lines import UnderWay

LOOKS_BACK = timedelta(days=2)
"""Of sittings before that it is no longer known what was counted."""


class NotCounted(Struct, frozen=True):
    """What is on hand by the book only: a service ate of it since, and nobody counted what."""

    since: datetime
    """Up to when something was counted: the last plate, or the start."""
    batches: tuple[Batch, ...]


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
    not_counted: tuple[NotCounted, ...] = ()
    """By sitting, the oldest first."""

    def of(self, stations: Collection[str]) -> Morning:
        """What of it concerns these stations."""
        closes = (OpenClose(one.day, one.ended, _only(one.stations, stations)) for one in self.open_closes)
        unsure = (
            NotCounted(one.since, tuple(batch for batch in one.batches if batch.station in stations))
            for one in self.not_counted
        )
        return Morning(
            tuple(batch for batch in self.expired if batch.station in stations),
            tuple(one for one in closes if one.stations),
            tuple(run for run in self.overnight if run.station in stations),
            tuple(task for task in self.to_open if task.station in stations),
            tuple(one for one in unsure if one.batches),
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
        tuple(one for one in _not_counted(state, now, opens) if one.batches),
    )


def _not_counted(state: State, now: datetime, opens: datetime) -> Iterator[NotCounted]:
    """The sittings of the nights before of which less than half of the expected plates were counted, and not the end:
    what is left of what they ate of, is not known. What was counted since, or whose close was signed, is."""
    forgotten = fold(state, now).forgotten
    for sitting in occasions(state, opens - LOOKS_BACK, opens):
        if sitting.ends > now or not (sitting.key in forgotten or _nothing_counted(state, sitting)):
            continue
        dishes = table(state.book, sitting).dishes.values()
        eaten = {item for dish in dishes for item in dish.plate}
        plates = [
            state.plated_at[*sitting.key, dish.id] for dish in dishes if (*sitting.key, dish.id) in state.plated_at
        ]
        since = max([sitting.starts, *plates])
        yield NotCounted(
            since,
            tuple(
                batch
                for batch in state.batches
                if batch.prep in eaten
                and not batch.blocked
                and batch.answer(now).may
                and batch.made_at < sitting.ends
                and (sitting.day, batch.station) not in state.signed
                and state.counted_at.get(batch.prep, since) < sitting.ends - LAST_HOUR
            ),
        )


def _nothing_counted(state: State, sitting: Occasion) -> bool:
    """Whether guests were expected, no plate went out, and nobody said that it ended."""
    if not sitting.covers or sitting.tonight.ended is not None or sitting.tonight.listed is not None:
        return False
    return not any(n for (service, day, _dish), n in state.plated.items() if (service, day) == sitting.key)


def _service_began(state: State, today: date, opens: datetime, now: datetime) -> bool:
    return any(sitting.day == today and sitting.starts <= now for sitting in occasions(state, opens, now))
