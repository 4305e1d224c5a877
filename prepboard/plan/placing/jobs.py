"""Jobs: chains of steps that want to be done by some moment, and what each step takes while it lasts.

Time is counted in whole steps from 0. Nothing here knows what a job is for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from prepboard.plan.placing.lanes import Lane

LOOK_BACK = 4 * 60
"""How far back the room before a window is measured, in steps of time."""


class Pool:
    """Lanes that serve equally well; a demand takes one of them, or so many whole ones."""

    __slots__ = ("lanes",)

    def __init__(self, lanes: Sequence[Lane]) -> None:
        self.lanes = tuple(lanes)

    def latest(self, demand: Demand, length: int, limit: int) -> int:
        """The latest begin, not after `limit`, at which a window of so many steps is free; -1 when none is."""
        if demand.lanes == 1:
            best = -1
            for lane in self.lanes:
                found = lane.latest(demand.mode, demand.amount, length, limit)
                if found == limit:
                    return limit
                if found > best:
                    best = found
            return best
        while limit >= 0:
            begins = sorted(
                (lane.latest(demand.mode, demand.amount, length, limit) for lane in self.lanes), reverse=True
            )
            lowest = begins[demand.lanes - 1] if demand.lanes <= len(begins) else -1
            if lowest in (limit, -1):
                return lowest
            limit = lowest
        return -1

    def earliest(self, demand: Demand, length: int, limit: int) -> int:
        """The earliest begin, not before `limit`, at which a window of so many steps is free."""
        while True:
            begins = sorted(lane.earliest(demand.mode, demand.amount, length, limit) for lane in self.lanes)
            found = begins[min(demand.lanes, len(begins)) - 1]
            if found == limit or demand.lanes == 1:
                return begins[0] if demand.lanes == 1 else found
            limit = found

    def last_taken(self, demand: Demand, begin: int, end: int) -> int:
        """The last step of a window at which it is not met, on the lanes that come nearest; -1 when it is met."""
        if demand.lanes == 1:
            first = end
            for lane in self.lanes:
                taken = lane.last_taken(demand.mode, demand.amount, begin, end)
                if taken < 0:
                    return -1
                first = min(first, taken)
            return first
        found = sorted(lane.last_taken(demand.mode, demand.amount, begin, end) for lane in self.lanes)
        return found[demand.lanes - 1] if demand.lanes <= len(found) else end - 1

    def choose(self, demand: Demand, begin: int, end: int) -> tuple[int, ...]:
        """The lanes to take in a window that is known to be free: where the same mode is at work, then where least
        room is left before it, then the lowest."""
        if len(self.lanes) == 1:
            return (0,)
        free = []
        for number, lane in enumerate(self.lanes):
            if lane.last_taken(demand.mode, demand.amount, begin, end) < 0:
                gap = begin - lane.last_taken(demand.mode, demand.amount, max(0, begin - LOOK_BACK), begin)
                free.append((not lane.shared(demand.mode, begin, end), gap, number))
        return tuple(sorted(number for _, _, number in sorted(free)[: demand.lanes]))


@dataclass(frozen=True, slots=True)
class Demand:
    """What a step takes of a pool: `amount` units (packed, where a lane has several resources) of one lane, or of each
    of `lanes`; through the whole step up to the next one, or only as long as its head lasts."""

    pool: Pool
    amount: int = 1
    mode: int = 0
    whole: bool = False
    lanes: int = 1


@dataclass(frozen=True, slots=True)
class Step:
    """A head of fixed length, then a rest of at least `least` and at most `most` (None: as long as you like)."""

    head: int
    least: int = 0
    most: int | None = None
    demands: tuple[Demand, ...] = ()
    ends_open: Lane | None = None
    """The rest must end in, or at the end of, an open step of this lane."""

    @property
    def span(self) -> int:
        return self.head + self.least


@dataclass(frozen=True, slots=True)
class Feed:
    """What another job gives: it must be over `lag` before a step begins, and should be `cushion` before that."""

    giver: int
    step: int
    lag: int = 0
    cushion: int = 0


@dataclass(frozen=True, slots=True)
class Job:
    """A chain of steps. Users come before givers in a list of jobs."""

    steps: tuple[Step, ...]
    due: int
    """When it should be over."""
    after: tuple[int, ...]
    """Before when each step may not begin."""
    weight: int = 1
    """What a step of lateness costs; 0 for what is due only because another job takes it."""
    alone: int = 0
    """When it would begin if nothing else were there; earlier than that costs."""
    feeds: tuple[Feed, ...] = ()
    """What it takes of other jobs."""
    fresh: int = 0
    """Over before this, it would not last for what it is for; that costs as lateness does."""


Taken = tuple[tuple[tuple[int, ...], ...], ...]
"""The lanes that are taken: by step, by demand."""


@dataclass(frozen=True, slots=True)
class Booked:
    """Where a job lies: the begin of each step and the lanes of each of its demands, and when it is over."""

    begins: tuple[int, ...]
    end: int
    lanes: Taken
    wanted: int
    """When it would have to begin to be over in time; its begin, where that can be."""
