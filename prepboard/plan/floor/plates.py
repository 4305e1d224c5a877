"""Plates: how many of a sitting need what a run gives, and what its lateness costs by that."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, datetime

from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.expected import at_sitting
from prepboard.plan.demand.occasions import Occasion, occasions
from prepboard.plan.given.state import Sitting, State
from prepboard.plan.runs.runs import Planned
from prepboard.plan.runs.stock import Need

WEIGHT, LEAST_WEIGHT = 100, 5
"""What a minute of lateness costs where every plate needs the run, and at least."""
LOST = 10**6
"""What a plate costs that goes out no more: more than any lateness."""


class Plates:
    """The plates that whole sittings are expected to ask for, worked out once."""

    def __init__(self, state: State, now: datetime) -> None:
        self._state, self._now = state, now
        self._known: dict[Sitting, tuple[dict[str, float], float]] = {}

    def of(self, run: Planned) -> int:
        """Plates of the sittings that it is for by itself."""
        return round(sum([self._of(need.occasion, need.prep)[0] for need, _ in run.serves if need.occasion]))

    def weight(self, run: Planned) -> int:
        """What a minute of its lateness costs: plates that need it of all covers. What only planned runs take costs
        nothing, since they are late then; what is under way lies in no plan, and waits for it."""
        waiting = [need for need, _ in run.serves if need.run_of is None or need.order < 0]
        if not waiting:
            return 0
        parts = [self._in(need) if need.run_of is None else self._under_way(need.key) for need in waiting]
        shares = [plates / covers for plates, covers in parts if covers]
        return max(LEAST_WEIGHT, round(WEIGHT * max(shares, default=0.0)))

    def _under_way(self, line: str) -> tuple[float, float]:
        """Plates that need what a line under way is for in the end, and covers, of its sitting."""
        *chain, end = line.split("@")
        service, _, day = end.rpartition(".")
        try:
            opens = self._state.book.kitchen.days.opens(date.fromisoformat(day))
        except ValueError:
            return 0.0, 0.0
        around = occasions(self._state, opens, opens + ONE_DAY)
        occasion = next((one for one in around if one.key == (service, date.fromisoformat(day))), None)
        return self._of(occasion, chain[-1].partition("#")[0]) if occasion and chain else (0.0, 0.0)

    def _in(self, need: Need) -> tuple[float, float]:
        """Plates that need it, and covers, of a need's sitting."""
        return self._of(need.occasion, need.prep) if need.occasion else (0.0, 0.0)

    def _of(self, occasion: Occasion, prep: str) -> tuple[float, float]:
        key = occasion.key
        if key not in self._known:
            known = at_sitting(self._state, self._now, occasion)
            expected = {dish: known.portions(dish) for dish in known.asked}
            by_prep: dict[str, float] = defaultdict(float)
            for dish, plates in expected.items():
                for taken in self._state.book.dishes[dish].plate:
                    by_prep[taken] += plates
            self._known[key] = by_prep, float(occasion.covers) or sum(expected.values())
        by_prep, covers = self._known[key]
        return by_prep.get(prep, 0.0), covers
