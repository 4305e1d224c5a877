"""Putting off: jobs that begin earlier than they must are placed again, later, with some of those in their way.

Where a job would begin if only what was there before were, others are in its way. In turn some of them are taken out
with it and placed again around it, and a better order is sought for all that are in each other's way; what is no worse
is kept. What is late is taken out in turn, too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice
from math import isqrt
from random import Random

from prepboard.plan.solver.chains import earliest_chain, latest_chain
from prepboard.plan.solver.in_turn import InTurn
from prepboard.plan.solver.jobs import PoolUse
from prepboard.plan.solver.rivals import Rivals
from prepboard.plan.solver.schedule import Snapshot
from prepboard.plan.solver.searching import search
from prepboard.plan.solver.which_first import last_first

ROUNDS = 2
"""So often a few are placed again, and then a better order is sought."""
MOST_OUT = 3
"""Jobs in its way that are taken out with one, at most."""
LATE = 0.5
"""How often something late is taken out, where something is."""
WITH_GIVERS, FURTHER, FIRST, FORWARDS = 0.5, 0.5, 0.6, 0.15
"""How often a job is taken out with what it takes; something else is that is in the way of one in the way; the one that
is early is placed first; all are placed forwards."""
FEW = 30
"""For more jobs than this no better order is sought at once."""


class PuttingOff:
    """Some jobs of a schedule, all of them booked that fit; `empty` is how it lies without them."""

    def __init__(self, rivals: Rivals, empty: Snapshot) -> None:
        self.rivals, self.schedule, self.empty = rivals, rivals.schedule, empty
        self.wanted = [index for index in rivals.wanted if self.schedule.booked[index] is not None]
        self._takers: dict[int, list[tuple[int, int, PoolUse]]] = {}
        """Pool -> who takes of it: the job, which of its steps, and how."""
        self._known: dict[tuple[int, int], list[int] | None] = {}
        """Where a job would lie alone, by when it should be over."""
        for index in self.wanted:
            for number, step in enumerate(self.schedule.jobs[index].steps):
                for demand in step.demands:
                    self._takers.setdefault(id(demand.pool), []).append((index, number, demand))

    def put_off(self, placements: int) -> None:
        """Spends about so many placements, the same each time. What is no better in the end lies as it lay."""
        chance, schedule = Random(len(self.wanted)), self.schedule
        cost, lay = schedule.cost(), schedule.snapshot()
        for _ in range(ROUNDS):
            if self._early() or self.rivals.late():
                self._a_few(placements // (2 * ROUNDS), chance)
                self._in_order(placements // (2 * ROUNDS), chance)
        if schedule.cost() == cost:
            schedule.restore(lay)

    def _early(self) -> list[int]:
        costs = self.schedule.costs
        return [index for index in self.wanted if costs[index][1]]

    def _a_few(self, placements: int, chance: Random) -> None:
        """Takes out an early job and some that are in its way, and places them again; keeps what is no worse."""
        schedule = self.schedule
        until, cost, snapshot = schedule.placements + placements, schedule.cost(), schedule.snapshot()
        # One that could not lie later anyway costs no placement: tries are counted too.
        for _ in range(placements):
            first = self._costly(chance)
            if first is None or schedule.placements >= until:
                break
            out = self._out_with(first, chance)
            if out:
                self._again(out, chance)
                if schedule.cost() <= cost:
                    cost, snapshot = schedule.cost(), schedule.snapshot()
                else:
                    schedule.restore(snapshot)

    def _costly(self, chance: Random) -> int | None:
        """One that is later than it must be, or early: rather one that is much too early."""
        late, early = self.rivals.late(), self._early()
        if late and (not early or chance.random() < LATE):
            return chance.choice(late)
        weights = [isqrt(self.schedule.costs[index][1]) for index in early]
        return chance.choices(early, weights)[0] if early else None

    def _out_with(self, first: int, chance: Random) -> list[int]:
        """The job, some that are in its way, and perhaps one that is in the way of one of these."""
        alone = self._alone(first)
        if alone is None:
            return []
        out, others = [first], self._in_way(first, alone)
        out += chance.sample(others, min(len(others), 1 + chance.randrange(MOST_OUT)))
        if len(out) > 1 and chance.random() < FURTHER:
            other = chance.choice(out[1:])
            alone = self._alone(other)
            further = [one for one in self._in_way(other, alone) if one not in out] if alone else []
            out += [chance.choice(further)] if further else []
        return out

    def _again(self, out: Sequence[int], chance: Random) -> None:
        """Takes jobs out, some with what they take, and places them in a drawn order."""
        schedule = self.schedule
        groups = [sorted(self.rivals.with_givers(index)) if chance.random() < WITH_GIVERS else [index] for index in out]
        everyone = sorted(set().union(*groups))
        for index in everyone:
            schedule.take_out(index)
        if chance.random() < FORWARDS:
            self.rivals.front_and_back(everyone, {index: chance.randrange(1000) for index in everyone})
            return
        first, others = (groups[:1], groups[1:]) if chance.random() < FIRST else ([], groups)
        chance.shuffle(others)
        for index in (index for group in (*first, *others) for index in group):
            if schedule.booked[index] is None:
                schedule.place(index)

    def _alone(self, index: int) -> list[int] | None:
        """When a job's steps would begin if of the others only its users were there; as soon as can be where it cannot
        be in time."""
        schedule = self.schedule
        key = index, schedule.due(index)
        if key not in self._known:
            now = schedule.snapshot()
            schedule.restore(self.empty)
            job, blocks = schedule.jobs[index], schedule.blocks(index)
            begins = latest_chain(blocks, key[1])
            if begins is None or any(begin < after for begin, after in zip(begins, job.after, strict=True)):
                begins = earliest_chain(blocks, job.after, schedule.length)
            self._known[key] = begins
            schedule.restore(now)
        return self._known[key]

    def _in_way(self, index: int, begins: Sequence[int]) -> list[int]:
        """Jobs that take something of the same pools at which a job would, if its steps began then."""
        job, found = self.schedule.jobs[index], dict[int, None]()
        end = begins[-1] + job.steps[-1].span
        for step, begin, until in zip(job.steps, begins, (*begins[1:], end), strict=True):
            for demand in step.demands:
                over = until if demand.whole else begin + step.head
                for other, since, there in self._taken(demand):
                    if other != index and since < over and there > begin:
                        found[other] = None
        return list(found)

    def _taken(self, demand: PoolUse) -> Iterator[tuple[int, int, int]]:
        """(job, since, until) of all that take of a demand's pool."""
        for index, number, other in self._takers[id(demand.pool)]:
            there = self.schedule.booked[index]
            if there is not None:
                since, following = there.begins[number], (*there.begins[number + 1 :], there.end)[0]
                head = self.schedule.jobs[index].steps[number].head
                yield index, since, following if other.whole else since + head

    def _in_order(self, placements: int, chance: Random) -> None:
        """Places all that are in each other's way in other orders; what is late stays where it is."""
        schedule, together = self.schedule, self._together()
        if len(together) < 2 or not self._early():
            return
        best, snapshot = schedule.cost(), schedule.snapshot()
        order = last_first(schedule, together)
        for index in together:
            schedule.take_out(index)
        in_turn, until = InTurn(schedule, together, marked=True), schedule.placements + placements
        in_turn.begin_with = in_turn.place(order)
        # An order may come out unchanged: tries are counted too.
        for found in islice(search(in_turn, chance), placements):
            if found.cost < best:
                best, snapshot = found.cost, found.snapshot[-1]
            if schedule.placements >= until:
                break
        schedule.restore(snapshot)

    def _together(self) -> list[int]:
        """Jobs in time: of many those that are furthest too early, with all that is in their way and what they take."""
        costs, rivals = self.schedule.costs, self.rivals
        in_time = [index for index in self.wanted if not costs[index][0]]
        if len(in_time) <= FEW:
            return in_time
        found: set[int] = set()
        for index in sorted(self._early(), key=lambda one: (-costs[one][1], one)):
            first = rivals.with_givers(index)
            more = found.union(first, *(rivals.with_givers(one) for one in rivals.of(first, wished=True)))
            more = {one for one in more if not costs[one][0]}
            if len(more) <= FEW:
                found = more
        return sorted(found)
