"""Which first: orders in which jobs are placed, users before givers or the other way round."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from functools import partial
from heapq import heapify, heappop, heappush

from prepboard.plan.solver.schedule import Schedule

Key = Callable[[int], tuple[int, ...]]


def in_order(schedule: Schedule, wanted: Sequence[int], key: Key) -> list[int]:
    """Every job after all its users: those due by themselves by `key`, each followed by what it takes."""
    members = set(wanted)
    waiting = {index: len(_users(schedule, index, members)) for index in wanted}
    roots = sorted((index for index in wanted if not waiting[index]), key=key)
    follows = partial(_givers, schedule, members=members)
    return [
        index for root in roots for index in _one_by_one([root], waiting, follows, lambda job: -schedule.jobs[job].due)
    ]


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
    waiting = {index: len(_users(schedule, index, members)) for index in wanted}
    first = [index for index in wanted if not waiting[index]]
    return list(_one_by_one(first, waiting, partial(_givers, schedule, members=members), lambda index: -ends[index]))


def givers_first(schedule: Schedule, members: Collection[int], by: Mapping[int, int]) -> list[int]:
    """Every job after all that it takes; of those that may come next the lowest in `by`."""
    inside = set(members)
    waiting = {index: len(_givers(schedule, index, inside)) for index in members}
    first = [index for index in members if not waiting[index]]
    return list(_one_by_one(first, waiting, partial(_users, schedule, members=inside), lambda index: by.get(index, 0)))


def _users(schedule: Schedule, index: int, members: set[int]) -> set[int]:
    return {user for user, _ in schedule.users[index]} & members


def _givers(schedule: Schedule, index: int, members: set[int]) -> set[int]:
    return {feed.giver for feed in schedule.jobs[index].feeds} & members


def _one_by_one(
    first: Sequence[int], waiting: dict[int, int], follows: Callable[[int], set[int]], by: Callable[[int], int]
) -> Iterator[int]:
    """Jobs, each once all that it is `waiting` for have come; of those that may come next the lowest in `by`."""
    heap = [(by(index), index) for index in first]
    heapify(heap)
    while heap:
        _, index = heappop(heap)
        yield index
        for other in follows(index):
            waiting[other] -= 1
            if not waiting[other]:
                heappush(heap, (by(other), other))
