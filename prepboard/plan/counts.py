"""Counts: what is left while service runs, dish by dish, and which prep ends first."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime, timedelta
from typing import Literal

from prepboard.plan.lines import Left, LeftPrep
from prepboard.plan.occasions import Occasion, next_occasion, occasions, table
from prepboard.plan.pars import portion
from prepboard.plan.state import Batch, State


def under_way_or_next(state: State, now: datetime) -> Occasion | None:
    """The sitting that plates are counted for: the one under way, else the next."""
    running = [one for one in occasions(state, now, now) if one.running(now)]
    return running[0] if running else next_occasion(state, now)


def left(state: State, now: datetime) -> tuple[Left, ...]:
    """Plates left of every dish of the sitting under way, else of the next, in book order."""
    occasion = under_way_or_next(state, now)
    return _Counts(state, now, occasion).all() if occasion else ()


class _Counts:
    def __init__(self, state: State, now: datetime, occasion: Occasion) -> None:
        self.state, self.now, self.occasion = state, now, occasion
        self.come = occasion.come_by(now)
        self.out = {dish: n for (service, day, dish), n in state.plated.items() if (service, day) == occasion.key}
        self.counted = not occasion.running(now) or any(self.out.values())
        self.portions = self._expected_portions()
        self.plates = {
            dish: {
                item: amount
                for item in state.book.dishes[dish].plate
                if item in state.book.preps and (amount := portion(state, occasion.day, dish, item)) > 0
            }
            for dish in self._dishes()
        }
        self.hand = self._on_hand()
        self.in_mix, self.at_pace = self._expected_use()

    def all(self) -> tuple[Left, ...]:
        return tuple(self._left(dish) for dish in self.plates)

    def _dishes(self) -> list[str]:
        """The dishes of the sitting, those that a person took off too."""
        offered = table(self.state.book, self.occasion).dishes
        off = {dish for dish in self.occasion.tonight.off if dish in self.state.book.dishes}
        return [dish for dish in self.state.book.dishes if dish in offered or dish in off]

    def _expected_portions(self) -> dict[str, float]:
        """Of each dish for the whole sitting."""
        occasion = self.occasion
        offered = table(self.state.book, occasion)
        counts = {**(occasion.service.counts or {}), **occasion.tonight.counts}
        if occasion.service.counts is not None:
            return {dish: float(counts.get(dish, 0)) for dish in offered.dishes}
        return {
            dish: float(counts[dish] if dish in counts else occasion.covers * offered.share(dish))
            for dish in offered.dishes
        }

    def _on_hand(self) -> dict[str, int]:
        """Good amounts by prep, when the sitting starts or now; where nobody counts plates, less what the guests
        who have come are expected to have had."""
        at = max(self.now, self.occasion.starts)
        hand: dict[str, int] = defaultdict(int)
        for batch in self.state.batches:
            if self._usable(batch, at):
                hand[batch.prep] += batch.left
        if not self.counted:
            for dish, plate in self.plates.items():
                for item, amount in plate.items():
                    hand[item] = max(0, hand[item] - round(self.portions.get(dish, 0.0) * amount * self.come))
        return hand

    def _expected_use(self) -> tuple[dict[str, float], dict[str, float]]:
        """Expected use of each prep in the whole sitting: as the mix has it, and at the pace so far."""
        in_mix: dict[str, float] = defaultdict(float)
        at_pace: dict[str, float] = defaultdict(float)
        for dish, plate in self.plates.items():
            portions, pace = self.portions.get(dish, 0.0), self._pace(dish)
            for item, amount in plate.items():
                in_mix[item] += portions * amount
                at_pace[item] += portions * amount * pace
        return in_mix, at_pace

    def _usable(self, batch: Batch, at: datetime) -> bool:
        if batch.blocked or batch.prep not in self.state.book.preps:
            return False
        if batch.set_aside and batch.set_aside != self.occasion.need:
            return False
        there = self.now
        if batch.store == "frozen":
            there += timedelta(minutes=self.state.book.preps[batch.prep].thaw)
        return there <= at and (batch.use_by is None or at < batch.use_by)

    def _left(self, dish: str) -> Left:
        preps = tuple(LeftPrep(item, self.hand[item], amount) for item, amount in self.plates[dish].items())
        limiting = min(preps, key=lambda prep: prep.on_hand // prep.per_plate, default=None)
        plates = limiting.on_hand // limiting.per_plate if limiting else 0
        ends = [at for prep in preps if (at := self._runs_out(prep.prep)) is not None]
        off = dish in self.occasion.tonight.off
        basis: Literal["counted", "expected"] = "counted" if self.counted else "expected"
        return Left(
            dish,
            plates,
            min((self._in_mix(dish, prep.prep) for prep in preps), default=0),
            limiting.prep if limiting else None,
            None if off else min(ends, default=None),
            off or (limiting is not None and plates == 0),
            off,
            basis,
            preps,
        )

    def _in_mix(self, dish: str, prep: str) -> int:
        """Plates of a dish when all that share a prep go on as expected."""
        share = self.portions.get(dish, 0.0) * self.plates[dish][prep]
        total = self.in_mix[prep]
        part = share / total if share and total else 1.0
        return int(self.hand[prep] * part + 1e-6) // self.plates[dish][prep]

    def _runs_out(self, prep: str) -> datetime | None:
        """The first moment at which expected use from now passes what is left; None if it lasts."""
        use = self.at_pace[prep]
        if use <= 0:
            return None
        share = self.come + self.hand[prep] / use
        return self.occasion.when_come(share) if share < 1 else None

    def _pace(self, dish: str) -> float:
        """What has gone out so far against what was expected; 1 until a plate was to be expected."""
        expected = self.portions.get(dish, 0.0) * self.come
        return self.out.get(dish, 0) / expected if self.counted and expected >= 1 else 1.0
