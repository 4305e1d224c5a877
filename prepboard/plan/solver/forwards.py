"""Forwards: jobs placed as early as may be, givers before users, in an order that may be changed here and there.

What is late is over soonest that way, whatever else was wanted. Two ways lead from one order to the next: jobs are
moved in it, what is late ahead of others; or a step that holds up something late waits until that is through. What was
placed before the first change stays placed, and an order is given up as soon as more is late than before.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from random import Random

from msgspec import Struct

from prepboard.plan.solver.jobs import Booked
from prepboard.plan.solver.schedule import Schedule, Snapshot
from prepboard.plan.solver.searching import moved
from prepboard.plan.solver.which_first import givers_first

WAITS = 0.5
"""How often a step waits for what it holds up, rather than that the order is changed."""
AHEAD = 0.5
"""How often, where the order is changed, something late is put ahead of others, rather than anything anywhere."""

Floors = Mapping[int, tuple[int, ...]]
"""Before when steps of a job may not begin, by job, by step."""


class Forward(Struct, frozen=True, gc=False):
    """Jobs placed forwards in an order, and how everything lay before each, and at last."""

    cost: int
    """Its lateness."""
    order: list[int]
    floors: Floors
    snapshot: list[Snapshot]


class Forwards:
    """Some jobs of a schedule, begun with in the order in which they lie; `empty` is how it lies without them."""

    def __init__(
        self, schedule: Schedule, wanted: Collection[int], empty: Snapshot, least: Mapping[int, int] | None = None
    ) -> None:
        """`least` is the lateness by job that is known to be unavoidable."""
        self.schedule, self.wanted, self.empty, self.least = schedule, wanted, empty, least or {}
        members, jobs = set(wanted), schedule.jobs
        self._users = {index: sorted({user for user, _ in schedule.users[index]} & members) for index in members}
        self._givers = {index: sorted({feed.giver for feed in jobs[index].feeds} & members) for index in members}
        booked = schedule.booked
        begins = {index: found.begins[0] for index in wanted if (found := booked[index]) is not None}
        self._begin_with = givers_first(schedule, wanted, begins)

    def first(self, chance: Random | None) -> Forward:
        order = self._begin_with if chance is None else moved(self._begin_with, self._givers, self._users, chance)
        found = self._go_on(order, {}, [self.empty], None)
        assert found is not None
        return found

    def near(self, placed: Forward, chance: Random) -> Forward | None:
        order, floors = placed.order, placed.floors
        if chance.random() < WAITS:
            floors = self._waiting(placed, chance)
        elif chance.random() < AHEAD:
            order = self._ahead(placed, chance)
        else:
            order = moved(order, self._givers, self._users, chance)
        for number, index in enumerate(order):
            if index != placed.order[number] or floors.get(index) != placed.floors.get(index):
                return self._go_on(order, floors, placed.snapshot[: number + 1], placed.cost)
        return None

    def _late(self, placed: Forward) -> list[int]:
        """Jobs that are later than they must be."""
        costs = placed.snapshot[-1].costs
        return [index for index in placed.order if costs[index][0] > self.least.get(index, 0)]

    def _ahead(self, placed: Forward, chance: Random) -> list[int]:
        """The order with a late job, and what it takes, put ahead of some others; once or twice."""
        order, late = placed.order[:], self._late(placed)
        for _ in range(1 + chance.randrange(2) if late else 0):
            last = order.index(chance.choice(late))
            first = chance.randrange(last + 1)
            together = set(self._with_givers(order[last]))
            order[first : last + 1] = sorted(order[first : last + 1], key=lambda index: index not in together)
        return order

    def _waiting(self, placed: Forward, chance: Random) -> Floors:
        """The floors with one more: a step that holds up a late job, or what that takes, waits for it."""
        late = self._late(placed)
        look = self._with_givers(chance.choice(late)) if late else []
        found = [held for index in look for held in self._held_up(index, placed.snapshot[-1].booked)]
        if not found:
            return placed.floors
        other, step, until = chance.choice(found)
        floors = list(placed.floors.get(other) or [0] * len(self.schedule.jobs[other].steps))
        floors[step] = until
        return {**placed.floors, other: tuple(floors)}

    def _with_givers(self, index: int) -> list[int]:
        found = [index]
        for one in found:
            found += [giver for giver in self._givers[one] if giver not in found]
        return found

    def _held_up(self, index: int, booked: Sequence[Booked | None]) -> Iterator[tuple[int, int, int]]:
        """What holds up each step of a job that begins later than the one before it allows: (job, step, when this one
        would be through if it went first)."""
        lies, soonest = booked[index], 0
        if lies is None:
            return
        for step, begin in zip(self.schedule.jobs[index].steps, lies.begins, strict=True):
            pools = {id(demand.pool) for demand in step.demands}
            for other in self.wanted if begin > soonest and pools else ():
                there = booked[other]
                if other != index and there is not None and there.begins[0] < begin and there.end > soonest:
                    for number, since in self._between(other, there, pools, soonest, begin):
                        yield other, number, max(soonest, since) + step.span
                        yield other, number, max(soonest, since) + step.head
            soonest = begin + step.span

    def _between(
        self, other: int, there: Booked, pools: set[int], soonest: int, begin: int
    ) -> Iterator[tuple[int, int]]:
        """The steps of another job, with their begins, that take of the same pools between two moments."""
        ends = (*there.begins[1:], there.end)
        for number, (step, since, until) in enumerate(
            zip(self.schedule.jobs[other].steps, there.begins, ends, strict=True)
        ):
            over = max([since + step.head, *(until for demand in step.demands if demand.whole)])
            if since < begin and over > soonest and not pools.isdisjoint(id(demand.pool) for demand in step.demands):
                yield number, since

    def _go_on(
        self, order: Sequence[int], floors: Floors, snapshot: list[Snapshot], most: int | None
    ) -> Forward | None:
        """Places the jobs of an order after those that lie already; None once more than `most` is late."""
        schedule = self.schedule
        schedule.restore(snapshot[-1])
        to_come = sum(self.least.get(index, 0) for index in order[len(snapshot) - 1 :])
        for index in order[len(snapshot) - 1 :]:
            to_come -= self.least.get(index, 0)
            if schedule.booked[index] is None:
                schedule.place_early(index, floors.get(index))
                if most is not None and schedule.cost()[0] + to_come > most:
                    return None
            snapshot.append(schedule.snapshot())
        return Forward(schedule.cost()[0], list(order), floors, snapshot)
