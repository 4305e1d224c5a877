"""Timing: from ready-by back to start-by, and from a start on to when it is ready.

A recipe's steps are a chain: hands-on, then a wait of at least `wait` and at most `wait_up_to`. Hands-on lies wholly
within one open window of its station; a wait that may not stretch ends within its station's hours, since someone
takes it out. Where a step does not fit, its neighbour's bound is tightened to what would fit and the chain is placed
again from there: bounds only ever tighten, so this ends.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from msgspec import Struct

from prepboard.book.book import Prep
from prepboard.plan.given.state import Placed
from prepboard.plan.runs.hours import FURTHEST, Hours

HoursOf = Callable[[str], Hours]
MINUTE = timedelta(minutes=1)


class Chained(Struct, frozen=True, gc=False):
    """One step with its lengths for a run of a given size."""

    hands: timedelta
    least: timedelta
    most: timedelta
    hours: Hours
    hands_minutes: int
    rigid: bool
    """Its wait may not stretch."""

    def latest_hands_end(self, limit: datetime) -> datetime | None:
        """The latest moment, not after `limit`, at which the hands-on can be over; None for a wait that may not stretch
        and is never over while somebody is there."""
        if self.hours.always:
            return limit
        end = self.hours.latest_end(self.hands_minutes, limit)
        while end is not None and self.rigid:
            if limit - end > FURTHEST:
                return None
            out = self.hours.latest_end(1, end + self.least)
            if out is None or out == end + self.least:
                return end if out else None
            end = self.hours.latest_end(self.hands_minutes, out - self.least)
        return end

    def earliest_begin(self, limit: datetime) -> datetime | None:
        """The earliest moment, not before `limit`, at which the hands-on can begin; None as for the latest."""
        if self.hours.always:
            return limit
        begin = self.hours.earliest_start(self.hands_minutes, limit)
        while begin is not None and self.rigid:
            if begin - limit > FURTHEST:
                return None
            over = begin + self.hands + self.least
            out = self.hours.earliest_start(1, over - MINUTE)
            if out is None or out < over:
                return begin if out else None
            begin = self.hours.earliest_start(self.hands_minutes, out + MINUTE - self.least - self.hands)
        return begin


def chain(recipe: Prep, size: Fraction, hours_of: HoursOf) -> list[Chained]:
    """The steps of a recipe with their lengths for a size; an attended wait is hands-on to its end."""
    steps = []
    for step in recipe.steps:
        hands, least, most = step.hands_minutes(size), step.wait, max(step.wait, step.wait_up_to)
        if step.attended:
            hands, most, least = hands + least, most - least, 0
        steps.append(
            Chained(
                timedelta(minutes=hands),
                timedelta(minutes=least),
                timedelta(minutes=most),
                hours_of(step.station),
                hands,
                0 < least == most,
            )
        )
    return steps


def backward(steps: Sequence[Chained], ready_by: datetime) -> tuple[Placed, ...] | None:
    """The latest placement that is ready by a moment; None where the chain fits nowhere."""
    count = len(steps)
    begins: list[datetime] = [ready_by] * (count + 1)
    start_limit: list[datetime | None] = [None] * count
    index = count - 1
    while index >= 0:
        step, following = steps[index], begins[index + 1]
        limit = following - step.least
        bound = start_limit[index]
        if bound is not None:
            limit = min(limit, bound + step.hands)
        hands_end = step.latest_hands_end(limit)
        if hands_end is None or ready_by - hands_end > FURTHEST:
            return None
        if index + 1 < count and following - hands_end > step.most:
            start_limit[index + 1] = hands_end + step.most
            index += 1
            continue
        begins[index] = hands_end - step.hands
        index -= 1
    return _placed(steps, begins[:count])


def forward(
    steps: Sequence[Chained], start: datetime, there: Mapping[int, datetime] | None = None, first: int = 0
) -> tuple[Placed, ...] | None:
    """The earliest placement that does not start before a moment, from step `first` on; None where none fits.

    `there` says, by step, before when it cannot begin because something that it takes is not there.
    """
    begins = begins_forward(steps, start, there, first)
    return None if begins is None else _placed(steps[first:], begins[first:], first)


def begins_forward(
    steps: Sequence[Chained], start: datetime, there: Mapping[int, datetime] | None = None, first: int = 0
) -> list[datetime] | None:
    """When each step of that placement begins."""
    count = len(steps)
    begins = [start] * count
    lower = begins.copy()
    if there:
        for at, since in there.items():
            if at < count and since > start:
                lower[at] = since
    index = first
    while index < count:
        step = steps[index]
        before = steps[index - 1] if index > first else None
        limit = lower[index]
        if before is not None:
            hands_until = begins[index - 1] + before.hands
            soonest = hands_until + before.least
            if soonest > limit:
                limit = soonest
        begin = limit if step.hours.always else step.earliest_begin(limit)
        if begin is None or begin - start > FURTHEST:
            return None
        if before is not None and begin - hands_until > before.most:
            lower[index - 1] = begin - before.most - before.hands
            index -= 1
            continue
        begins[index] = begin
        index += 1
    return begins


def _placed(steps: Sequence[Chained], begins: Sequence[datetime], first: int = 0) -> tuple[Placed, ...]:
    """Waits between steps last until the next begins; the last one ends as soon as it may."""
    placed = []
    for index, (step, begin) in enumerate(zip(steps, begins, strict=True)):
        hands_end = begin + step.hands
        ends = begins[index + 1] if index + 1 < len(steps) else hands_end + step.least
        placed.append(Placed(first + index, begin, hands_end, ends))
    return tuple(placed)
