"""Jobs: chains of steps that want to be done by some moment, and what each step takes while it lasts.

Time is counted in whole steps from 0. Nothing here knows what a job is for.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import force_setattr

from prepboard.plan.solver.lanes import Lane, spread

LOOK_BACK = 4 * 60
"""How far back the room before a window is measured, in steps of time."""
ONLY = (0,)
"""The lanes of a pool that are taken where it has but one."""


class Pool:
    """Lanes that serve equally well; a demand takes one of them, or so many whole ones."""

    __slots__ = ("lanes",)

    def __init__(self, lanes: Sequence[Lane]) -> None:
        self.lanes = tuple(lanes)

    def busy(self, demand: PoolUse, length: int, begin: int, count: int) -> int:
        """Of so many begins from one on those at which a window of so many steps is not free, as bits; bits above are
        no answer."""
        setting, amount = demand.setting, demand.amount
        window = (1 << count + length) - 1 if length else 0
        if len(self.lanes) == 1:
            taken = self.lanes[0].look(setting, amount, begin, window)
            return spread(taken, length) if taken else 0
        if demand.lanes == 1:
            found = window
            for lane in self.lanes:
                taken = lane.look(setting, amount, begin, window)
                if not taken:
                    return 0
                found &= spread(taken, length)
            return found
        spare = len(self.lanes) - demand.lanes
        # A bit of the nth number: more than n lanes are busy.
        counted = [0] * (spare + 1)
        for lane in self.lanes:
            here = spread(lane.look(setting, amount, begin, window), length)
            for number in range(spare, 0, -1):
                counted[number] |= counted[number - 1] & here
            counted[0] |= here
        return counted[spare]

    def is_free(self, demand: PoolUse, begin: int, end: int) -> bool:
        """Whether a window is free on as many lanes as are wanted."""
        free = 0
        for lane in self.lanes:
            free += lane.is_free(demand.setting, demand.amount, begin, end)
            if free >= demand.lanes:
                return True
        return False

    def last_taken(self, demand: PoolUse, begin: int, end: int) -> int:
        """The last step of a window at which it is not met, on the lanes that come nearest; -1 when it is met."""
        found = sorted(lane.last_taken(demand.setting, demand.amount, begin, end) for lane in self.lanes)
        return found[demand.lanes - 1]

    def choose(self, demand: PoolUse, begin: int, end: int) -> tuple[int, ...]:
        """The lanes to take in a window that is known to be free: where the same setting is at work, then where least
        room is left before it, then the lowest."""
        if len(self.lanes) == 1:
            return ONLY
        setting, amount, free = demand.setting, demand.amount, []
        before = min(begin, LOOK_BACK)
        all_of_it = (1 << end - begin + before) - 1
        for number, lane in enumerate(self.lanes):
            taken = lane.look(setting, amount, begin - before, all_of_it)
            if not taken >> before:
                room = before - taken.bit_length() if taken else begin
                free.append((not lane.shared(setting, begin, end), room, number))
        if demand.lanes == 1:
            return min(free)[2:] if free else ()
        return tuple(sorted(number for _, _, number in sorted(free)[: demand.lanes]))

    def take(self, demand: PoolUse, begin: int, end: int) -> tuple[int, ...]:
        """Books these lanes; answers which."""
        chosen = ONLY if len(self.lanes) == 1 else self.choose(demand, begin, end)
        for lane in chosen:
            self.lanes[lane].book(demand.setting, demand.amount, begin, end)
        return chosen


class PoolUse(Struct, frozen=True, gc=False):
    """What a step takes of a pool: `amount` units of one lane, or of each of `lanes`; through the whole step up to the
    next one, or only as long as its head lasts."""

    pool: Pool
    amount: int = 1
    setting: int = 0
    """What a `SettableLane` must be set to."""
    whole: bool = False
    lanes: int = 1


class JobStep(Struct, frozen=True, gc=False):
    """A head of fixed length, then a rest of at least `least` and at most `most` (None: as long as you like)."""

    head: int
    least: int = 0
    most: int | None = None
    demands: tuple[PoolUse, ...] = ()
    ends_open: Lane | None = None
    """The rest must end in, or at the end of, an open step of this lane."""
    begins_open: Lane | None = None
    """It must begin in an open step of this lane."""
    span: int = 0
    """The head and the least rest; found, not given."""

    def __post_init__(self) -> None:
        force_setattr(self, "span", self.head + self.least)

    def busy(self, length: int | None, begin: int, count: int) -> int:
        """Of so many begins from one on those at which the step cannot lie by itself, as bits; bits above are no
        answer. What it takes through the whole step is looked at for so many steps; not at all with None."""
        found, head = 0, self.head
        for demand in self.demands:
            if not demand.whole:
                if head:
                    found |= demand.pool.busy(demand, head, begin, count)
            elif length:
                found |= demand.pool.busy(demand, length, begin, count)
        if self.ends_open is not None:
            found |= self.ends_open.closed >> begin + self.span - (self.span > 0)
        if self.begins_open is not None:
            found |= self.begins_open.closed >> begin
        return found


class Block(Struct, frozen=True, gc=False):
    """Steps of which each begins as soon as the one before it may end, and never later: they move as one. Only the
    last one's rest may last longer than its least."""

    first: tuple[tuple[JobStep, int], ...]
    """All but the last, and when each begins after the first."""
    last: JobStep
    offset: int
    """When that begins after the first."""
    offsets: tuple[int, ...]
    """When each begins after the first."""
    span: int

    def busy(self, length: int | None, begin: int, count: int) -> int:
        """As for a step; `length` is of the last one."""
        found = self.last.busy(length, begin + self.offset, count)
        for step, offset in self.first:
            found |= step.busy(step.span, begin + offset, count)
        return found


