"""Orders: in which order jobs are placed, the urgent first; the best of a few is kept, then improved.

Everything is counted in placements, never in seconds, so that the same jobs give the same schedule on every machine.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from heapq import heappop, heappush
from operator import itemgetter

from prepboard.plan.placing.rivals import Rivals, unavoidable
from prepboard.plan.placing.schedule import Cost, Lying, Schedule

Key = Callable[[int], tuple[int, ...]]
Found = tuple[Cost, Lying]


def place_all(schedule: Schedule, wanted: Iterable[int], tries: int = 4, improving: int = 0, allowed: int = 0) -> Cost:
    """Places jobs in up to four orders, keeps the best schedule and spends `improving` placements on a better one.
    Lateness up to `allowed` is let be."""
    wanted = sorted(wanted)
    if not wanted:
        return schedule.cost()
    schedule.forget()
    empty, keys = schedule.lying(), _keys(schedule)
    best = _place(schedule, in_order(schedule, wanted, keys[0]))
    rivals = Rivals(schedule, wanted)
    if best[0] != (0, 0) and tries > 1:
        schedule.lay(empty)
        rivals.least = unavoidable(schedule, wanted)
    for key in keys[1:tries]:
        if best[0] == (rivals.lateness, 0):
            break
        schedule.lay(empty)
        best = min(best, _place(schedule, in_order(schedule, wanted, key)), key=itemgetter(0))
    best = _from_the_front(rivals, best, allowed)
    if improving and best[0][0] > rivals.lateness:
        best = _lift(rivals, best, empty, improving // 3)
    schedule.lay(best[1])
    if improving:
        rivals.improve(improving)
        _alike_in_order(schedule, wanted)
    return schedule.cost()


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
    schedule.forget()


def _from_the_front(rivals: Rivals, found: Found, allowed: int = 0) -> Found:
    rivals.schedule.lay(found[1])
    if rivals.schedule.late > allowed and rivals.late():
        rivals.from_the_front()
    return rivals.schedule.cost(), rivals.schedule.lying()


def _lift(rivals: Rivals, best: Found, empty: Lying, placements: int) -> Found:
    """Places all again and again, what came too late the last times before the rest."""
    schedule, wanted = rivals.schedule, rivals.wanted
    blame = dict.fromkeys(wanted, 0)
    by_due = _keys(schedule)[0]
    tried = [in_order(schedule, wanted, by_due)]
    until, lowest = schedule.placements + placements, None
    while schedule.placements < until and best[0][0] > rivals.lateness:
        for index in rivals.late():
            for root in rivals.roots(index):
                blame[root] += 1
        order = in_order(schedule, wanted, lambda index: (-blame[index], *by_due(index)))
        if order in tried:
            break
        tried.append(order)
        schedule.lay(empty)
        new = _place(schedule, order)
        if lowest is None or new[0] < lowest:
            lowest = new[0]
            best = min(best, _from_the_front(rivals, new), key=itemgetter(0))
    return best


def _place(schedule: Schedule, order: Sequence[int]) -> Found:
    for index in order:
        if schedule.booked[index] is None:
            schedule.place(index)
    return schedule.cost(), schedule.lying()


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


def _keys(schedule: Schedule) -> list[Key]:
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
