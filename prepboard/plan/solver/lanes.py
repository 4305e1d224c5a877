"""Lanes: what is taken of one resource over time, as whole numbers with one bit for each step of time.

A lane has one number for each of its units: a bit of the first says that at least one unit is taken at that step, of
the second that two are, and so on. Whether so much is free is then one of them; a piece of it, spread over a window's
length, answers for many begins at once, and pieces of several lanes join by bit. Time is counted in whole steps from 0;
a window is [begin, end).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

Opening = tuple[int, int, int]
"""(begin, end, units that are there)."""

Taken = tuple[Any, ...]
"""What is taken of a lane, to go back to."""


def spread(taken: int, length: int) -> int:
    """The begins of windows of so many steps that meet one of the steps that are taken."""
    if length <= 0:
        return 0
    for shift in _shifts(length):
        taken |= taken >> shift
    return taken


@lru_cache(maxsize=4096)
def _shifts(length: int) -> tuple[int, ...]:
    """Doubling, and then the rest."""
    found, done = [], 1
    while 2 * done <= length:
        found.append(done)
        done *= 2
    return (*found, length - done) if length > done else tuple(found)


class Lane:
    """So many units of one resource."""

    __slots__ = ("_levels", "capacity", "closed")

    def __init__(self, capacity: int, length: int, openings: Iterable[Opening] | None = None) -> None:
        """So many steps of time, nothing taken. With `openings`, in order and apart, nothing is there outside them."""
        self.capacity = capacity
        self.closed = 0
        """The steps at which nothing is there."""
        self._levels: Sequence[int] = [0] * capacity
        """Never changed in place."""
        if openings is not None:
            self._close(openings, length)

    def _close(self, openings: Iterable[Opening], length: int) -> None:
        there = [0] * (self.capacity + 1)
        for begin, end, units in openings:
            if end > begin:
                there[units] |= (1 << end - begin) - 1 << begin
        everything, enough, levels = (1 << length) - 1, 0, []
        for units in range(self.capacity, 0, -1):
            enough |= there[units]
            levels.append(everything & ~enough)
        self._levels, self.closed = levels, levels[-1]

    @property
    def taken(self) -> Taken:
        return (self._levels,)

    @taken.setter
    def taken(self, taken: Taken) -> None:
        (self._levels,) = taken

    def is_open(self, at: int) -> bool:
        return not self.closed >> at & 1

    def look(self, setting: int, amount: int, begin: int, steps: int) -> int:
        """The steps from one on, of `steps` as bits, at which so much is not free."""
        return self._levels[self.capacity - amount] >> begin & steps if amount else 0

    def is_free(self, setting: int, amount: int, begin: int, end: int) -> bool:
        """Whether so much is free throughout a window."""
        return end <= begin or not self.look(setting, amount, begin, (1 << end - begin) - 1)

    def last_taken(self, setting: int, amount: int, begin: int, end: int) -> int:
        """The last step of a window at which so much is not free; -1 when it is free throughout."""
        hit = self.look(setting, amount, begin, (1 << end - begin) - 1) if end > begin else 0
        return begin + hit.bit_length() - 1 if hit else -1

    def shared(self, setting: int, begin: int, end: int) -> bool:
        """Whether something else that may share this lane is at work on it in a window."""
        return False

    def book(self, setting: int, amount: int, begin: int, end: int) -> None:
        if end > begin:
            self._levels = _more(self._levels, amount, (1 << end - begin) - 1 << begin)

    def free(self, setting: int, amount: int, begin: int, end: int) -> None:
        if end > begin:
            self._levels = _less(self._levels, amount, (1 << end - begin) - 1 << begin)

    def force(self, setting: int, amount: int, begin: int, end: int) -> None:
        """Books as much of a window as is free, never to be freed: what is there now is there, whatever was planned."""
        window = (1 << end - begin) - 1 if end > begin else 0
        steps = window ^ self.look(setting, amount, begin, window)
        while steps:
            first = (steps & -steps).bit_length() - 1
            last = first + (~(steps >> first) & (steps >> first) + 1).bit_length() - 1
            self.book(setting, amount, begin + first, begin + last)
            steps &= -1 << last


class SettableLane(Lane):
    """A lane that is set to something, as an oven is to its temperature: bookings of one setting share it, of two
    never."""

    __slots__ = ("_own",)

    def __init__(self, capacity: int, length: int, openings: Iterable[Opening] | None = None) -> None:
        super().__init__(capacity, length, openings)
        self._own: dict[int, Sequence[int]] = {}
        """What is taken in each setting; never changed in place."""

    @property
    def taken(self) -> Taken:
        return self._levels, self._own

    @taken.setter
    def taken(self, taken: Taken) -> None:
        self._levels, self._own = taken

    def look(self, setting: int, amount: int, begin: int, steps: int) -> int:
        taken = self._levels[self.capacity - amount] >> begin if amount else 0
        for other, levels in self._own.items():
            if other != setting:
                taken |= levels[0] >> begin
        return taken & steps

    def shared(self, setting: int, begin: int, end: int) -> bool:
        own = self._own.get(setting)
        return own is not None and bool(own[0] >> begin & (1 << end - begin) - 1)

    def book(self, setting: int, amount: int, begin: int, end: int) -> None:
        super().book(setting, amount, begin, end)
        if end > begin:
            own = self._own.get(setting) or [0] * self.capacity
            self._own = {**self._own, setting: _more(own, amount, (1 << end - begin) - 1 << begin)}

    def force(self, setting: int, amount: int, begin: int, end: int) -> None:
        """Besides, nobody shares what somebody put in beside something of another setting."""
        super().force(setting, amount, begin, end)
        if end > begin:
            first, *more = self._own.get(setting) or [0] * self.capacity
            self._own = {**self._own, setting: [first | (1 << end - begin) - 1 << begin, *more]}

    def free(self, setting: int, amount: int, begin: int, end: int) -> None:
        super().free(setting, amount, begin, end)
        if end > begin:
            self._own = {**self._own, setting: _less(self._own[setting], amount, (1 << end - begin) - 1 << begin)}


def _more(levels: Sequence[int], amount: int, steps: int) -> Sequence[int]:
    """With an amount more taken at some steps."""
    if not amount:
        return levels
    if amount > 1:
        moved = [level | steps & below for level, below in zip(levels[amount:], levels, strict=False)]
        return [level | steps for level in levels[:amount]] + moved
    found = list(levels)
    for number, level in enumerate(levels):
        found[number] = level | steps
        # Where not even so many are taken, no more are.
        steps &= level
        if not steps:
            break
    return found


def _less(levels: Sequence[int], amount: int, steps: int) -> Sequence[int]:
    """With an amount less taken at some steps."""
    if not amount:
        return levels
    if amount > 1:
        moved = [level ^ steps & (level ^ above) for level, above in zip(levels, levels[amount:], strict=False)]
        return moved + [level ^ steps & level for level in levels[len(moved) :]]
    found = list(levels)
    here = levels[0] & steps
    for number, above in enumerate(levels[1:]):
        if not here:
            return found
        above &= steps
        found[number] ^= here ^ above
        here = above
    found[-1] ^= here
    return found