def _block(steps: Sequence[JobStep], offsets: Sequence[int]) -> Block:
    first = tuple(zip(steps[:-1], offsets, strict=False))
    return Block(first, steps[-1], offsets[-1], tuple(offsets), offsets[-1] + steps[-1].span)


def in_blocks(steps: Sequence[JobStep]) -> tuple[Block, ...]:
    """A chain's steps, those that move as one together."""
    blocks, together, offsets = [], [steps[0]], [0]
    for step in steps[1:]:
        before = together[-1]
        if before.most == before.least:
            offsets.append(offsets[-1] + before.span)
            together.append(step)
        else:
            blocks.append(_block(together, offsets))
            together, offsets = [step], [0]
    return (*blocks, _block(together, offsets))


class Feed(Struct, frozen=True, gc=False):
    """What another job gives: it must be over `lag` before a step begins, and should be `cushion` before that."""

    giver: int
    step: int
    lag: int = 0
    cushion: int = 0
    wanted: int | None = None
    """Up to when what the giver gives lasts at least, by its `fresh`: users that begin later move that."""


class Job(Struct, frozen=True, gc=False):
    """A chain of steps. Users come before givers in a list of jobs."""

    steps: tuple[JobStep, ...]
    due: int
    """When it should be over, any slack before it is needed included."""
    after: tuple[int, ...]
    """Before when each step may not begin."""
    weight: int = 1
    """What a step of lateness costs; 0 for what is due only because another job takes it."""
    alone: int = 0
    """When it would begin if nothing else were there; earlier than that costs."""
    feeds: tuple[Feed, ...] = ()
    """What it takes of other jobs."""
    fresh: int = 0
    """Over, or at its step `fresh_step`, before this, it would not last for what it is for: it is late, never that
    early."""
    fresh_step: int = -1
    """The step that must not begin before `fresh`; -1: it must not be over before."""
    fresh_grain: int = 1
    """Users that are later move `fresh` by whole multiples of this."""
    slack: int = 0
    """How long after its due it is needed: until then it is not late, but that is what slack is for."""
    lost_from: int | None = None
    """Over from then on it is of no use any more, and that costs `lost` besides; None: it always is of some."""
    lost: int = 0
    no_use_from: int | None = None
    """Over from then on it is of no use to anybody; None: it always is to some."""

    def at_fresh(self, begins: Sequence[int], end: int) -> int:
        """Of the moments of a chain the one that `fresh` is about."""
        return end if self.fresh_step < 0 else begins[self.fresh_step]

    def is_over(self, end: int) -> bool:
        """Whether all that it is for by itself is over by then; what only other jobs take is for nothing by itself."""
        return not self.weight if self.no_use_from is None else end >= self.no_use_from

    def lateness(self, end: int) -> int:
        """What it costs to be over then: what is of no use any more gets no later."""
        lost = self.lost_from is not None and end >= self.lost_from
        late = max(0, (max(self.lost_from or 0, self.due) if lost else end) - self.due - self.slack) * self.weight
        return late + self.lost if lost else late


Lanes = tuple[tuple[tuple[int, ...], ...], ...]
"""The lanes that are taken, by number: by step, by demand."""


class Booked(Struct, frozen=True, gc=False):
    """Where a job lies: the begin of each step and the lanes of each of its demands, and when it is over."""

    begins: tuple[int, ...]
    end: int
    lanes: Lanes
    wanted: int
    """When it would have to begin to be over in time; its begin, where that can be."""
