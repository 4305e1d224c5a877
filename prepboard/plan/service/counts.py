"""Counts: what is left while service runs, dish by dish, what really limits it, and until about when it lasts.

A count is believed as of its moment; from then on what guests are expected to have had is taken off, at the pace of
what has gone out so far. 86 is a fact and never an expectation.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime
from functools import cached_property
from itertools import pairwise
from math import inf
from typing import Literal, get_args

from prepboard.plan.demand.expected import asked_of
from prepboard.plan.demand.grids import whole_portions
from prepboard.plan.demand.occasions import Occasion, lasting, next_occasion
from prepboard.plan.demand.pars import portion
from prepboard.plan.demand.plating import is_followed
from prepboard.plan.given.state import Batch, State
from prepboard.plan.service.coming import NOTHING, Coming, taken_by_others
from prepboard.plan.service.expecting import NO_END, Evening, Off
from prepboard.plan.service.freshness import is_fresh, plates_until
from prepboard.plan.service.lasts import Piece, Taker, Until, lasts
from prepboard.plan.service.running_out import pace
from prepboard.plan.service.thawing import thaw_of, thawed_at, thawing_until
from prepboard.plan.shown.lines import Lack, Left, LeftPrep, Why

COUNTED_EVENING = 0.5
"""Of the plates expected so far, the part that must have been counted for an evening to be a counted one."""


WHYS: tuple[Why, ...] = get_args(Why)
"""In the order in which they are said."""

A_PAUSE = 3.0
"""Plates of all dishes that were to be expected since the last one. By chance one pause in twenty is longer (e to the
power of -3): after it nobody counts any more. To go on from the last plate itself makes run-outs of a lone dish 8
points likelier than they are (tests/benchmarks/run_outs.py)."""


def serving(state: State, now: datetime) -> tuple[Occasion, ...]:
    """The sittings that plates are counted for: those that run, the one last begun at the end; else the next one."""
    running = lasting(state, now)
    if running:
        return running
    following = next_occasion(state, now)
    return (following,) if following else ()


def serves_dish(state: State, now: datetime, dish: str) -> tuple[Occasion, ...]:
    """The sittings that run and serve a dish, the one last begun at the end."""
    services = state.book.dishes[dish].services
    return tuple(one for one in lasting(state, now) if one.service.id in services or dish in (one.service.counts or {}))


def left(state: State, now: datetime, served: tuple[Occasion, ...], comes: Coming = NOTHING) -> tuple[Left, ...]:
    """Plates left of every dish of the sittings that are `serving`, in book order; of a dish that several serve, for
    the one last begun."""
    gone: dict[str, int] = {}
    counts = [_Counts(state, now, occasion, gone, comes) for occasion in served]
    for count in counts:
        count.expect_gone()
    lines: dict[str, Left] = {}
    for count in counts:
        lines |= {line.dish: line for line in count.all()}
    return tuple(lines[dish] for dish in state.book.dishes if dish in lines)


def expected_gone(state: State, now: datetime) -> dict[str, int]:
    """What the guests of the sittings that run are expected to have had since somebody last counted, by batch."""
    gone: dict[str, int] = {}
    for occasion in lasting(state, now):
        _Counts(state, now, occasion, gone, NOTHING).expect_gone()
    return {code: amount for code, amount in gone.items() if amount}


class _Counts:
    def __init__(self, state: State, now: datetime, occasion: Occasion, gone: dict[str, int], comes: Coming) -> None:
        self.state, self.now, self.occasion, self.gone, self.comes = state, now, occasion, gone, comes
        self.running = occasion.lasts(now)
        self._paces: dict[str, float] = {}
        self._counted_until: dict[str, datetime] = {}
        self.asked = asked_of(state, now, occasion)
        self.out = occasion.plates_of(state.plated)
        self.plates = {dish: self._plate(dish) for dish in self._dishes()}
        self.held: dict[str, list[Batch]] = defaultdict(list)
        self.thaws: set[str] = set()
        """Preps of which some is made, and to be thawed still."""
        self.stale: set[str] = set()
        """Preps of which some is good, and fresh no more when guests are there."""
        self.batches = self._on_hand()
        self.book_hand = {item: sum(batch.left for batch in found) for item, found in self.batches.items()}

    # --- what there is -----------------------------------------------------------------------------------

    def _dishes(self) -> list[str]:
        """The dishes of the sitting in book order, those that a person took off too."""
        off = self.occasion.tonight.off
        return [dish for dish in self.state.book.dishes if dish in self.asked or dish in off]

    def _plate(self, dish: str) -> dict[str, int]:
        return {
            item: amount
            for item in self.state.book.dishes[dish].plate
            if item in self.state.book.preps and (amount := portion(self.state, self.occasion.day, dish, item)) > 0
        }

    def _on_hand(self) -> dict[str, list[Batch]]:
        """By prep, of what is on a plate, the batches good when the sitting starts, or now, first to expire first."""
        at = max(self.now, self.occasion.starts)
        hand: dict[str, list[Batch]] = {item: [] for plate in self.plates.values() for item in plate}
        for batch in self.state.batches:
            if batch.prep not in hand:
                continue
            if self._usable(batch, at):
                hand[batch.prep].append(batch)
            elif not is_fresh(self.state.book, batch, at):
                self.stale.add(batch.prep)
            elif thawed_at(self.state.book, batch, self.now):
                self.thaws.add(batch.prep)
            elif not batch.set_aside and batch.store != "frozen":
                self.held[batch.prep].append(batch)
        for batches in hand.values():
            batches.sort(key=_in_order)
        return hand

    def _usable(self, batch: Batch, at: datetime) -> bool:
        if batch.blocked or (batch.set_aside and batch.set_aside != self.occasion.need):
            return False
        if batch.use_by is not None and batch.use_by <= self.now:
            return False
        thaw, out = thaw_of(self.state.book, batch, self.now), thawing_until(self.state.book, batch)
        if out is not None and out > at:
            return False
        ends = thaw.good_until(at) if thaw else plates_until(self.state.book, batch)
        return (thaw is None or self.now + thaw.takes <= at) and (ends is None or at < ends)

    def _rest(self, batch: Batch) -> int:
        return batch.left - self.gone.get(batch.code, 0)

    def _hand(self, item: str) -> int:
        return sum(map(self._rest, self.batches[item]))

    # --- what guests are expected to have had -------------------------------------------------------------

    @cached_property
    def evening(self) -> Evening:
        """What guests ask of the dishes; those of which a count came to nothing are off from then on."""
        out = self.occasion.tonight.out
        off: list[Off] = [(dish, at, NO_END) for dish, at in out.items() if dish in self.plates and self._is_gone(dish)]
        return Evening(self.state, self.now, self.occasion, self.asked, off)

    @cached_property
    def counted(self) -> bool:
        """Whether plates are counted this evening: at least half of those expected so far."""
        expected = sum(self._expected(dish, self.now) for dish in self.plates)
        return sum(self.out.values()) >= COUNTED_EVENING * expected

    def _expected(self, dish: str, until: datetime) -> float:
        return self.evening.portions(dish, self.occasion.starts, until)

    @cached_property
    def last_plate(self) -> datetime | None:
        """When the last plate of any dish of the sitting went out."""
        at = (self._own_last(dish) for dish in self.plates)
        return max((one for one in at if one is not None), default=None)

    def _own_last(self, dish: str) -> datetime | None:
        return self.state.plated_at.get((*self.occasion.key, dish))

    def since(self, dish: str) -> datetime:
        """Up to when plates of a dish are counted: on a counted evening to the last plate of any, else to its own last
        one; where there is none, nothing is counted since the start. Of a function every plate that is not counted is
        there still, as soon as one is."""
        found = self._counted_until.get(dish)
        if found is None:
            found = self._counted_until[dish] = self._work_out_since(dish)
        return found

    def _work_out_since(self, dish: str) -> datetime:
        if self.running and self._followed:
            return self.now
        last = self._counted_to if self.counted else self._own_last(dish)
        return max(self.occasion.starts, last or self.occasion.starts)

    @cached_property
    def _followed(self) -> bool:
        return is_followed(self.state, self.occasion)

    @cached_property
    def _counted_to(self) -> datetime | None:
        """Up to when a counted evening is counted: to now, as long as no more plates than `A_PAUSE` were to be expected
        since the last one; a shorter time without a plate is a quiet moment that was seen."""
        last = self.last_plate or self.occasion.starts
        since = sum(self.evening.portions(dish, max(last, self.occasion.starts), self.now) for dish in self.plates)
        return self.last_plate if since > A_PAUSE else self.now

    def _since(self, dish: str, item: str) -> datetime:
        """The same of one prep, which may have been counted by itself later on."""
        return max(self.since(dish), self.state.counted_at.get(item, self.occasion.starts))

    def pace(self, dish: str) -> float:
        """What has gone out so far against what was expected."""
        if dish not in self._paces:
            self._paces[dish] = self._work_out_pace(dish)
        return self._paces[dish]

    def _work_out_pace(self, dish: str) -> float:
        its = self.asked.get(dish)
        if its is None:
            return 1.0
        return pace(self.out.get(dish, 0), self._expected(dish, self.since(dish)), its.surety)

    def plates_since(self, dish: str, item: str, until: datetime) -> int:
        """Whole plates that guests are expected to have had of a dish since its prep was counted."""
        return round(self.evening.portions(dish, self._since(dish, item), until) * self.pace(dish))

    def expect_gone(self) -> None:
        """Takes off what guests are expected to have had, from moment to moment of the batches that were there by
        then, first to expire first."""
        if not self.running:
            return
        for item, batches in self.batches.items():
            dishes = [dish for dish, plate in self.plates.items() if item in plate]
            since = min(self._since(dish, item) for dish in dishes)
            made = {batch.made_at for batch in batches if since < batch.made_at < self.now}
            for begin, end in pairwise(sorted({since, *made, self.now})):
                use = sum(
                    (self.plates_since(dish, item, end) - self.plates_since(dish, item, begin))
                    * self.plates[dish][item]
                    for dish in dishes
                )
                for batch in batches:
                    if batch.made_at <= begin:
                        part = min(use, self._rest(batch))
                        self.gone[batch.code] = self.gone.get(batch.code, 0) + part
                        use -= part

    # --- what is left ------------------------------------------------------------------------------------

    def all(self) -> tuple[Left, ...]:
        others = taken_by_others(self.state, self.now, self.occasion, self.comes)
        until = {item: self._lasts(item, sum(others.get(item, {}).values())) for item in self.batches}
        return tuple(self._left(dish, until, others) for dish in self.plates)

    def _left(self, dish: str, until: Mapping[str, Until], others: Mapping[str, Mapping[str, int]]) -> Left:
        plate = self.plates[dish]
        preps = tuple(self._part(item, amount) for item, amount in plate.items())
        free = {part.prep: max(0, part.on_hand - sum(others.get(part.prep, {}).values())) for part in preps}
        counts = {part.prep: whole_portions(free[part.prep], part.per_plate) for part in preps}
        plates = min(counts.values(), default=0)
        lacks = self._lacks(dish, preps, counts)
        off = dish in self.occasion.tonight.off
        ends = min((until[item] for item in plate if until[item].at), default=None, key=lambda one: one.at or NO_END)
        chance = max((until[item].chance for item in plate), default=0.0)
        fact = off or (self.running and _is_fact(lacks))
        to_come = bool(lacks) and all(lack.until and lack.prep not in self.thaws for lack in lacks)
        not_yet = to_come and not off and not self.running
        expecting = self.running and self.now < self.occasion.ends
        limiting = lacks[0].prep if lacks else min(counts, key=lambda item: counts[item], default=None)
        counted_to = self.since(dish) if self.running and self._some_since(dish) else None
        taken = {
            service: amount for item in plate if item == limiting for service, amount in others.get(item, {}).items()
        }
        return Left(
            dish,
            plates,
            min(plates, min((self._in_mix(dish, item, free[item]) for item in plate), default=0)),
            limiting,
            ends.at if ends and not off else None,
            fact,
            off,
            self._basis(dish),
            preps,
            not_yet=not_yet,
            low=not fact and expecting and (bool(lacks) or ends is not None),
            ends_first=ends.prep if ends and not off else None,
            service=self.occasion.service.id,
            day=self.occasion.day,
            lacks=() if off else lacks,
            chance_out=0.0 if off else chance,
            counted_to=counted_to,
            others=tuple((service, -(-amount // plate[limiting])) for service, amount in taken.items() if limiting),
            out=self.out.get(dish, 0),
            since=self._since_when(dish) if fact else None,
        )

    def _part(self, item: str, amount: int) -> LeftPrep:
        starts = self.occasion.starts
        ending = (
            batch.left
            for batch in self.held.get(item, ())
            if not batch.blocked and batch.use_by is not None and self.now < batch.use_by <= starts
        )
        coming = tuple(self.comes.under_way.get(item, ()))
        return LeftPrep(item, self._hand(item), amount, coming, sum(ending))

    def _since_when(self, dish: str) -> datetime | None:
        tonight = self.occasion.tonight
        return tonight.off_since.get(dish) if dish in tonight.off else tonight.out.get(dish)

    def _some_since(self, dish: str) -> bool:
        return any(self.plates_since(dish, item, self.now) for item in self.plates[dish])

    def _basis(self, dish: str) -> Literal["counted", "expected"]:
        """Expected where nobody has counted a plate of it since the start."""
        known = self.counted and self.last_plate is not None
        by_itself = self._own_last(dish) is not None
        return "counted" if not self.running or known or by_itself else "expected"

    def _lacks(self, dish: str, preps: tuple[LeftPrep, ...], counts: Mapping[str, int]) -> tuple[Lack, ...]:
        """Why there is no plate of a dish: what nothing gives in time first, then what comes last."""
        found = []
        for part in preps:
            if counts[part.prep] == 0:
                until = self.comes.next_of(part.prep, self.occasion.over)
                found.append(Lack(part.prep, self._why(part, until), until))
        order: dict[Why, int] = {why: place for place, why in enumerate(WHYS)}
        found.sort(key=lambda lack: (lack.until is not None, order[lack.why], -(lack.until or self.now).timestamp()))
        return tuple(found)

    def _why(self, part: LeftPrep, until: datetime | None) -> Why:
        item = part.prep
        if part.on_hand >= part.per_plate:
            return "others"
        if self.book_hand[item] >= part.per_plate:
            return "expected"
        if self.held.get(item) and until is None:
            return "ends before" if part.ends_before >= part.per_plate else "held back"
        if item in self.stale and until is None:
            return "not fresh"
        if self.running and self._was_counted(item):
            return "counted"
        return "unknown" if self.running else "not made"

    def _was_counted(self, item: str) -> bool:
        """Whether a count in this service knows how much there is of a prep: of it, or of plates that take it."""
        if self.state.counted_at.get(item, self.occasion.set_by) > self.occasion.set_by:
            return True
        return any(self.out.get(dish, 0) > 0 for dish, plate in self.plates.items() if item in plate)

    def _is_gone(self, dish: str) -> bool:
        """Whether a dish is 86 by a count: by the book there is no plate of it, and none comes."""
        parts = [LeftPrep(item, self.book_hand[item], amount) for item, amount in self.plates[dish].items()]
        counts = {part.prep: whole_portions(part.on_hand, part.per_plate) for part in parts}
        return self.running and _is_fact(self._lacks(dish, tuple(parts), counts))

    def _in_mix(self, dish: str, prep: str, there: int) -> int:
        """Plates left when all that share a prep go on as expected."""
        total, share = self._asked_of[prep], self._portions(dish) * self.plates[dish][prep]
        part = share / total if share and total else 1.0
        return whole_portions(int(there * part + 1e-6), self.plates[dish][prep])

    def _portions(self, dish: str) -> float:
        return self.asked[dish].portions if dish in self.asked else 0.0

    @cached_property
    def _asked_of(self) -> dict[str, float]:
        """By prep, how much all dishes are asked for."""
        total: dict[str, float] = defaultdict(float)
        for dish, plate in self.plates.items():
            for prep, amount in plate.items():
                total[prep] += self._portions(dish) * amount
        return total

    # --- how long it lasts -------------------------------------------------------------------------------

    def _lasts(self, item: str, others: int) -> Until:
        """Until when a prep lasts, from the moment on up to which its plates are counted."""
        pieces = [Piece(self.now, one.left, plates_until(self.state.book, one)) for one in self.batches[item]]
        pieces += [Piece(at, amount, None) for at, amount in self.comes.under_way.get(item, ())]
        takers = [self._taker(dish, item) for dish, plate in self.plates.items() if item in plate]
        return lasts(item, pieces, takers, self.now, self.occasion.ends, others)

    def _taker(self, dish: str, item: str) -> Taker:
        its = self.asked.get(dish)
        since = self._since(dish, item) if self.running else self.occasion.starts
        to_come, fixed = self.pace(dish), its is not None and its.fixed
        if its is not None and fixed and (whole := self._to_come(dish, since)):
            to_come = max(0.0, its.portions - self.out.get(dish, 0)) / whole

        def plates(begin: datetime, end: datetime) -> float:
            return self.evening.portions(dish, begin, end) * to_come

        shape = its.surety + self.out.get(dish, 0) if its else inf
        return Taker(self.plates[dish][item], since, plates, shape, fixed)

    def _to_come(self, dish: str, since: datetime) -> float:
        return self.evening.portions(dish, since, self.occasion.ends)


def _is_fact(lacks: tuple[Lack, ...]) -> bool:
    """Whether there is no plate as a fact: something was counted down to nothing, and nothing gives it in time."""
    return any(lack.why == "counted" and lack.until is None for lack in lacks)


def _in_order(batch: Batch) -> tuple[bool, datetime, str]:
    """First to expire first."""
    return batch.use_by is None, batch.use_by or batch.made_at, batch.code
