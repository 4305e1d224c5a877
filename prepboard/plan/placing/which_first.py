"""Which first: orders in which jobs are placed, users before givers or the other way round."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from heapq import heapify, heappop, heappush

from prepboard.plan.placing.schedule import Schedule

Key = Callable[[int], tuple[int, ...]]


def in_order(schedule: Schedule, wanted: Sequence[int], key: Key) -> list[int]:
    """Every job after all its users: those due by themselves by `key`, each followed by what it takes."""
    members = set(wanted)
    waiting = {index: len({user for user, _ in schedule.users[index]} & members) for index in wanted}
    roots = sorted((index for index in wanted if not waiting[index]), key=key)
    order: list[int] = []
    heap: list[tuple[int, int]] = []
    for root in roots:
        heappush(heap, (0, root))
        while heap:
            _, index = heappop(heap)
            order.append(index)
            for giver in sorted({feed.giver for feed in schedule.jobs[index].feeds} & members):
                waiting[giver] -= 1
                if not waiting[giver]:
                    heappush(heap, (-schedule.jobs[giver].due, giver))
    return order


def keys_of(schedule: Schedule) -> list[Key]:
    """Earliest due; earliest to begin when alone; unavoidably late first; biggest first."""
    jobs = schedule.jobs

    def due(index: int) -> tuple[int, ...]:
        return jobs[index].due, -jobs[index].weight, index

    def begin(index: int) -> tuple[int, ...]:
        return jobs[index].alone, *due(index)

    def late(index: int) -> tuple[int, ...]:
        return min(0, jobs[index].alone - max(jobs[index].after)), *due(index)

    def big(index: int) -> tuple[int, ...]:
        return -sum(step.span for step in jobs[index].steps), *due(index)

    return [due, begin, late, big]


def last_first(schedule: Schedule, wanted: Sequence[int]) -> list[int]:
    """Every job after all its users, otherwise as they lie: what is over last first."""
    members = set(wanted)
    ends = {index: found.end if (found := schedule.booked[index]) else 0 for index in wanted}
    waiting = {index: len({user for user, _ in schedule.users[index]} & members) for index in wanted}
    heap = [(-ends[index], index) for index in wanted if not waiting[index]]
    heapify(heap)
    order = []
    while heap:
        _, index = heappop(heap)
        order.append(index)
        for giver in sorted({feed.giver for feed in schedule.jobs[index].feeds} & members):
            waiting[giver] -= 1
            if not waiting[giver]:
                heappush(heap, (-ends[giver], giver))
    return order


def givers_first(schedule: Schedule, members: Collection[int], by: Mapping[int, int]) -> list[int]:
    """Every job after all that it takes; of those that may come next the lowest in `by`."""
    inside = set(members)
    waiting = {index: len({feed.giver for feed in schedule.jobs[index].feeds} & inside) for index in members}
    heap = [(by.get(index, 0), index) for index in members if not waiting[index]]
    heapify(heap)
    order = []
    while heap:
        _, index = heappop(heap)
        order.append(index)
        for user in sorted({user for user, _ in schedule.users[index]} & inside):
            waiting[user] -= 1
            if not waiting[user]:
                heappush(heap, (by.get(user, 0), user))
    return order
