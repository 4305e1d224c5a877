"""Plating: when the fixed plates of a function go out. Its dishes are wanted whole when their course is plated, evenly
over `plate_up`; no guest comes for them by an arrival curve.

As soon as plates of the function are counted, the counts say what went out: a course that is sent late is still to
come, whatever the clock says, and one that was sent early is gone. Until then the clock is all there is.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from prepboard.book.book import Book
from prepboard.plan.demand.expected import counts_of
from prepboard.plan.demand.occasions import Curve, Occasion, come
from prepboard.plan.given.fixed_counts import rest_of
from prepboard.plan.given.state import State


def is_followed(state: State, occasion: Occasion) -> bool:
    """Whether plates of a function were counted, so that the counts say what went out."""
    return occasion.service.function and any(n > 0 for n in occasion.plates_of(state.plated).values())


def to_send(state: State, occasion: Occasion) -> dict[str, dict[str, int]]:
    """Course -> dish -> plates of a function that have not gone out, in order of their times and of the book. Dishes
    of no course go out one by one."""
    if not occasion.service.function:
        return {}
    out = occasion.plates_of(state.plated)
    counts = {dish: n for dish, n in counts_of(occasion).items() if dish not in occasion.tonight.off}
    rest = rest_of(counts, out, occasion.tonight.percent)
    found: dict[str, dict[str, int]] = {}
    for dish in state.book.dishes.values():
        if dish.course and dish.id in rest:
            found.setdefault(dish.course, {})[dish.id] = rest[dish.id]
    return dict(sorted(found.items(), key=lambda one: occasion.plated_at(one[0])))


class Plating:
    """When which part of each dish of a sitting goes out, and what of it is still to come."""

    def __init__(self, state: State, now: datetime, occasion: Occasion) -> None:
        self._book: Book = state.book
        self._now, self._occasion = now, occasion
        self.followed = is_followed(state, occasion)
        self._out = occasion.plates_of(state.plated) if self.followed else {}

    def curve(self, dish: str) -> Curve:
        """When which share of a dish goes out: of a function what is followed and has not gone yet goes from now on
        at the earliest, and all of it has before the function ends."""
        occasion = self._occasion
        if not occasion.service.function:
            return occasion.arrivals
        begin = occasion.plated_at(self._book.dishes[dish].course)
        until = min(begin + timedelta(minutes=occasion.service.plate_up), max(occasion.ends, begin))
        if self.followed:
            begin = max(begin, self._now)
        return ((begin, max(begin, until), 1.0),)

    def still(self, dish: str, portions: float) -> float:
        """Of so many plates of a dish in the whole sitting, those that are still to come."""
        if self.followed:
            return max(0.0, portions - self._out.get(dish, 0))
        return portions * (1.0 - come(self.curve(dish), self._now))

    def begins(self, dish: str) -> datetime:
        """From when on plates of a dish go out."""
        return self.curve(dish)[0][0]

    def together(self, portions: Mapping[str, float], plates: Mapping[str, int] | None = None) -> Curve:
        """When which share of what several dishes take goes out: so many portions of each in the whole sitting, and
        so much on a plate of each where they take different amounts."""
        if not self._occasion.service.function:
            return self._occasion.arrivals
        amounts = {
            dish: (self.still(dish, n) if self.followed else n) * (plates[dish] if plates else 1)
            for dish, n in portions.items()
        }
        total = sum(amounts.values())
        if not total:
            return self._occasion.arrivals
        return tuple(sorted((*self.curve(dish)[0][:2], amount / total) for dish, amount in amounts.items()))
