"""Counts: what is left while service runs, dish by dish, which prep ends first, and when.

Plates left are what the scarcest prep on hand gives. What is expected to be used from now follows the arrivals of the
guests still to come, at the pace of what has gone out so far. Where nobody counts plates, amounts after the start are
expected: less what the guests who have come since somebody last counted are expected to have had.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import datetime
from itertools import pairwise
from typing import Literal

from prepboard.plan.demand.occasions import Occasion, expected_portions, next_occasion, occasions, table
from prepboard.plan.demand.pars import portion
from prepboard.plan.given.state import Batch, State
from prepboard.plan.service.thawing import thaw_of
from prepboard.plan.shown.lines import Left, LeftPrep

ENOUGH_TO_TELL = 5.0
"""Plates of a dish that were to be expected so far: below this, what went out says more of chance than of the pace.
Chosen on simulated evenings (tests/benchmarks/run_outs.py): from 5 on the mean error is 9 to 12 %
smaller than from 1."""


def under_way_or_next(state: State, now: datetime) -> Occasion | None:
    """The sitting that plates are counted for: the one under way, else the next."""
    running = [one for one in occasions(state, now, now) if one.running(now)]
    return running[0] if running else next_occasion(state, now)


def left(state: State, now: datetime, occasion: Occasion | None, coming: Collection[str] = ()) -> tuple[Left, ...]:
    """Plates left of every dish of a sitting, the one `under_way_or_next`, in book order; nothing without one.

    `coming` are the preps that a run will give before that sitting ends: before it starts, a dish that only waits for
    them is not 86.
    """
    return _Counts(state, now, occasion, coming).all() if occasion else ()


def expected_gone(state: State, now: datetime) -> dict[str, int]:
    """What the guests of a sitting under way are expected to have had, by batch; nothing where plates are counted."""
    occasion = under_way_or_next(state, now)
    if occasion is None or not occasion.running(now):
        return {}
    return _Counts(state, now, occasion, ()).gone


class _Counts:
    def __init__(self, state: State, now: datetime, occasion: Occasion, coming: Collection[str]) -> None:
        self.state, self.now, self.occasion, self.coming = state, now, occasion, coming
        self.running = occasion.running(now)
        self.come = occasion.come_by(now)
        self.out = {dish: n for (service, day, dish), n in state.plated.items() if (service, day) == occasion.key}
        self.counted = not self.running or any(self.out.values())
        offered = table(state.book, occasion)
        self.portions = expected_portions(offered, occasion)
        self.plates = {
            dish: {
                item: amount
                for item in state.book.dishes[dish].plate
                if item in state.book.preps and (amount := portion(state, occasion.day, dish, item)) > 0
            }
            for dish in self._dishes(offered.dishes)
        }
        self.in_mix, self.at_pace = self._expected_use()
        self.gone: dict[str, int] = {}
        self.batches = self._on_hand()
        if not self.counted:
            for item, batches in self.batches.items():
                self._expect_gone(item, batches)
        self.hand = {item: sum(map(self._rest, batches)) for item, batches in self.batches.items()}

    def all(self) -> tuple[Left, ...]:
        ends = {item: self._runs_out(item) for item in self.hand}
        return tuple(self._left(dish, ends) for dish in self.plates)

    def _rest(self, batch: Batch) -> int:
        return batch.left - self.gone.get(batch.code, 0)

    def _expect_gone(self, item: str, batches: list[Batch]) -> None:
        """What the guests who have come since a prep was last counted are expected to have had of its batches: from
        moment to moment of those that were there by then, first to expire first."""
        since = max(self.occasion.starts, self.state.counted_at.get(item, self.occasion.starts))
        moments = sorted({since, self.now, *(batch.made_at for batch in batches if since < batch.made_at < self.now)})
        for begin, end in pairwise(moments):
            use = round(self.in_mix[item] * (self.occasion.come_by(end) - self.occasion.come_by(begin)))
            for batch in batches:
                if batch.made_at <= begin:
                    part = min(use, self._rest(batch))
                    self.gone[batch.code] = self.gone.get(batch.code, 0) + part
                    use -= part

    def _dishes(self, offered: Collection[str]) -> list[str]:
        """The dishes of the sitting, those that a person took off too."""
        off = {dish for dish in self.occasion.tonight.off if dish in self.state.book.dishes}
        return [dish for dish in self.state.book.dishes if dish in offered or dish in off]

    def _on_hand(self) -> dict[str, list[Batch]]:
        """By prep, of what is on a plate, the batches good when the sitting starts, or now, first to expire first."""
        at = max(self.now, self.occasion.starts)
        hand: dict[str, list[Batch]] = {item: [] for plate in self.plates.values() for item in plate}
        for batch in self.state.batches:
            if batch.prep in hand and self._usable(batch, at):
                hand[batch.prep].append(batch)
        for batches in hand.values():
            batches.sort(key=_in_order)
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
        if batch.blocked or (batch.set_aside and batch.set_aside != self.occasion.need):
            return False
        if batch.use_by is not None and batch.use_by <= self.now:
            return False
        thaw = thaw_of(self.state.book, batch, self.now)
        ends = thaw.good_until(at) if thaw else batch.use_by
        return (thaw is None or self.now + thaw.takes <= at) and (ends is None or at < ends)

    def _left(self, dish: str, runs_out: Mapping[str, datetime | None]) -> Left:
        preps = tuple(LeftPrep(item, self.hand[item], amount) for item, amount in self.plates[dish].items())
        limiting = min(preps, key=lambda prep: prep.on_hand // prep.per_plate, default=None)
        plates = limiting.on_hand // limiting.per_plate if limiting else 0
        ends = [(at, prep.prep) for prep in preps if (at := runs_out[prep.prep]) is not None]
        ends_at, ends_first = min(ends, default=(None, None), key=lambda end: end[0])
        off = dish in self.occasion.tonight.off
        none = limiting is not None and plates == 0
        lacks = [prep.prep for prep in preps if prep.on_hand < prep.per_plate]
        not_yet = none and not off and not self.running and all(prep in self.coming for prep in lacks)
        eighty_six = off or (none and not not_yet)
        basis: Literal["counted", "expected"] = "counted" if self.counted else "expected"
        return Left(
            dish,
            plates,
            min((self._in_mix(dish, prep.prep) for prep in preps), default=0),
            limiting.prep if limiting else None,
            None if off else ends_at,
            eighty_six,
            off,
            basis,
            preps,
            not_yet=not_yet,
            low=self.running and not eighty_six and ends_at is not None,
            ends_first=None if off else ends_first,
        )

    def _in_mix(self, dish: str, prep: str) -> int:
        """Plates of a dish when all that share a prep go on as expected."""
        share = self.portions.get(dish, 0.0) * self.plates[dish][prep]
        total = self.in_mix[prep]
        part = share / total if share and total else 1.0
        return int(self.hand[prep] * part + 1e-6) // self.plates[dish][prep]

    def _runs_out(self, prep: str) -> datetime | None:
        """The first moment at which expected use from now passes what is left; None if it lasts.

        What ends before it is used is not there any more from its use-by on.
        """
        use = self.at_pace[prep]
        if use <= 0:
            return None
        share = self.come
        for batch in self.batches[prep]:
            until = 1.0 if batch.use_by is None else max(share, self.occasion.come_by(batch.use_by))
            share = min(share + self._rest(batch) / use, until)
        return max(self.now, self.occasion.when_come(share)) if share < 1 else None

    def _pace(self, dish: str) -> float:
        """What has gone out so far against what was expected; 1 until enough was to be expected."""
        expected = self.portions.get(dish, 0.0) * self.come
        return self.out.get(dish, 0) / expected if self.counted and expected >= ENOUGH_TO_TELL else 1.0


def _in_order(batch: Batch) -> tuple[bool, datetime, str]:
    """First to expire first."""
    return batch.use_by is None, batch.use_by or batch.made_at, batch.code
