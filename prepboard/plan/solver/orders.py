"""Orders: in which order jobs are placed, the urgent first; the best of a few is kept, then improved.

Everything is counted in placements, never in seconds, so that the same jobs give the same schedule on every machine.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from operator import attrgetter

from prepboard.plan.solver.bettering import FEW, better, from_the_front
from prepboard.plan.solver.in_turn import InOrder, InTurn
from prepboard.plan.solver.putting_off import PuttingOff
from prepboard.plan.solver.rivals import Rivals, unavoidable
from prepboard.plan.solver.schedule import Cost, Schedule, Snapshot
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
    rivals, in_turn = Rivals(schedule, wanted), InTurn(schedule, wanted, marked=improving > 0)
    best = _in_orders(rivals, in_turn, tries, improving, allowed)
    schedule.restore(best.snapshot[-1])
    if improving:
        if FEW < len(wanted) <= MANY:
            _make_room(schedule, rivals, improving)
        if len(wanted) <= MANY:
            _put_off(rivals, in_turn.empty, improving)
        _alike_in_order(schedule, wanted)
    return schedule.cost()


def _in_orders(rivals: Rivals, in_turn: InTurn, tries: int, improving: int, allowed: int = 0) -> InOrder:
    """The best of so many orders, bettered."""
    schedule, wanted, keys = rivals.schedule, rivals.wanted, keys_of(rivals.schedule)
    rivals.before = schedule.cost()[0]
    best = in_turn.place(in_order(schedule, wanted, keys[0]))
    if best.cost != (0, 0) and tries > 1:
        schedule.restore(in_turn.empty)
        rivals.least = unavoidable(schedule, wanted)
    for key in keys[1:tries]:
        if best.cost == (rivals.lateness, 0):
            break
        best = min(best, in_turn.place(in_order(schedule, wanted, key)), key=attrgetter("cost"))
    best = from_the_front(rivals, in_turn, best, allowed)
    return better(rivals, in_turn, best, improving) if improving else best


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
    again = sorted(together)
    best = _in_orders(Rivals(schedule, again), InTurn(schedule, again, marked=True), 4, improving)
    schedule.restore(best.snapshot[-1] if best.cost < cost else snapshot)


def _put_off(rivals: Rivals, empty: Snapshot, improving: int) -> None:
    """What begins earlier than it must is put off; what is of no use to anybody any more comes after all that, around
    it and as soon as it can; where others would be later so that what it takes lasts for it, that need not."""
    schedule = rivals.schedule
    cost, snapshot, need_not_last = schedule.cost(), schedule.snapshot(), schedule.need_not_last
    over = useless(schedule, rivals.wanted)
    of_others = _late_but(schedule, over)
    for index in over:
        schedule.take_out(index)
    PuttingOff(rivals, empty).put_off(improving)
    if over:
        by, without = {index: schedule.jobs[index].due for index in over}, schedule.snapshot()
        rivals.front_and_back(over, by)
        if schedule.cost()[0] <= cost[0]:
            return
        schedule.restore(without)
        schedule.need_not_last = {*need_not_last, *over}
        rivals.front_and_back(over, by)
        if schedule.cost()[0] >= cost[0] or _late_but(schedule, over) >= of_others:
            schedule.need_not_last = need_not_last
            schedule.restore(snapshot)
            PuttingOff(rivals, empty).put_off(improving)


def _late_but(schedule: Schedule, some: Sequence[int]) -> int:
    """What the lateness of all others costs."""
    return schedule.late - sum(schedule.costs[index][0] for index in some)


def useless(schedule: Schedule, wanted: Sequence[int]) -> list[int]:
    """Those that are over when nobody has any use for them, and those that only they take; users come before givers."""
    found: set[int] = set()
    for index in wanted:
        lies = schedule.booked[index]
        if lies is not None and schedule.jobs[index].is_over(lies.end):
            users = {user for user, _ in schedule.users[index]}
            if found.issuperset(users) and (users or schedule.jobs[index].no_use_from is not None):
                found.add(index)
    return sorted(found)


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
