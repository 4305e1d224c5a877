"""Rivals: jobs in each other's way are taken out together and placed again, what is late or costly first.

A job pushes nothing by itself that was placed before it. So what comes too late, or too early, is taken out with what
it takes and with some of those that hold what it needs when it needs it; the others find room around it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from random import Random

from prepboard.plan.solver.chains import earliest_chain
from prepboard.plan.solver.schedule import HOMELESS, Cost, Schedule, Snapshot
from prepboard.plan.solver.which_first import givers_first

MOST_TOGETHER = 8
"""Jobs that are taken out with one because it takes them."""


def unavoidable(schedule: Schedule, wanted: Collection[int]) -> dict[int, int]:
    """Lateness by job that no schedule avoids: each as early as what is booked now and its givers let it be, by
    itself."""
    ends: dict[int, int] = {}
    least = {}
    for index in givers_first(schedule, wanted, {}):
        job = schedule.jobs[index]
        after = list(job.after)
        for feed in job.feeds:
            giver = schedule.booked[feed.giver]
            end = giver.end if giver else ends.get(feed.giver, 0)
            after[feed.step] = max(after[feed.step], end + feed.lag)
        begins = earliest_chain(schedule.blocks(index), after, schedule.length)
        ends[index] = begins[-1] + job.steps[-1].span if begins else 0
        least[index] = job.lateness(ends[index]) if begins else HOMELESS
    return least


class Rivals:
    """Some jobs of a schedule, and who is in whose way."""

    def __init__(self, schedule: Schedule, wanted: Sequence[int]) -> None:
        self.schedule, self.wanted = schedule, wanted
        self.least: Mapping[int, int] = {}
        """Lateness by job that is known to be unavoidable."""
        self.before = 0
        """What lateness costs of what is booked besides."""
        self.members = set(wanted)
        self._takers: dict[int, list[int]] = {}
        """Pool -> jobs that take of it."""
        self._pools: dict[int, frozenset[int]] = {}
        for index in wanted:
            steps = schedule.jobs[index].steps
            self._pools[index] = frozenset(id(demand.pool) for step in steps for demand in step.demands)
            for pool in self._pools[index]:
                self._takers.setdefault(pool, []).append(index)

    @property
    def lateness(self) -> int:
        """What is known to be unavoidable of all."""
        return self.before + sum(self.least.values())

    def late(self) -> list[int]:
        """Jobs that are later than they must be."""
        costs, least = self.schedule.costs, self.least
        return [index for index in self.wanted if costs[index][0] > least.get(index, 0)]

    def with_givers(self, index: int) -> set[int]:
        found, look = {index}, [index]
        while look and len(found) < MOST_TOGETHER:
            for feed in self.schedule.jobs[look.pop()].feeds:
                if feed.giver in self.members and feed.giver not in found and len(found) < MOST_TOGETHER:
                    found.add(feed.giver)
                    look.append(feed.giver)
        return found

    def roots(self, index: int) -> set[int]:
        """Those that nothing takes, of all that take a job, through others or by themselves."""
        found, look, seen = set(), [index], {index}
        while look:
            one = look.pop()
            users = {user for user, _ in self.schedule.users[one]} & self.members
            if not users:
                found.add(one)
            look += users - seen
            seen |= users
        return found

    def of(self, group: Collection[int], wished: bool = False) -> list[int]:
        """Jobs that take of the same pools while one of a group should be, or is, at work; `wished`: should be."""
        found: set[int] = set()
        for index in group:
            reach = self._reach(index, wished)
            for pool in self._pools[index]:
                found.update(self._at_work(self._takers[pool], *reach))
        return sorted(found.difference(group))

    def _at_work(self, jobs: Sequence[int], begin: int, end: int) -> list[int]:
        """Which of some jobs are at work within a span of time."""
        lies = [(index, self.schedule.booked[index]) for index in jobs]
        return [index for index, there in lies if there is not None and there.begins[0] < end and there.end > begin]

    def _reach(self, index: int, wished: bool) -> tuple[int, int]:
        """The span of time in which another job may be in this one's way; `wished`: where it would lie alone."""
        job, booked = self.schedule.jobs[index], self.schedule.booked[index]
        begin = min(job.alone, booked.begins[0]) if booked and not wished else job.alone
        return begin, max(job.due, booked.end if booked else 0)

    def from_the_front(self, empty: Snapshot, rounds: int = 3) -> None:
        """What hangs together with something late, or is in its way, is placed from the front, what is needed first
        first, and then pushed as late as it may be; again and again while that makes things better. `empty` is how all
        lay before the first of the jobs was placed."""
        schedule = self.schedule
        together = self._with_late()
        by = {index: schedule.jobs[index].alone for index in together}
        for _ in range(rounds):
            cost, snapshot = schedule.cost(), schedule.snapshot()
            schedule.take_all_out(together, empty)
            if not self.front_and_back(together, by, cost[0]) or schedule.cost() >= cost:
                schedule.restore(snapshot)
                return
            by = {index: found.begins[0] for index in together if (found := schedule.booked[index]) is not None}

    def sooner(self, index: int, stay: Collection[int]) -> None:
        """Places a late job anew, from the front, with what it takes: of that each in turn, with what that takes,
        before the rest. Kept where less is late, or lost, then, and nothing that is to `stay` later."""
        schedule, together = self.schedule, self.with_givers(index)
        before = best = schedule.snapshot()
        for one in together:
            schedule.take_out(one)
        least = unavoidable(schedule, together)[index]
        for first in sorted(together - {index}):
            if best.costs[index][0] <= least:
                break
            schedule.restore(before)
            chain = self.with_givers(first)
            out = {one for one in together if one == index or one in chain or one not in stay}
            for one in out:
                schedule.take_out(one)
            self.front_and_back(out, dict.fromkeys(chain, -1), stay=stay)
            better = schedule.late < best.cost[0] and schedule.homeless <= best.homeless
            if better and not self._begin_later(out.intersection(stay), before):
                best = schedule.snapshot()
        schedule.restore(best)

    def _begin_later(self, jobs: Collection[int], before: Snapshot) -> bool:
        lies = ((before.booked[one], self.schedule.booked[one]) for one in jobs)
        return any(was is not None and (now is None or now.begins[0] > was.begins[0]) for was, now in lies)

    def make_way(self, index: int) -> None:
        """Places a late job, with what it takes, before those in its way, or all of them from the front; what need not
        have moved goes back. Undone unless less is late then, and all that it takes has a place: nobody moves for what
        cannot be made."""
        schedule = self.schedule
        least, snapshot = schedule.cost()[0], schedule.snapshot()
        found = snapshot
        first = self.with_givers(index)
        others = self.of(first)
        for from_the_front in (False, True):
            for other in (*first, *others):
                schedule.take_out(other)
            if from_the_front:
                there = {other: snapshot.booked[other] for other in (*first, *others)}
                by = {other: min(was.begins[0], was.wanted) for other, was in there.items() if was}
                self.front_and_back(by, by)
            else:
                self._in_turn([*sorted(first), *sorted(others, key=lambda other: schedule.jobs[other].due)])
            self._back(others, snapshot)
            made = schedule.homeless.isdisjoint(first) or len(schedule.homeless) < len(snapshot.homeless)
            if made and schedule.cost()[0] < least:
                least, found = schedule.cost()[0], schedule.snapshot()
            schedule.restore(snapshot)
        schedule.restore(found)

    def _in_turn(self, order: Sequence[int]) -> None:
        """Places jobs one after the other; what is of no use to anybody any more by then comes after all that."""
        schedule, over = self.schedule, []
        for index in order:
            if schedule.booked[index] is None:
                schedule.place(index)
                lies, until = schedule.booked[index], schedule.jobs[index].no_use_from
                if lies is not None and until is not None and lies.end >= until:
                    schedule.take_out(index)
                    over.append(index)
        for index in over:
            schedule.place(index)

    def _back(self, moved: Sequence[int], before: Snapshot) -> None:
        """Puts back where they lay those that can be there now."""
        schedule = self.schedule
        for index in moved:
            was, now = before.booked[index], schedule.booked[index]
            if was is not None and now is not None and was.begins != now.begins:
                schedule.take_out(index)
                if not schedule.keep(index, was.begins, was.lanes, was.wanted):
                    schedule.book(index, now.begins, now.lanes, now.wanted)

    def _with_late(self) -> list[int]:
        """The jobs that are late, those in their way, and all that hang together with them by what they take."""
        jobs, users = self.schedule.jobs, self.schedule.users
        found: set[int] = set()
        takers = dict(self._takers)
        for late in self.late():
            look, reach = [late], self._reach(late, wished=False)
            for pool in self._pools[late]:
                takers[pool] = [index for index in takers[pool] if index not in found]
                look += self._at_work(takers[pool], *reach)
            while look:
                index = look.pop()
                if index not in found:
                    found.add(index)
                    near = (*(feed.giver for feed in jobs[index].feeds), *(user for user, _ in users[index]))
                    look += [other for other in near if other in self.members]
        return sorted(found)

    def front_and_back(
        self, together: Collection[int], by: Mapping[int, int], most: int | None = None, stay: Collection[int] = ()
    ) -> bool:
        """Places jobs as early as may be, givers first and by `by`, and pushes them as late as may be, but for those
        that are to `stay`. Answers whether it did; it gives up as soon as more is late than `most`, since what is late
        gets no less late by being pushed."""
        schedule = self.schedule
        late = 0 if most is None else schedule.lateness()
        for index in givers_first(schedule, together, by):
            if schedule.booked[index] is None:
                schedule.place_early(index)
                found = schedule.booked[index]
                if most is not None and found is not None:
                    late += schedule.jobs[index].lateness(found.end)
                    if late > most:
                        return False
        self.push_late([index for index in together if index not in stay] if stay else together)
        return True

    def push_late(self, together: Collection[int]) -> None:
        """Pushes jobs as late as may be, what is over last first."""
        booked = self.schedule.booked
        ends = {index: found.end for index in together if (found := booked[index]) is not None}
        for index in sorted(ends, key=lambda one: (-ends[one], one)):
            self.schedule.push_late(index)

    def improve(self, placements: int) -> Cost:
        """Takes a costly job out with what it takes and up to two rivals, and places them again; keeps what is no
        worse."""
        schedule = self.schedule
        chance = Random(len(self.wanted))
        until, idle = schedule.placements + placements, 0
        cost, snapshot = schedule.cost(), schedule.snapshot()
        while schedule.placements < until and idle < placements // 2 + 20:
            out = self._pick(chance)
            if not out:
                break
            everyone = set().union(*out)
            for index in sorted(everyone):
                schedule.take_out(index)
            if chance.random() < 0.5:
                self.front_and_back(everyone, {index: chance.randrange(1000) for index in sorted(everyone)})
            else:
                chance.shuffle(out)
                for group in out:
                    for index in sorted(group):
                        if schedule.booked[index] is None:
                            schedule.place(index)
            new = schedule.cost()
            idle = 0 if new < cost else idle + len(everyone)
            if new <= cost:
                cost, snapshot = new, schedule.snapshot()
            else:
                schedule.restore(snapshot)
        return cost

    def _pick(self, chance: Random) -> list[set[int]]:
        """A costly job and up to two that are in its way, each with what it takes."""
        late = self.late()
        early = [index for index in self.wanted if self.schedule.costs[index][1]]
        costly = late if late and (not early or chance.random() < 0.5) else early
        if not costly:
            return []
        first = self.with_givers(chance.choice(costly))
        rivals = self.of(first)
        out = chance.sample(rivals, min(len(rivals), chance.randrange(3)))
        return [first, *map(self.with_givers, out)]
