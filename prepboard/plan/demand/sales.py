"""What history says of the dishes of one sitting: their demand, and how far it is to be trusted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct, field

from prepboard.plan.demand.bookings import above_usual, usual_covers, weekday_key
from prepboard.plan.demand.chances import PrepDemand
from prepboard.plan.demand.closed_evenings import Known
from prepboard.plan.demand.history import Outlook, covers_shown, has_changed, outlook, stage
from prepboard.plan.demand.occasions import Occasion, Table
from prepboard.plan.demand.portions import plates as plates_of
from prepboard.plan.given.learned import Common, Learned
from prepboard.plan.given.state import State
from prepboard.plan.shown.lines import DishSales, Stage

_STAGES: tuple[Stage, ...] = ("guess", "learning", "measured")


class Sales(Struct, frozen=True):
    occasion: Occasion
    usual_covers: float
    """What is usually booked for this service on this weekday."""
    above: float
    """How far the sitting's covers are from that, a logarithm."""
    common: Common
    """What the kitchen learned."""
    learned: Mapping[str, Learned]
    by_history: frozenset[str]
    """The dishes whose par is history's; those set by hand for tonight are the sous chef's."""
    by_covers: frozenset[str]
    """The dishes whose sales go with covers."""
    last_year: Mapping[str, int] | None
    _lines: dict[str, DishSales] = field(default_factory=dict)
    _outlooks: dict[str, Outlook] = field(default_factory=dict)

    def demands(self, plates: Mapping[str, int], part: float, more: Mapping[str, float]) -> Iterator[PrepDemand]:
        """What each dish known by history takes of a prep, by the share of the guests still to come; `more` is how many
        times as many ask for it since others are off."""
        for dish, amount in plates.items():
            if dish in self.by_history and amount:
                seen = self.outlook(dish)
                mean = seen.mean * part * more.get(dish, 1.0)
                yield plates_of(mean, ratio_of_part(seen, mean), amount)

    def mean_and_ratio(self, dish: str) -> tuple[float, float]:
        """Portions of a dish known by history in the whole sitting, and their variance over that mean."""
        seen = self.outlook(dish)
        return seen.mean, seen.ratio

    def stage(self, plates: Mapping[str, int], counted: frozenset[str]) -> Stage:
        """How far the par of a prep is to be trusted: as far as that of its least known dish."""
        if not self.by_history:
            return "guess"
        stages = [
            stage(self.learned[dish]) if dish in self.by_history else "guess" for dish in plates if dish not in counted
        ]
        return min(stages, key=_STAGES.index, default="guess")

    def lines(self, plates: Mapping[str, int], counted: frozenset[str]) -> tuple[DishSales, ...]:
        if not self.learned and self.last_year is None:
            return ()
        return tuple(line for dish in plates if dish not in counted and (line := self._line(dish)))

    def _line(self, dish: str) -> DishSales | None:
        if dish not in self._lines:
            known = self.learned.get(dish)
            last_year = self.last_year.get(dish) if self.last_year is not None else None
            if known is None and last_year is None:
                return None
            self._lines[dish] = DishSales(
                dish,
                stage(known),
                known.count if known else 0,
                known.hits.count("1") if known else 0,
                len(known.hits) if known else 0,
                known is not None and has_changed(known),
                self.outlook(dish).mean if dish in self.by_history else None,
                last_year,
                self.outlook(dish).usual if dish in self.by_history else None,
                round(self.occasion.covers - self.usual_covers) if dish in self.by_covers else 0,
                known is not None and covers_shown(known),
                tuple(evening.day for evening in known.evenings if evening.clipped) if known else (),
            )
        return self._lines[dish]

    def outlook(self, dish: str) -> Outlook:
        """What a dish known by history is expected to sell in the whole sitting."""
        if dish not in self._outlooks:
            above = self.above if dish in self.by_covers else 0.0
            self._outlooks[dish] = outlook(self.learned[dish], self._key, above, self.common)
        return self._outlooks[dish]

    @property
    def _key(self) -> str:
        return weekday_key(self.occasion.service.id, self.occasion.day)


def ratio_of_part(seen: Outlook, mean: float) -> float:
    """Variance over the mean of a part of a sitting: by chance only a part of what is asked for is seen (thinning)."""
    return max(min(seen.ratio, 1.0), 1 + (seen.ratio - 1) * mean / seen.mean)


def sales(state: State, known: Known, occasion: Occasion, offered: Table, counted: frozenset[str]) -> Sales:
    """What is known of a sitting's dishes. At a function nobody chooses by chance; a share set for tonight is the
    sous chef's word, and counts more than history."""
    function = occasion.service.counts is not None
    service, key, covers = occasion.service.id, weekday_key(*occasion.key), float(occasion.covers)
    return Sales(
        occasion,
        usual_covers(known.common, service, key, covers),
        above_usual(known.common, service, key, covers),
        known.common,
        {} if function else known.dishes,
        frozenset(
            dish
            for dish in offered.dishes
            if not function
            and dish not in counted
            and dish not in occasion.tonight.shares
            and (occasion.covers or (not offered.dishes[dish].use_covers and occasion.tonight.covers is None))
            and stage(known.dishes.get(dish)) != "guess"
        ),
        frozenset(dish.id for dish in offered.dishes.values() if dish.use_covers),
        state.last_year[occasion.key][1] if occasion.key in state.last_year else None,
    )
