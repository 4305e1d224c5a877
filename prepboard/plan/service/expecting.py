"""Expecting: what the guests of a sitting are expected to ask of each dish, from one moment to another.

A dish that is off gets nothing while it is off; the guests who would have had it choose among the others of its
course, by share, so that those are asked for more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from itertools import pairwise

from prepboard.plan.demand.expected import Asked
from prepboard.plan.demand.occasions import Curve, Occasion, come
from prepboard.plan.demand.plating import Plating
from prepboard.plan.given.state import State

Off = tuple[str, datetime, datetime]
"""(dish, since, until)."""

NO_END = datetime.max.replace(tzinfo=UTC)


class Evening:
    """What a sitting asks of its dishes, over time."""

    def __init__(
        self, state: State, now: datetime, occasion: Occasion, asked: Mapping[str, Asked], off: Iterable[Off] = ()
    ) -> None:
        """`off` are the times in which dishes were not there, beside those in which a person had taken them off."""
        self.occasion, self.asked, self._plating = occasion, asked, Plating(state, now, occasion)
        tonight = occasion.tonight
        times = [*off, *tonight.was_off]
        times += [(dish, tonight.off_since.get(dish, occasion.starts), NO_END) for dish in tonight.off]
        self._off: dict[str, list[tuple[datetime, datetime]]] = defaultdict(list)
        for dish, since, until in times:
            self._off[dish].append((since, until))
        self._course = {dish: state.book.dishes[dish].course for dish in self.asked}
        self._come: dict[datetime, float] = {}
        """Moment -> the share of the guests who have come by then."""
        self._asked_for: dict[tuple[str, datetime, datetime], float] = {}
        """What was answered: each prep of a plate asks for the same plates."""

    def portions(self, dish: str, since: datetime, until: datetime) -> float:
        """Plates that the guests who come between two moments are expected to ask for."""
        asked = dish, since, until
        found = self._asked_for.get(asked)
        if found is None:
            found = self._asked_for[asked] = self._portions(dish, since, until)
        return found

    def _portions(self, dish: str, since: datetime, until: datetime) -> float:
        whole = self.asked[dish].portions if dish in self.asked else 0.0
        if not whole or until <= since:
            return 0.0
        curve = self._plating.curve(dish)
        if not self._off:
            return whole * (self._by(curve, until) - self._by(curve, since))
        mates = self._mates(dish)
        if not any(mate in self._off for mate in mates):
            return whole * (come(curve, until) - come(curve, since))
        turns = {at for mate in mates for span in self._off.get(mate, ()) for at in span if since < at < until}
        moments = [since, *sorted(turns), until]
        return sum(
            whole * self._more(dish, mates, begin) * (come(curve, end) - come(curve, begin))
            for begin, end in pairwise(moments)
        )

    def _by(self, curve: Curve, at: datetime) -> float:
        """The share of a curve that has gone out before an instant: most dishes have the guests' own."""
        if curve is not self.occasion.arrivals:
            return come(curve, at)
        found = self._come.get(at)
        if found is None:
            found = self._come[at] = come(curve, at)
        return found

    def _mates(self, dish: str) -> list[str]:
        """The dishes that a guest chooses from, this one among them. A fixed count is nobody's choice."""
        course = self._course[dish]
        if course is None or self.asked[dish].fixed:
            return [dish]
        return [other for other, its in self._course.items() if its == course and not self.asked[other].fixed]

    def _more(self, dish: str, mates: list[str], at: datetime) -> float:
        """How many times as many guests take a dish at a moment, since others of its course are off."""
        if self.is_off(dish, at):
            return 0.0
        here = sum(self.asked[mate].portions for mate in mates if not self.is_off(mate, at))
        return sum(self.asked[mate].portions for mate in mates) / here

    def is_off(self, dish: str, at: datetime) -> bool:
        """Whether a dish was not to be had at a moment."""
        return any(since <= at < until for since, until in self._off.get(dish, ()))
