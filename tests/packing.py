"""Packing: things of fixed length that wait for each other and share what there is, in as short a time as can be.

Standard instances ask for this and kitchens for more: here the search is measured on them.

All that is shared stands side by side in one whole number: a field of bits for each resource and step of time, with a
guard bit on top. What is taken is filled up so that one unit above what there is reaches the guard, and so one addition
tells for a whole window whether there is room. Time is counted in bits of that number inside, in steps outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from msgspec import Struct

from prepboard.plan.solver.searching import moved

WORSE = 2
"""By how many steps an order may be worse, packed from one end, to be packed from the other too."""


class Packed(Struct, frozen=True):
    """Everything packed against one end of time: the things in order from there, and how long it all takes."""

    cost: int
    order: list[int]
    begins: list[int]
    mirrored: bool
    """Against the beginning, in time that runs backward."""


class Packing:
    """Things, numbered so that each comes before those that wait for it (`users`), what each takes (`amounts`) of what
    there is (`there`, never less than one takes), and for how many steps."""

    def __init__(
        self,
        lengths: Sequence[int],
        amounts: Sequence[Sequence[int]],
        there: Sequence[int],
        users: Sequence[Sequence[int]],
    ) -> None:
        self._steps, self._users = lengths, users
        self._givers: list[list[int]] = [[] for _ in lengths]
        for giver, takers in enumerate(users):
            for user in takers:
                self._givers[user].append(giver)
        places, width, guards, filled = [], 0, 0, 0
        for most in there:
            guard = 1 << width + (2 * most).bit_length()
            filled += guard - (most + 1 << width)
            guards += guard
            places.append(width)
            width = guard.bit_length()
        self._width = width
        self._shapes = []
        for length, asked in zip(lengths, amounts, strict=True):
            ones = _repeated(width, length)
            taken = sum(amount << place for amount, place in zip(asked, places, strict=True))
            self._shapes.append((width * length, taken * ones, guards * ones, (1 << width * length) - 1))
        self._end = width * sum(lengths)
        self._empty = filled * _repeated(width, sum(lengths))

    def first(self, chance: Random | None) -> Packed:
        """By the longest way that still leads to each; with `chance` a little shuffled, from either end."""
        mirrored = chance is not None and chance.random() < 0.5
        before, after = self._ends(mirrored)
        found = self._both_ways(self._by_ways(before, after, chance), mirrored, None)
        assert found is not None
        return found

    def near(self, packed: Packed, chance: Random) -> Packed | None:
        order = moved(packed.order, *self._ends(packed.mirrored), chance)
        return self._both_ways(order, packed.mirrored, packed.cost + WORSE)

    def begins(self, packed: Packed) -> list[int]:
        """When each thing begins, the first at 0."""
        if packed.mirrored:
            ends = [begin + shape[0] for begin, shape in zip(packed.begins, self._shapes, strict=True)]
            return [(self._end - end) // self._width for end in ends]
        first = min(packed.begins)
        return [(begin - first) // self._width for begin in packed.begins]

    def _ends(self, mirrored: bool) -> tuple[Sequence[Sequence[int]], Sequence[Sequence[int]]]:
        """What comes before each thing in an order, and what after it."""
        return (self._givers, self._users) if mirrored else (self._users, self._givers)

    def _by_ways(
        self, before: Sequence[Sequence[int]], after: Sequence[Sequence[int]], chance: Random | None
    ) -> list[int]:
        """Each behind all that come before it, that which has the longest way still to go first."""
        ways = [0] * len(self._steps)
        waiting = [len(others) for others in before]
        for one in self._from_the_end(after):
            ways[one] = self._steps[one] + max((ways[other] for other in after[one]), default=0)
        keys = [way * chance.uniform(0.6, 1.4) if chance else way for way in ways]
        ready, order = [one for one, count in enumerate(waiting) if not count], []
        while ready:
            one = max(ready, key=lambda ready: (keys[ready], ready))
            ready.remove(one)
            order.append(one)
            for other in after[one]:
                waiting[other] -= 1
                if not waiting[other]:
                    ready.append(other)
        return order

    def _from_the_end(self, after: Sequence[Sequence[int]]) -> range:
        count = len(self._steps)
        return range(count) if after is self._givers else range(count - 1, -1, -1)

    def _both_ways(self, order: list[int], mirrored: bool, limit: int | None) -> Packed | None:
        """Packed against one end and pushed to the other; None where it takes longer than `limit` before it is
        pushed."""
        before, after = self._ends(mirrored)
        begins = self._pack(order, before)
        if limit is not None and self._end - min(begins) > limit * self._width:
            return None
        order = order[::-1]
        order.sort(key=begins.__getitem__)
        begins = self._pack(order, after)
        ends = [begin + shape[0] for begin, shape in zip(begins, self._shapes, strict=True)]
        order.sort(key=ends.__getitem__, reverse=True)
        return Packed((self._end - min(begins)) // self._width, order, begins, not mirrored)

    def _pack(self, order: Sequence[int], before: Sequence[Sequence[int]]) -> list[int]:
        """The latest begins of things in an order in which each comes behind all that come before it."""
        taken, width, shapes, end = self._empty, self._width, self._shapes, self._end
        begins = [0] * len(order)
        for one in order:
            begin = end
            for other in before[one]:
                if begins[other] < begin:
                    begin = begins[other]
            span, asked, guards, window = shapes[one]
            begin -= span
            if span:
                while hit := (taken >> begin & window) + asked & guards:
                    lowest = (hit & -hit).bit_length() - 1
                    begin += lowest - lowest % width - span
                taken += asked << begin
            begins[one] = begin
        return begins


def _repeated(width: int, steps: int) -> int:
    """The lowest bit of each of so many fields."""
    return ((1 << width * steps) - 1) // ((1 << width) - 1) if width else 0
