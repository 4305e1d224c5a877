"""Searching: better orders in which to place things, by moving a few and keeping what is no worse.

What is placed, and what an order costs, is somebody else's business. A search goes on as long as it is asked to:
whoever asks counts tries, so that the same question has the same answer on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from random import Random
from typing import Any, Protocol, TypeVar

STALE = 150
"""Tries without a gain after which the search begins anew."""
MOST_MOVED = 4
"""Things that are moved in one try."""


class Attempt(Protocol):
    """Everything placed, in one order."""

    @property
    def cost(self) -> Any:
        """What can be compared with that of another order; lower is better."""


P = TypeVar("P", bound=Attempt)

Others = Sequence[Sequence[int]] | Mapping[int, Sequence[int]]
"""Of each thing some others."""


class Orders(Protocol[P]):
    """Something that places things in an order."""

    def first(self, chance: Random | None) -> P:
        """In an order to begin with; with `chance` in another each time."""

    def near(self, placed: P, chance: Random) -> P | None:
        """In a slightly different order; None when it was seen on the way that this is worse."""


def search(orders: Orders[P], chance: Random, patience: int = STALE) -> Iterator[P]:
    """The best found so far, after every try; begun anew after so many without a gain."""
    best = here = orders.first(None)
    stale = 0
    while True:
        yield best
        if stale > patience:
            stale, here = 0, orders.first(chance)
        new = orders.near(here, chance)
        stale += 1
        if new is not None and new.cost <= here.cost:
            stale = 0 if new.cost < here.cost else stale
            here = new
        if here.cost < best.cost:
            best = here


def moved(order: Sequence[int], before: Others, after: Others, chance: Random) -> list[int]:
    """The order with one to four things put elsewhere, each behind all that come `before` it and ahead of all that
    come `after` it."""
    new, draw = list(order), chance.random
    last = len(new) - 1
    for _ in range(1 + int(draw() * MOST_MOVED)):
        one = new.pop(int(draw() * (last + 1)))
        place = new.index
        low, high = 0, last
        for other in before[one]:
            low = max(low, place(other) + 1)
        for other in after[one]:
            high = min(high, place(other))
        new.insert(low + int(draw() * (high - low + 1)), one)
    return new
