"""In turn: jobs placed one after the other, users before givers, in an order that may be changed here and there.

What was placed before the first change stays placed, and an order is given up as soon as it costs more than the best.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from random import Random

from msgspec import Struct

from prepboard.plan.solver.schedule import Cost, Schedule, Snapshot
from prepboard.plan.solver.searching import moved

AHEAD = 0.7
"""How often something costly is put ahead of others, rather than anything anywhere."""


FEW = 5
"""Of so many jobs the orders are few."""


class InOrder(Struct, frozen=True, gc=False):
    """Jobs placed in an order, and how everything lay before each, if that was asked for, and at last."""

    cost: Cost
    order: list[int]
    snapshot: list[Snapshot]


class InTurn:
    """Some jobs of a schedule in which none of them is booked yet; to be changed here and there when `marked`."""

    def __init__(self, schedule: Schedule, wanted: Collection[int], marked: bool) -> None:
        self.schedule, self.marked = schedule, marked
        self.begin_with: InOrder | None = None
        self._found: dict[tuple[int, ...], InOrder] = {}
        """What an order of a few came to first."""
        self._known: dict[tuple[int, ...], tuple[InOrder, InOrder | None, int, Snapshot]] = {}
        """Beginning with one placed in an order, itself kept here: what another order came to, its placements, and how
        everything lay then."""
        self.empty = schedule.snapshot()
        members, jobs = set(wanted), schedule.jobs
        self._users = {index: sorted({user for user, _ in schedule.users[index]} & members) for index in members}
        self._givers = {index: sorted({feed.giver for feed in jobs[index].feeds} & members) for index in members}

    def place(self, order: list[int]) -> InOrder:
        found = self._go_on(order, [self.empty], None)
        assert found is not None
        return found

    def as_it_lies(self, order: list[int], marks: Sequence[Snapshot] = ()) -> InOrder:
        """How everything lies now, wherever that comes from, as if it came from an order."""
        return InOrder(self.schedule.cost(), order, [*marks, self.schedule.snapshot()])

    def first(self, chance: Random | None) -> InOrder:
        assert self.begin_with is not None
        if chance is None:
            return self.begin_with
        return self.place(moved(self.begin_with.order, self._users, self._givers, chance))

    def near(self, placed: InOrder, chance: Random) -> InOrder | None:
        if chance.random() < AHEAD:
            order = self._ahead(placed, chance)
        else:
            order = moved(placed.order, self._users, self._givers, chance)
        changed = (number for number, index in enumerate(order) if index != placed.order[number])
        first = next(changed, None)
        if first is None:
            return None
        base = placed.snapshot[: first + 1]
        return self._go_on(order, base, placed.cost) if len(order) > FEW else self._again(placed, order, base)

    def _again(self, placed: InOrder, order: list[int], base: list[Snapshot]) -> InOrder | None:
        """The same of a few jobs, whose orders come again and again: each is placed once, and counted each time."""
        schedule, key = self.schedule, (id(placed), *order)
        known = self._known.get(key)
        if known is None:
            before = schedule.placements
            found = self._go_on(order, base, placed.cost)
            if found is not None:
                same = self._found.setdefault(tuple(order), found)
                found = same if same == found else found
            self._known[key] = placed, found, schedule.placements - before, schedule.snapshot()
            return found
        _placed, found, placements, lies = known
        schedule.placements += placements
        schedule.restore(lies)
        return found

    def _ahead(self, placed: InOrder, chance: Random) -> list[int]:
        """The order with one or two costly jobs, and what must come before them, put ahead of some others."""
        order, costs = placed.order[:], placed.snapshot[-1].costs
        costly = [number for number, index in enumerate(order) if number and costs[index] != (0, 0)]
        late = [number for number in costly if costs[order[number]][0]]
        if late and chance.random() < 0.5:
            costly = late
        for _ in range(1 + chance.randrange(2) if costly else 0):
            last = chance.choice(costly)
            first = chance.randrange(last)
            together = {order[last]}
            for index in order[last - 1 : first - 1 if first else None : -1]:
                if together.intersection(self._givers[index]):
                    together.add(index)
            part = order[first : last + 1]
            order[first : last + 1] = sorted(part, key=lambda index: index not in together)
        return order

    def _go_on(self, order: list[int], snapshot: list[Snapshot], limit: Cost | None) -> InOrder | None:
        """Places the jobs of an order after those that lie already; None once that costs more than `limit`."""
        schedule = self.schedule
        schedule.restore(snapshot[-1])
        for index in order[len(snapshot) - 1 :]:
            if schedule.booked[index] is None:
                schedule.place(index)
                if limit is not None and schedule.cost() > limit:
                    return None
            if self.marked:
                snapshot.append(schedule.snapshot())
        return InOrder(schedule.cost(), order, snapshot if self.marked else [schedule.snapshot()])
