"""A schedule in the making: which jobs are booked where, and what that costs.

A job is placed as late as it can be over when its users begin, and never before what may not be. Where that cannot be,
it is placed so that it is over as soon as it can, and its users after it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence

from msgspec import Struct

from prepboard.plan.solver.chains import earliest_chain, holds, latest_chain
from prepboard.plan.solver.jobs import Block, Booked, Feed, Job, JobStep, Lanes, in_blocks
from prepboard.plan.solver.lanes import Taken

Cost = tuple[int, int]
"""(weighted lateness, what is lost and what is over too early to last included; steps of time that jobs begin earlier
than alone, slack that is eaten included)."""

HOMELESS = 10**12
"""What it costs that a job fits nowhere."""
MOST_DEEP = 2
"""So often in one go a job is placed again because what takes it moved."""
WASTED = 10**8
"""What it costs at least that a job that only others take is over too early to last: they cannot be then."""


class Snapshot(Struct, frozen=True, gc=False):
    """How everything lies, to go back to."""

    booked: list[Booked | None]
    costs: list[Cost]
    cost: Cost
    homeless: frozenset[int]
    taken: list[Taken]
    """By lane."""


class Schedule:
    """Jobs on their pools' lanes, from step 0 up to `length`."""

    def __init__(self, jobs: Sequence[Job], length: int) -> None:
        self.jobs = jobs
        self.length = length
        self.booked: list[Booked | None] = [None] * len(jobs)
        self.need_not_last: Collection[int] = ()
        """Jobs of which nobody asks how long what they give lasts."""
        self.begin_at: Mapping[int, int] = {}
        """Jobs that begin just then; that one begins later costs as much as if it fitted nowhere."""
        self.homeless: set[int] = set()
        """Jobs that fit nowhere."""
        self.placements = 0
        self._deep = 0
        self.users: dict[int, list[tuple[int, Feed]]] = defaultdict(list)
        """Giver -> who takes it, and how."""
        self._wanted: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
        """Giver -> who takes it, at which step, and up to when it lasts as it is."""
        self._blocks: dict[int, tuple[Block, ...]] = {}
        for user, job in enumerate(jobs):
            for feed in job.feeds:
                self.users[feed.giver].append((user, feed))
                if feed.wanted is not None:
                    self._wanted[feed.giver].append((user, feed.step, feed.wanted))
        self.costs: list[Cost] = [(0, 0)] * len(jobs)
        self.late = self.early = 0
        pools = {id(demand.pool): demand.pool for job in jobs for step in job.steps for demand in step.demands}
        self._lanes = list({id(lane): lane for pool in pools.values() for lane in pool.lanes}.values())

    def blocks(self, index: int) -> tuple[Block, ...]:
        """A job's steps, those together that move as one."""
        found = self._blocks.get(index)
        if found is None:
            found = self._blocks[index] = in_blocks(self.jobs[index].steps)
        return found

    def place(self, index: int) -> None:
        """Books a job; users that began before it is over now are moved after it."""
        job = self.jobs[index]
        self.placements += 1
        after = self._after(index)
        due = self.due(index)
        # Where it cannot be over by then, nobody needs to look.
        in_time, first = due >= after[-1] + job.steps[-1].span, self.begin_at.get(index) if self.begin_at else None
        begins = latest_chain(self.blocks(index), due, first) if in_time else None
        wanted = begins[0] if begins else -1
        if begins is None or _missed(begins, after):
            begins = self._soonest(index, after)
        if begins is None:
            self.homeless.add(index)
            return
        self.homeless.discard(index)
        self.book(index, begins, wanted=min(wanted, begins[0]) if wanted >= 0 else min(job.alone, begins[0]))
        self._move_users(index)
        self._move_givers(index)

    def place_early(self, index: int, floors: Sequence[int] | None = None) -> None:
        """Books a job as early as it can be after what it takes, whatever is due; no step before its floor."""
        job = self.jobs[index]
        self.placements += 1
        after = self._after(index)
        if floors is not None:
            after = [max(one, floor) for one, floor in zip(after, floors, strict=True)]
        begins = earliest_chain(self.blocks(index), after, self.length)
        if begins is None or not _fits(job.steps, begins):
            self.place(index)
            return
        self.homeless.discard(index)
        self.book(index, begins, wanted=min(job.alone, begins[0]))
        self._move_users(index)

    def push_late(self, index: int) -> None:
        """Moves a job as late as its users allow; one that is late is not over later than it was."""
        was = self.booked[index]
        if was is None:
            return
        job, due = self.jobs[index], self.due(index)
        self.placements += 1
        if due <= was.end and was.end - was.begins[0] == sum([step.span for step in job.steps]):
            return  # it waits for nothing, and cannot be over later
        self.take_out(index)
        begins = latest_chain(self.blocks(index), max(was.end, due), self.begin_at.get(index))
        if begins is None or begins[0] <= was.begins[0] or _missed(begins, self._after(index)):
            self.book(index, was.begins, was.lanes, was.wanted)
            self.booked[index] = was
            return
        late = begins[-1] + job.steps[-1].span > job.due
        self.book(index, begins, wanted=was.wanted if late else begins[0])

    def book(
        self,
        index: int,
        begins: Sequence[int],
        lanes: Lanes | None = None,
        wanted: int | None = None,
    ) -> None:
        """Books a job where its steps are known to be free; without `lanes` the best are chosen."""
        job = self.jobs[index]
        end = begins[-1] + job.steps[-1].span
        if lanes is None:
            lanes = _take_the_best(job, begins, end)
        else:
            for step, begin, until, here in zip(job.steps, begins, (*begins[1:], end), lanes, strict=True):
                for demand, chosen in zip(step.demands, here, strict=True):
                    over = until if demand.whole else begin + step.head
                    for lane in chosen:
                        demand.pool.lanes[lane].book(demand.setting, demand.amount, begin, over)
        self._set(index, Booked(tuple(begins), end, lanes, begins[0] if wanted is None else wanted))

    def keep(self, index: int, begins: Sequence[int], lanes: Lanes, wanted: int, *, begun: bool = True) -> bool:
        """Books a job where it lay before, late or not, if its users, what it takes and what there is let it lie
        there; answers whether they do. One that nobody will begin (not `begun`) lies in the past, too."""
        job = self.jobs[index]
        end = begins[-1] + job.steps[-1].span
        after = self._after(index, lasting=False) if begun else self._after_givers(index, [0] * len(job.after))
        if end > self._needed(index) or _missed(begins, after):
            return False
        for step, begin, until, chosen in zip(job.steps, begins, (*begins[1:], end), lanes, strict=True):
            if not holds(step, begin, until, chosen):
                return False
        self.book(index, begins, lanes, wanted)
        return True

    def sooner(self, index: int, by: int) -> None:
        """Places a job anew if more than so much less is late, or lost, then."""
        late, snapshot = self.late, self.snapshot()
        self.take_out(index)
        self.place(index)
        if self.homeless - snapshot.homeless or self.late >= late - by:
            self.restore(snapshot)

    def take_out(self, index: int) -> None:
        booked = self.booked[index]
        if booked is None:
            return
        job = self.jobs[index]
        begins = booked.begins
        for step, begin, until, here in zip(job.steps, begins, (*begins[1:], booked.end), booked.lanes, strict=True):
            for demand, chosen in zip(step.demands, here, strict=True):
                over = until if demand.whole else begin + step.head
                for lane in chosen:
                    demand.pool.lanes[lane].free(demand.setting, demand.amount, begin, over)
        self._set(index, None)

    def take_all_out(self, members: Collection[int], empty: Snapshot) -> None:
        """Takes jobs out: at one go where without them all lies as it did when it was `empty`, but for a few others."""
        without = list(self.booked)
        for index in members:
            without[index] = None
        others = [(index, lies) for index, lies in enumerate(without) if lies is not empty.booked[index]]
        if len(others) >= len(members) or any(empty.booked[index] is not None for index, _ in others):
            for index in members:
                self.take_out(index)
            return
        homeless = self.homeless
        self.restore(empty)
        self.homeless = homeless
        for index, lies in others:
            if lies is not None:
                self.book(index, lies.begins, lies.lanes, lies.wanted)
                self.booked[index] = lies

    def snapshot(self) -> Snapshot:
        """How everything lies, for `lay`."""
        taken = [lane.taken for lane in self._lanes]
        return Snapshot(self.booked[:], self.costs[:], (self.late, self.early), frozenset(self.homeless), taken)

    def restore(self, snapshot: Snapshot) -> None:
        """Puts every job where it lay, whatever happened since."""
        self.booked, self.costs = snapshot.booked[:], snapshot.costs[:]
        self.late, self.early = snapshot.cost
        self.homeless = set(snapshot.homeless)
        for lane, taken in zip(self._lanes, snapshot.taken, strict=True):
            lane.taken = taken

    def lateness(self) -> int:
        """What lateness costs, with what is lost by it; not what is over too early to last, or fits nowhere."""
        lies = zip(self.jobs, self.booked, strict=True)
        return sum(job.lateness(booked.end) for job, booked in lies if booked is not None)

    def cost(self) -> Cost:
        return self.late + HOMELESS * len(self.homeless), self.early

    def _set(self, index: int, booked: Booked | None) -> None:
        self.booked[index] = booked
        self._reckon(index)
        for feed in self.jobs[index].feeds:
            if feed.wanted is not None and self.booked[feed.giver] is not None:
                self._reckon(feed.giver)

    def _reckon(self, index: int) -> None:
        """What a job costs where it lies, and where those lie that take it."""
        job, booked = self.jobs[index], self.booked[index]
        late = early = 0
        if booked is not None:
            end, begin = booked.end, booked.begins[0]
            if end > job.due:
                late, early = job.lateness(end), min(end - job.due, job.slack)
            elif job.lost_from is not None and end >= job.lost_from:
                late = job.lateness(end)
            if begin < job.alone:
                early += job.alone - begin
            if job.fresh and index not in self.need_not_last:
                stale = self._fresh(index) - job.at_fresh(booked.begins, end)
                if stale > 0:
                    late += stale * job.weight if job.weight else WASTED + stale
            if self.begin_at and begin > self.begin_at.get(index, begin):
                late += HOMELESS
        was_late, was_early = self.costs[index]
        self.late += late - was_late
        self.early += early - was_early
        self.costs[index] = late, early

    def due(self, index: int) -> int:
        """When a job should be over: its own due, and what its users need with their cushion."""
        job = self.jobs[index]
        users = self.users[index]
        needed = [
            found.begins[feed.step] - feed.lag - feed.cushion
            for user, feed in users
            if (found := self.booked[user]) is not None
        ]
        return min(needed) if needed and not job.weight else min([job.due, *needed])

    def _needed(self, index: int) -> int:
        """When a job must be over for its users to stay where they are."""
        needed, booked = self.length, self.booked
        for user, feed in self.users[index]:
            found = booked[user]
            if found is not None and found.begins[feed.step] - feed.lag < needed:
                needed = found.begins[feed.step] - feed.lag
        return needed

    def _after(self, index: int, lasting: bool = True) -> Sequence[int]:
        """Before when each step may not begin, what it takes included; `lasting`: and so that it lasts."""
        job = self.jobs[index]
        if not job.feeds and not job.fresh and not self.begin_at:
            return job.after
        after = list(job.after)
        if self.begin_at:
            after[0] = max(after[0], self.begin_at.get(index, 0))
        if job.fresh and lasting and index not in self.need_not_last:
            at, span = job.fresh_step, job.steps[-1].span if job.fresh_step < 0 else 0
            after[at] = max(after[at], self._fresh(index) - span)
        return self._after_givers(index, after)

    def _after_givers(self, index: int, after: list[int]) -> list[int]:
        """The same with what the givers need that are booked."""
        for feed in self.jobs[index].feeds:
            giver = self.booked[feed.giver]
            if giver is not None and giver.end + feed.lag > after[feed.step]:
                after[feed.step] = giver.end + feed.lag
        return after

    def _fresh(self, index: int) -> int:
        """Before when a job may not be over, or at its step, to last for what it is for: later, where its users are
        later; for those that nobody will begin it need not last."""
        later, job = 0, self.jobs[index]
        for user, step, wanted in self._wanted.get(index, ()):
            found = self.booked[user] if user not in self.need_not_last else None
            if found is not None and found.begins[step] - wanted > later:
                later = found.begins[step] - wanted
        return job.fresh + -(-later // job.fresh_grain) * job.fresh_grain if later else job.fresh

    def _soonest(self, index: int, after: Sequence[int]) -> list[int] | None:
        """The chain that is over as soon as can be, then as late as that allows; None where there is no room before
        the schedule's end."""
        job, blocks = self.jobs[index], self.blocks(index)
        begins = earliest_chain(blocks, after, self.length)
        if begins is None:
            return None
        late = latest_chain(blocks, begins[-1] + job.steps[-1].span, self.begin_at.get(index))
        return late if late and not _missed(late, after) else begins if _fits(job.steps, begins) else None

    def _move_givers(self, index: int) -> None:
        """Places again, later, what would not last until this takes it; not without end, where that moves this too."""
        if self._deep >= MOST_DEEP or self.booked[index] is None:
            return
        stale = [feed.giver for feed in self.jobs[index].feeds if self._is_stale(feed.giver)]
        for giver in dict.fromkeys(stale):
            self._deep += 1
            self.take_out(giver)
            self.place(giver)
            self._deep -= 1

    def _is_stale(self, index: int) -> bool:
        found, job = self.booked[index], self.jobs[index]
        if index in self.need_not_last:
            return False
        return found is not None and job.fresh > 0 and job.at_fresh(found.begins, found.end) < self._fresh(index)

    def _move_users(self, index: int) -> None:
        """Places again, later, the users that begin before what they take is over."""
        booked = self.booked[index]
        assert booked is not None
        if not self.users.get(index):
            return
        early = sorted(
            {
                user
                for user, feed in self.users[index]
                if (found := self.booked[user]) is not None and found.begins[feed.step] < booked.end + feed.lag
            }
        )
        for user in early:
            self.take_out(user)
        for user in early:
            self.place(user)


def _take_the_best(job: Job, begins: Sequence[int], end: int) -> Lanes:
    """Books a job's steps on the best lanes of each; those."""
    lanes = []
    for step, begin, until in zip(job.steps, begins, (*begins[1:], end), strict=True):
        here = []
        for demand in step.demands:
            over = until if demand.whole else begin + step.head
            here.append(demand.pool.take(demand, begin, over))
        lanes.append(tuple(here))
    return tuple(lanes)


def _fits(steps: Sequence[JobStep], begins: Sequence[int]) -> bool:
    """Whether what is held through stretched rests is free all the time."""
    for step, begin, until in zip(steps, begins, begins[1:], strict=False):
        for demand in step.demands:
            if demand.whole and not demand.pool.is_free(demand, begin, until):
                return False
    return True


def _missed(begins: Sequence[int], after: Sequence[int]) -> int:
    """By how much the steps begin too early; 0 when none does."""
    missed = 0
    for begin, bound in zip(begins, after, strict=True):
        if bound - begin > missed:
            missed = bound - begin
    return missed
