"""Lanes: what is taken of one resource over time, as whole numbers with one bit for each step of time.

A lane has one number for each of its units: a bit of the first says that at least one unit is taken at that step, of
the second that two are, and so on. Whether so much is free is then one of them; spread over a window's length it
answers for every begin at once, and numbers of several lanes join by bit. Time is counted in whole steps from 0; a
window is [begin, end).
"""

from __future__ import annotations

from collections.abc import Iterable

Opening = tuple[int, int, int]
"""(begin, end, units that are there)."""


def spread(taken: int, length: int) -> int:
    """The begins of windows of so many steps that meet one of the steps that are taken."""
    if length <= 0:
        return 0
    done, doubled = 1, 2
    while doubled <= length:
        taken |= taken >> done
        done, doubled = doubled, doubled * 2
    return taken | taken >> length - done


def last_free(busy: int, lowest: int, limit: int) -> int:
    """The last step in [lowest, limit] that is not busy; -1 when there is none."""
    if limit < lowest:
        return -1
    window = (1 << limit - lowest + 1) - 1
    free = busy >> lowest & window ^ window
    return lowest + free.bit_length() - 1 if free else -1


def first_free(busy: int, limit: int) -> int:
    """The first step, not before `limit`, that is not busy."""
    rest = busy >> limit
    return limit + (rest + 1 & ~rest).bit_length() - 1


class Lane:
    """So many units of one resource."""

    __slots__ = ("_busy", "_levels", "capacity", "closed")

    def __init__(self, capacity: int, length: int, openings: Iterable[Opening] | None = None) -> None:
        """So many steps of time, nothing taken. With `openings`, in order and apart, nothing is there outside them."""
        self.capacity = capacity
        self.closed = 0
        """The steps at which nothing is there."""
        self._levels = [0] * capacity
        self._busy: dict[tuple[int, int, int], int] = {}
        if openings is not None:
            self._close(openings, length)

    def _close(self, openings: Iterable[Opening], length: int) -> None:
        there = [0] * (self.capacity + 1)
        for begin, end, units in openings:
            if end > begin:
                there[units] |= (1 << end) - (1 << begin)
        everything, enough = (1 << length) - 1, 0
        for units in range(self.capacity, 0, -1):
            enough |= there[units]
            self._levels[self.capacity - units] = everything & ~enough
        self.closed = everything & ~enough

    def is_open(self, at: int) -> bool:
        return not self.closed >> at & 1

    def blocked(self, mode: int, amount: int) -> int:
        """The steps at which so much is not free."""
        return self._levels[self.capacity - amount] if amount else 0

    def busy(self, mode: int, amount: int, length: int) -> int:
        """The begins at which a window of so many steps is not free throughout."""
        key = mode, amount, length
        found = self._busy.get(key)
        if found is None:
            found = self._busy[key] = spread(self.blocked(mode, amount), length)
        return found

    def is_free(self, mode: int, amount: int, begin: int, end: int) -> bool:
        """Whether so much is free throughout a window."""
        return end <= begin or not self.blocked(mode, amount) >> begin & (1 << end - begin) - 1

    def last_taken(self, mode: int, amount: int, begin: int, end: int) -> int:
        """The last step of a window at which so much is not free; -1 when it is free throughout."""
        if end <= begin:
            return -1
        hit = self.blocked(mode, amount) >> begin & (1 << end - begin) - 1
        return begin + hit.bit_length() - 1 if hit else -1

    def shared(self, mode: int, begin: int, end: int) -> bool:
        """Whether something else that may share this lane is at work on it in a window."""
        return False

    def book(self, mode: int, amount: int, begin: int, end: int) -> None:
        if end > begin:
            self._take(mode, amount, (1 << end - begin) - 1 << begin)

    def free(self, mode: int, amount: int, begin: int, end: int) -> None:
        if end > begin:
            self._give(mode, amount, (1 << end - begin) - 1 << begin)

    def force(self, mode: int, amount: int, begin: int, end: int) -> None:
        """Books as much of a window as is free, never to be freed: what is there now is there, whatever was planned."""
        if end > begin:
            self._take(mode, amount, (1 << end) - (1 << begin) & ~self.blocked(mode, amount))

    def _take(self, mode: int, amount: int, steps: int) -> None:
        self._busy = {}
        _add(self._levels, amount, steps)

    def _give(self, mode: int, amount: int, steps: int) -> None:
        self._busy = {}
        _subtract(self._levels, amount, steps)


class SharedLane(Lane):
    """A lane on which bookings of one mode (a temperature) share it, and of two modes never."""

    __slots__ = ("_own",)

    def __init__(self, capacity: int, length: int, openings: Iterable[Opening] | None = None) -> None:
        super().__init__(capacity, length, openings)
        self._own: dict[int, list[int]] = {}

    def blocked(self, mode: int, amount: int) -> int:
        taken = self._levels[self.capacity - amount] if amount else 0
        for other, levels in self._own.items():
            if other != mode:
                taken |= levels[0]
        return taken

    def shared(self, mode: int, begin: int, end: int) -> bool:
        own = self._own.get(mode)
        return own is not None and bool(own[0] >> begin & (1 << end - begin) - 1)

    def _take(self, mode: int, amount: int, steps: int) -> None:
        super()._take(mode, amount, steps)
        own = self._own.get(mode)
        if own is None:
            own = self._own[mode] = [0] * self.capacity
        _add(own, amount, steps)

    def _give(self, mode: int, amount: int, steps: int) -> None:
        super()._give(mode, amount, steps)
        _subtract(self._own[mode], amount, steps)


def _add(levels: list[int], amount: int, steps: int) -> None:
    """Takes an amount more at some steps."""
    if amount:
        for level in range(len(levels) - 1, amount - 1, -1):
            levels[level] |= steps & levels[level - amount]
        for level in range(min(amount, len(levels))):
            levels[level] |= steps


def _subtract(levels: list[int], amount: int, steps: int) -> None:
    """Takes an amount less at some steps."""
    if amount:
        kept = max(0, len(levels) - amount)
        for level in range(kept):
            levels[level] ^= steps & (levels[level] ^ levels[level + amount])
        for level in range(kept, len(levels)):
            levels[level] ^= steps & levels[level]
