"""Lanes: what is taken of one resource, or of several side by side, over time, as one whole number.

Each step of time has one field of bits for each resource, with a guard bit on top. What is taken stands in the field,
filled up so that one unit above the capacity reaches the guard bit: one addition tests a whole window, and the place
of a guard bit tells where the next try may begin. Time is counted in whole steps from 0; a window is [begin, end).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from functools import cache

Opening = tuple[int, int, int]
"""(begin, end, units that are there)."""


@cache
def repeated(width: int, steps: int) -> int:
    """The lowest bit of each of so many fields."""
    return ((1 << width * steps) - 1) // ((1 << width) - 1) if steps > 0 else 0


class Lane:
    """What is taken of some resources whose units come and go together. Amounts are one field of each (`pack`)."""

    __slots__ = ("_closed", "_closed_ends", "_taken", "capacities", "filled", "guards", "width")

    def __init__(self, capacities: Sequence[int], length: int, openings: Iterable[Opening] | None = None) -> None:
        """So many steps of time, nothing taken. With `openings`, in order and apart, nothing is there outside them."""
        self.capacities = tuple(capacities)
        self.width = self.guards = self.filled = 0
        for capacity in self.capacities:
            size = (2 * capacity).bit_length() + 1
            guard = 1 << self.width + size - 1
            self.guards |= guard
            self.filled += guard - (capacity + 1 << self.width)
            self.width += size
        self._taken = self.filled * repeated(self.width, length)
        self._closed: list[int] = []
        self._closed_ends: list[int] = []
        if openings is not None:
            self._close(openings, length)

    def _close(self, openings: Iterable[Opening], length: int) -> None:
        units_there = self.capacities[0]
        self._taken += units_there * repeated(self.width, length)
        closed_from = 0
        for begin, end, units in openings:
            if units > 0 and end > begin:
                self._taken -= units * repeated(self.width, end - begin) << begin * self.width
                if begin > closed_from:
                    self._closed.append(closed_from)
                    self._closed_ends.append(begin)
                closed_from = end
        if closed_from < length:
            self._closed.append(closed_from)
            self._closed_ends.append(length)

    def pack(self, amounts: Sequence[int]) -> int:
        """Amounts of each resource as one step's field."""
        packed, at = 0, 0
        for amount, capacity in zip(amounts, self.capacities, strict=True):
            packed |= amount << at
            at += (2 * capacity).bit_length() + 1
        return packed

    def is_open(self, at: int) -> bool:
        index = bisect_right(self._closed, at) - 1
        return index < 0 or at >= self._closed_ends[index]

    def latest_open(self, at: int) -> int:
        """The latest open step, not after this one; -1 when there is none."""
        return at if self.is_open(at) else self._closed[bisect_right(self._closed, at) - 1] - 1

    def earliest_open(self, at: int) -> int:
        """The earliest open step, not before this one."""
        return at if self.is_open(at) else self._closed_ends[bisect_right(self._closed, at) - 1]

    def latest(self, mode: int, amount: int, length: int, limit: int) -> int:
        """The latest begin, not after `limit`, of a window in which so much is free; -1 when there is none."""
        if length <= 0:
            return limit
        while limit >= 0:
            hit = self._hits(mode, amount, limit, length)
            if not hit:
                return limit
            limit = self._begin_of_closed(limit + ((hit & -hit).bit_length() - 1) // self.width) - length
        return -1

    def earliest(self, mode: int, amount: int, length: int, limit: int) -> int:
        """The earliest begin, not before `limit`, of a window in which so much is free."""
        while length > 0 and (hit := self._hits(mode, amount, limit, length)):
            limit = self.earliest_open(limit + (hit.bit_length() - 1) // self.width + 1)
        return limit

    def first_taken(self, mode: int, amount: int, begin: int, end: int) -> int:
        """The first step of a window at which so much is not free; -1 when it is free throughout."""
        hit = self._hits(mode, amount, begin, end - begin)
        return begin + ((hit & -hit).bit_length() - 1) // self.width if hit else -1

    def last_taken(self, mode: int, amount: int, begin: int, end: int) -> int:
        """The last step of a window at which so much is not free; -1 when it is free throughout."""
        hit = self._hits(mode, amount, begin, end - begin)
        return begin + (hit.bit_length() - 1) // self.width if hit else -1

    def shared(self, mode: int, begin: int, end: int) -> bool:
        """Whether something else that may share this lane is at work on it in a window."""
        return False

    def book(self, mode: int, amount: int, begin: int, end: int) -> None:
        if end > begin:
            self._taken += amount * repeated(self.width, end - begin) << begin * self.width

    def free(self, mode: int, amount: int, begin: int, end: int) -> None:
        if end > begin:
            self._taken -= amount * repeated(self.width, end - begin) << begin * self.width

    def force(self, mode: int, amount: int, begin: int, end: int) -> None:
        """Books as much of a window as is free, never to be freed: what is there now is there, whatever was planned."""
        step = begin
        while (step := self.earliest(mode, amount, 1, step)) < end:
            taken = self.first_taken(mode, amount, step, end)
            until = end if taken < 0 else taken
            self.book(mode, amount, step, until)
            step = until

    def _hits(self, mode: int, amount: int, begin: int, length: int) -> int:
        """The guard bits of the steps of a window at which so much is not free."""
        width = self.width
        ones = repeated(width, length)
        return ((self._taken >> begin * width & (1 << width * length) - 1) + amount * ones) & self.guards * ones

    def _begin_of_closed(self, at: int) -> int:
        """Where the closed stretch begins that a step is in; the step itself when it is in none."""
        index = bisect_right(self._closed, at) - 1
        return self._closed[index] if index >= 0 and at < self._closed_ends[index] else at


class SharedLane(Lane):
    """A lane of one resource on which bookings of one mode (a temperature) share it, and of two modes never."""

    __slots__ = ("_empty", "_own")

    def __init__(self, capacity: int, length: int, openings: Iterable[Opening] | None = None) -> None:
        super().__init__((capacity,), length, openings)
        self._empty = self._taken
        self._own: dict[int, int] = {}

    def shared(self, mode: int, begin: int, end: int) -> bool:
        own = self._own.get(mode, 0)
        return bool(own >> begin * self.width & (1 << self.width * (end - begin)) - 1)

    def book(self, mode: int, amount: int, begin: int, end: int) -> None:
        if end > begin:
            taken = amount * repeated(self.width, end - begin) << begin * self.width
            self._taken += taken
            self._own[mode] = self._own.get(mode, 0) + taken

    def free(self, mode: int, amount: int, begin: int, end: int) -> None:
        if end > begin:
            taken = amount * repeated(self.width, end - begin) << begin * self.width
            self._taken -= taken
            self._own[mode] -= taken

    def _hits(self, mode: int, amount: int, begin: int, length: int) -> int:
        width = self.width
        ones = repeated(width, length)
        at, window = begin * width, (1 << width * length) - 1
        taken, empty = self._taken >> at & window, self._empty >> at & window
        if taken == empty:
            return (empty + amount * ones) & self.guards * ones
        own = self._own.get(mode, 0) >> at & window
        others = taken - empty - own
        # A field that is not 0 reaches the guard bit when all bits below it are added.
        return ((empty + own + amount * ones) | (others + (self.guards - 1) * ones)) & self.guards * ones
