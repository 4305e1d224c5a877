"""Orders: in which order jobs are placed; the best of a few is kept, then improved.

Everything is counted in placements, never in seconds, so that the same jobs give the same schedule on every machine.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from heapq import heapify, heappop, heappush
from random import Random

from prepboard.plan.placing.schedule import Cost, Schedule

Key = Callable[[int], tuple[int, ...]]


def place_all(schedule: Schedule, wanted: Iterable[int], tries: int = 4, improving: int = 0, allowed: int = 0) -> Cost:
    """Places jobs in up to four orders, keeps the best schedule and spends `improving` placements on a better one.
    Lateness up to `allowed` is let be."""
    wanted = sorted(wanted)
    best: tuple[Cost, list[int]] | None = None
    mark = schedule.mark()
    for key in _keys(schedule)[: max(1, tries)]:
        order = in_order(schedule, wanted, key)
        schedule.go_back(mark)
        for index in order:
            if schedule.booked[index] is None:
                schedule.place(index)
        cost = schedule.cost()
        if best is None or cost < best[0]:
            best = cost, order
        if best[0] == (0, 0):
            break
    if best is None:
        return 0, 0
    if schedule.cost() != best[0]:
        schedule.go_back(mark)
        for index in best[1]:
            if schedule.booked[index] is None:
                schedule.place(index)
    schedule.forget()
    if schedule.late > allowed:
        _from_the_front(schedule, wanted)
    return improve(schedule, wanted, improving) if improving and schedule.cost() != (0, 0) else schedule.cost()


def _from_the_front(schedule: Schedule, wanted: Sequence[int], rounds: int = 3) -> None:
    """What hangs together with something late, or is in its way, is placed from the front, what is needed first first,
    and then pushed as late as it may be; again and again while that makes things better."""
    together = _with_late(schedule, wanted)
    by = {index: schedule.jobs[index].alone for index in together}
    for _ in range(rounds):
        if not together:
            return
        cost = schedule.cost()
        for index in together:
            schedule.take_out(index)
        _front_and_back(schedule, together, by)
        if schedule.cost() >= cost:
            schedule.go_back(0)
            return
        schedule.forget()
        by = {index: found.begins[0] for index in together if (found := schedule.booked[index]) is not None}


def _front_and_back(schedule: Schedule, together: Collection[int], by: Mapping[int, int]) -> None:
    """Places jobs as early as may be, givers first and by `by`, and pushes them as late as may be."""
    for index in _givers_first(schedule, together, by):
        if schedule.booked[index] is None:
            schedule.place_early(index)
    ends = {index: found.end for index in together if (found := schedule.booked[index]) is not None}
    for index in sorted(ends, key=lambda one: (-ends[one], one)):
        schedule.push_late(index)


def _with_late(schedule: Schedule, wanted: Sequence[int]) -> list[int]:
    """The jobs that are late, those in their way, and all that hang together with them by what they take."""
    members = set(wanted)
    near: dict[int, list[int]] = {index: [] for index in wanted}
    for user in wanted:
        for feed in schedule.jobs[user].feeds:
            if feed.giver in members:
                near[user].append(feed.giver)
                near[feed.giver].append(user)
    late = [index for index in wanted if schedule.costs[index][0]]
    look = late + [rival for index in late for rival in _rivals(schedule, wanted, index)]
    found: set[int] = set()
    while look:
        index = look.pop()
        if index not in found:
            found.add(index)
            look += near[index]
    return sorted(found)


def _givers_first(schedule: Schedule, members: Collection[int], by: Mapping[int, int]) -> list[int]:
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


def improve(schedule: Schedule, wanted: Sequence[int], placements: int) -> Cost:
    """Takes a costly job out with what it takes and up to two rivals, and places them again; keeps what is no worse."""
    chance = Random(len(wanted))
    until = schedule.placements + placements
    cost = schedule.cost()
    members = set(wanted)
    schedule.forget()
    idle = 0
    while schedule.placements < until and cost != (0, 0) and idle < placements // 8 + 20:
        out = _pick(schedule, wanted, members, chance)
        if not out:
            break
        everyone = set().union(*out)
        for index in sorted(everyone):
            schedule.take_out(index)
        if chance.random() < 0.5:
            _front_and_back(schedule, everyone, {index: chance.randrange(1000) for index in sorted(everyone)})
        else:
            chance.shuffle(out)
            for group in out:
                for index in sorted(group):
                    if schedule.booked[index] is None:
                        schedule.place(index)
        new = schedule.cost()
        idle = 0 if new < cost else idle + len(everyone)
        if new <= cost:
            cost = new
            schedule.forget()
        else:
            schedule.go_back(0)
    return cost


def _pick(schedule: Schedule, wanted: Sequence[int], members: set[int], chance: Random) -> list[set[int]]:
    """A costly job and up to two that are in its way, each with what it takes."""
    late = [index for index in wanted if schedule.costs[index][0]]
    early = [index for index in wanted if schedule.costs[index][1]]
    costly = late if late and (not early or chance.random() < 0.6) else early
    if not costly:
        return []
    first = chance.choice(costly)
    rivals = _rivals(schedule, wanted, first)
    out = [first, *chance.sample(rivals, min(len(rivals), chance.randrange(3)))]
    return [_with_givers(schedule, index, members) for index in out]


def _rivals(schedule: Schedule, wanted: Sequence[int], index: int) -> list[int]:
    """Jobs that take of the same pools while this one should be, or is, at work."""
    begin, end = _reach(schedule, index)
    pools = _pools(schedule, index)
    return [
        other
        for other in wanted
        if other != index
        and (found := schedule.booked[other]) is not None
        and found.begins[0] < end
        and found.end > begin
        and not pools.isdisjoint(_pools(schedule, other))
    ]


def _reach(schedule: Schedule, index: int) -> tuple[int, int]:
    """The span of time in which another job may be in this one's way."""
    job, booked = schedule.jobs[index], schedule.booked[index]
    begin = min(job.alone, booked.begins[0]) if booked else job.alone
    return begin, max(job.due, booked.end if booked else 0)


def _pools(schedule: Schedule, index: int) -> frozenset[int]:
    found = schedule.pools.get(index)
    if found is None:
        steps = schedule.jobs[index].steps
        found = schedule.pools[index] = frozenset(id(demand.pool) for step in steps for demand in step.demands)
    return found


def _with_givers(schedule: Schedule, index: int, members: set[int], most: int = 8) -> set[int]:
    found, look = {index}, [index]
    while look and len(found) < most:
        for feed in schedule.jobs[look.pop()].feeds:
            if feed.giver in members and feed.giver not in found and len(found) < most:
                found.add(feed.giver)
                look.append(feed.giver)
    return found
