"""Orders: in which order jobs are placed, the urgent first; the best of a few is kept, then improved.

Everything is counted in placements, never in seconds, so that the same jobs give the same schedule on every machine.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from operator import attrgetter

from prepboard.plan.solver.bettering import FEW, better, from_the_front
from prepboard.plan.solver.in_turn import InTurn
from prepboard.plan.solver.rivals import Rivals, unavoidable
from prepboard.plan.solver.schedule import Cost, Schedule
from prepboard.plan.solver.which_first import in_order, keys_of

MUCH_TOO_EARLY = 60
"""Steps of time."""
MANY = 80
"""With more jobs than this it takes too long to look at some of them again."""


def place_all(schedule: Schedule, wanted: Iterable[int], tries: int = 4, improving: int = 0, allowed: int = 0) -> Cost:
    """Places jobs in up to four orders, keeps the best schedule and spends about `improving` placements on a better
    one. Lateness up to `allowed` is let be."""
    wanted = sorted(wanted)
    if not wanted:
        return schedule.cost()
    in_turn, keys = InTurn(schedule, wanted, marked=improving > 0), keys_of(schedule)
    best = in_turn.place(in_order(schedule, wanted, keys[0]))
    rivals = Rivals(schedule, wanted)
    if best.cost != (0, 0) and tries > 1:
        schedule.restore(in_turn.empty)
        rivals.least = unavoidable(schedule, wanted)
    for key in keys[1:tries]:
        if best.cost == (rivals.lateness, 0):
            break
        best = min(best, in_turn.place(in_order(schedule, wanted, key)), key=attrgetter("cost"))
    best = from_the_front(rivals, in_turn, best, allowed)
    if improving:
        best = better(rivals, in_turn, best, improving)
    schedule.restore(best.snapshot[-1])
    if FEW < len(wanted) <= MANY and improving:
        _make_room(schedule, rivals, improving)
    if improving:
        _alike_in_order(schedule, wanted)
    return schedule.cost()


def _make_room(schedule: Schedule, rivals: Rivals, improving: int) -> None:
    """Of many jobs the one that begins furthest before it must, with all in time that is in its way, is placed again as
    few jobs are: a long one that begins the evening before frees the morning for several."""
    costs = schedule.costs
    early = [index for index in rivals.wanted if costs[index][1] >= MUCH_TOO_EARLY and not costs[index][0]]
    if not early:
        return
    first = rivals.with_givers(max(early, key=lambda one: (costs[one][1], -one)))
    together = first.union(*(rivals.with_givers(one) for one in rivals.of(first, wished=True)))
    together.update(set(early).intersection(rivals.of(together)))
    together = {index for index in together if not costs[index][0]}
    if len(together) > FEW:
        return
    cost, snapshot = schedule.cost(), schedule.snapshot()
    for index in sorted(together):
        schedule.take_out(index)
    place_all(schedule, together, improving=improving)
    if schedule.cost() >= cost:
        schedule.restore(snapshot)


def _alike_in_order(schedule: Schedule, wanted: Sequence[int]) -> None:
    """Of jobs that are the same but for their number the first begins first, so that no chance shows in who does."""
    alike: dict[Hashable, list[int]] = {}
    for index in wanted:
        if schedule.booked[index] is not None:
            alike.setdefault((schedule.jobs[index], tuple(schedule.users[index])), []).append(index)
    for members in alike.values():
        booked = [found for index in members if (found := schedule.booked[index]) is not None]
        in_time = sorted(booked, key=lambda one: (one.begins, one.lanes))
        if in_time != booked:
            for index in members:
                schedule.take_out(index)
            for index, was in zip(members, in_time, strict=True):
                schedule.book(index, was.begins, was.lanes, was.wanted)
