"""Until when a prep lasts: what there is and what comes of it, against what guests are expected to ask for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from math import inf, isinf

from msgspec import Struct

from prepboard.plan.service.running_out import chance_of_more

MINUTE = timedelta(minutes=1)

LIKELY = 0.5
"""From this chance on it is said that something runs out."""


class Piece(Struct, frozen=True):
    """An amount of a prep: from when on it is there, and until when it is good (None: to the end)."""

    there: datetime
    amount: int
    use_by: datetime | None


class Taker(Struct, frozen=True):
    """A dish that takes the prep: how much a plate, and how many plates guests are expected to ask for between two
    moments at its pace. `since` is up to when its plates are counted."""

    per_plate: int
    since: datetime
    plates: Callable[[datetime, datetime], float]
    shape: float
    """What the expectation is worth, in plates; infinite where the number is certain."""
    fixed: bool = False


class Until(Struct, frozen=True):
    """`at` is the moment before which it is as likely to run out as after it; None where it likely lasts. `chance` is
    that guests ask for more than there is, until then or until the end."""

    prep: str
    at: datetime | None
    chance: float


class _Use:
    """What guests ask of one prep, over time: by chance, and for certain."""

    def __init__(self, takers: Sequence[Taker], ends: datetime) -> None:
        self._certain = [one for one in takers if one.fixed]
        self._by_chance = [one for one in takers if not one.fixed] if self._certain else takers
        amounts = [(one, one.plates(one.since, ends)) for one in self._by_chance]
        total = sum(plates * one.per_plate for one, plates in amounts)
        squares = sum(plates * one.per_plate**2 for one, plates in amounts)
        strays = sum((plates * one.per_plate) ** 2 / one.shape for one, plates in amounts if not isinf(one.shape))
        self.portion = squares / total if total else 1.0
        """Dishes that take different amounts count together as plates of this size."""
        self.sizes = len({one.per_plate for one, plates in amounts if plates})
        self.shape = total * total / strays if strays else inf
        self._known: dict[datetime, float] = {}

    def by_chance(self, until: datetime) -> float:
        found = self._known.get(until)
        if found is None:
            found = sum([one.plates(one.since, until) * one.per_plate for one in self._by_chance])
            self._known[until] = found
        return found

    def certain(self, until: datetime) -> float:
        return sum([one.plates(one.since, until) * one.per_plate for one in self._certain])

    def chance_of_more(self, amount: float, until: datetime) -> float:
        """That more than an amount is asked for until a moment. Of plates of one size a part is none; of several sizes
        it lies between the chances of the whole ones."""
        rest = amount - self.certain(until)
        if rest < -1e-6:
            return 1.0
        plates, mean = int(rest / self.portion + 1e-6), self.by_chance(until) / self.portion
        chance = chance_of_more(plates, mean, self.shape)
        if self.sizes > 1:
            part = max(0.0, rest / self.portion - plates)
            chance += part * (chance_of_more(plates + 1, mean, self.shape) - chance)
        return chance


def lasts(
    prep: str, pieces: Sequence[Piece], takers: Sequence[Taker], now: datetime, ends: datetime, others: int = 0
) -> Until:
    """Until when a prep lasts, of which `others` take so much that is there.

    What is not used by its use-by, at the expected pace, is lost; what a run gives counts from when it is there.
    """
    use, given, lost, taken = _Use(takers, ends), -others, 0.0, 0.0
    there: list[tuple[datetime, float]] = []
    moments = sorted({at for one in pieces for at in (one.there, one.use_by or ends) if now < at < ends} | {ends})
    before, chance = now, 0.0
    for at in [now, *moments]:
        asked = use.by_chance(at) + use.certain(at)
        there, taken = _used(there, asked - taken), asked
        if at > now:
            chance = use.chance_of_more(given - lost, at)
            if chance >= LIKELY:
                return Until(prep, _when(use, given - lost, before, at), chance)
        lost += sum(amount for until, amount in there if until <= at)
        fresh = [one for one in pieces if (one.there <= now if at == now else one.there == at)]
        given += sum(one.amount for one in fresh)
        there = [(until, amount) for until, amount in there if until > at]
        there = sorted([*there, *((min(one.use_by or ends, ends), float(one.amount)) for one in fresh)])
        if at == now:
            there = _used(there, taken)
            begun = min((one.since for one in takers), default=now)
            if begun < now and (chance := use.chance_of_more(given, now)) >= LIKELY:
                return Until(prep, _when(use, given, begun, now), chance)
        before = at
    return Until(prep, None, chance)


def _used(there: list[tuple[datetime, float]], amount: float) -> list[tuple[datetime, float]]:
    """What is left of pieces when an amount was taken, the first to expire first."""
    rest = []
    for until, left in there:
        part = min(left, max(0.0, amount))
        amount -= part
        if left - part > 0:
            rest.append((until, left - part))
    return rest


def _when(use: _Use, amount: float, since: datetime, until: datetime) -> datetime:
    """The first full minute at which more than an amount is likely to have been asked for."""
    low, high = 0, max(0, -((since - until) // MINUTE))
    while low < high:
        middle = (low + high) // 2
        if use.chance_of_more(amount, min(until, since + middle * MINUTE)) >= LIKELY:
            high = middle
        else:
            low = middle + 1
    return min(until, since + low * MINUTE)
