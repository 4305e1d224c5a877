"""How close to the shortest plan the lanes come on standard project instances, at so many milliseconds an instance.

Reads single-mode instances in the PSPLIB text format (.sm; Kolisch and Sprecher, "PSPLIB - A project scheduling
problem library", European Journal of Operational Research 96 (1997) 205-216) from a folder, and beside them, where
there is one, the table of optima (a file whose name has "opt" in it: lines of parameter, instance, makespan). The
source package of `psplib` (pip download psplib --no-binary :all:) carries one instance. Run it by hand:

    python tests/benchmarks/psplib_gap.py FOLDER             instances and optima of a folder
    python tests/benchmarks/psplib_gap.py --drawn 40         instances drawn alike, optima proved by OR-Tools

Two ways are shown: the schedule as kitchens use it (each resource a lane, jobs due at the end of the longest chain,
placed in four orders and improved by taking out, 400 placements), and a search over orders of its own, with all
resources of an instance side by side in one number (take a few jobs out of the order, put them back elsewhere between
their users and givers, place all from the end, push all to the front and back again, keep what is no worse).
"""

from __future__ import annotations

import argparse
import random
import re
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from prepboard.plan.placing.jobs import Demand, Feed, Job, Pool, Step
from prepboard.plan.placing.lanes import Lane
from prepboard.plan.placing.orders import place_all
from prepboard.plan.placing.schedule import Schedule

STALE = 150
"""Tries without a gain after which the search begins anew."""


@dataclass
class Project:
    """Activities in an order in which every one comes before those that wait for it."""

    name: str
    lengths: list[int]
    needs: list[tuple[int, ...]]
    users: list[list[int]]
    capacities: tuple[int, ...]

    @property
    def givers(self) -> list[list[int]]:
        found: list[list[int]] = [[] for _ in self.lengths]
        for giver, users in enumerate(self.users):
            for user in users:
                found[user].append(giver)
        return found

    @property
    def longest_chain(self) -> int:
        ends: list[int] = []
        for length, givers in zip(self.lengths, self.givers, strict=True):
            ends.append(length + max((ends[giver] for giver in givers), default=0))
        return max(ends)


def read(path: Path) -> Project:
    """One instance of the .sm format."""
    text = path.read_text()
    users: dict[int, list[int]] = {}
    for line in _rows(text, "PRECEDENCE RELATIONS:"):
        users[line[0] - 1] = [number - 1 for number in line[3 : 3 + line[2]]]
    requests = {line[0] - 1: line[2:] for line in _rows(text, "REQUESTS/DURATIONS:")}
    (capacities,) = list(_rows(text, "RESOURCEAVAILABILITIES:"))
    count = len(requests)
    return Project(
        path.stem,
        [requests[number][0] for number in range(count)],
        [tuple(requests[number][1:]) for number in range(count)],
        [users[number] for number in range(count)],
        tuple(capacities),
    )


def _rows(text: str, title: str) -> list[list[int]]:
    """The rows of numbers under a title, up to the next line of stars."""
    part = text.split(title, 1)[1].split("***", 1)[0]
    lines = [line.split() for line in part.splitlines()]
    return [[int(word) for word in line] for line in lines if line and all(word.isdigit() for word in line)]


def optima(folder: Path) -> dict[str, int]:
    found = {}
    for path in sorted(folder.iterdir()):
        if "opt" not in path.stem:
            continue
        kind = re.match(r"j\d+", path.stem)
        for line in path.read_text().splitlines():
            words = line.split()
            if len(words) >= 3 and all(word.isdigit() for word in words[:3]):
                found[f"{kind.group() if kind else 'j30'}{words[0]}_{words[1]}"] = int(words[2])
    return found


def drawn(seed: int, jobs: int = 30) -> Project:
    """An instance like those of the library: 1 to 3 users a job, four resources, drawn tight or wide."""
    chance = random.Random(seed)
    strength, factor = chance.choice((0.2, 0.5, 0.7, 1.0)), chance.choice((0.25, 0.5, 0.75, 1.0))
    lengths = [0, *(chance.randint(1, 10) for _ in range(jobs)), 0]
    needs = [
        tuple(chance.randint(1, 10) if chance.random() < factor else 0 for _ in range(4)) if length else (0, 0, 0, 0)
        for length in lengths
    ]
    users: list[list[int]] = [[] for _ in lengths]
    for number in range(1, jobs + 1):
        before = chance.sample(range(1, number), min(number - 1, chance.randint(1, 2))) if number > 3 else [0]
        for giver in before or [0]:
            users[giver].append(number)
    for number in range(1, jobs + 1):
        users[number] = users[number] or [jobs + 1]
    most = [max(need[kind] for need in needs) or 1 for kind in range(4)]
    alike = [sum(need[kind] for need in needs) * 3 // 10 for kind in range(4)]
    capacities = tuple(round(low + strength * max(0, high - low)) for low, high in zip(most, alike, strict=True))
    return Project(f"drawn {seed}", lengths, needs, users, capacities)


class Orders:
    """One instance's resources side by side in one number, a field a resource and step of time: orders of its jobs,
    placed from the end and pushed to the front."""

    def __init__(self, project: Project) -> None:
        self.project = project
        self.length = sum(project.lengths) + 1
        places, self.width, guards, filled = [], 0, 0, 0
        for capacity in project.capacities:
            # What is taken is filled up so that one unit above the capacity reaches the guard bit on top.
            guard = 1 << self.width + (2 * capacity).bit_length()
            filled += guard - (capacity + 1 << self.width)
            guards += guard
            places.append(self.width)
            self.width = guard.bit_length()
        self.shapes = []
        for length, need in zip(project.lengths, project.needs, strict=True):
            ones = self.repeated(length)
            packed = sum(amount << place for amount, place in zip(need, places, strict=True))
            self.shapes.append((packed * ones, guards * ones, (1 << self.width * length) - 1))
        self.empty = filled * self.repeated(self.length)
        self.users, self.givers = project.users, project.givers

    def repeated(self, steps: int) -> int:
        """The lowest bit of each of so many steps' fields."""
        return ((1 << self.width * steps) - 1) // ((1 << self.width) - 1)

    def pack(self, order: list[int], after: list[list[int]]) -> list[int]:
        """The latest begins before `length` of jobs in an order in which each comes behind all of `after`."""
        taken, width, lengths, shapes, length = self.empty, self.width, self.project.lengths, self.shapes, self.length
        begins = [0] * len(order)
        for job in order:
            limit = length
            for other in after[job]:
                if begins[other] < limit:
                    limit = begins[other]
            span = lengths[job]
            limit -= span
            if span:
                need, guards, window = shapes[job]
                while hit := ((taken >> limit * width & window) + need) & guards:
                    limit += ((hit & -hit).bit_length() - 1) // width - span
                taken += need << limit * width
            begins[job] = limit
        return begins

    def justified(self, order: list[int]) -> tuple[int, list[int]]:
        """From the end, then, in mirrored time, from the front, then from the end: (span, order by latest begin)."""
        lengths, length = self.project.lengths, self.length
        begins = self.pack(order, self.users)
        front = sorted(order, key=lambda job: (begins[job], -order.index(job)))
        mirrored = self.pack(front, self.givers)
        back = sorted(order, key=lambda job: (mirrored[job], -begins[job]))
        begins = self.pack(back, self.users)
        span = length - min(begins)
        place = {job: number for number, job in enumerate(back)}
        return span, sorted(back, key=lambda job: (-(begins[job] + lengths[job]), place[job]))

    def first_order(self, chance: random.Random | None = None) -> list[int]:
        """Users before givers, by the longest chain that still leads to a job; with `chance` a little shuffled."""
        heads: list[int] = []
        for givers in self.givers:
            heads.append(max((heads[giver] + self.project.lengths[giver] for giver in givers), default=0))
        keys = [head + self.project.lengths[job] for job, head in enumerate(heads)]
        if chance:
            keys = [round(key * chance.uniform(0.6, 1.4)) for key in keys]
        waiting = [len(users) for users in self.users]
        ready = [job for job, count in enumerate(waiting) if not count]
        order = []
        while ready:
            job = max(ready, key=lambda one: (keys[one], one))
            ready.remove(job)
            order.append(job)
            for giver in self.givers[job]:
                waiting[giver] -= 1
                if not waiting[giver]:
                    ready.append(giver)
        return order

    def moved(self, order: list[int], chance: random.Random) -> list[int]:
        """The order with one to four jobs put elsewhere between their users and their givers."""
        order = list(order)
        for _ in range(chance.randint(1, 4)):
            job = order.pop(chance.randrange(len(order)))
            low = max((order.index(user) + 1 for user in self.users[job]), default=0)
            high = min((order.index(giver) for giver in self.givers[job]), default=len(order))
            order.insert(chance.randint(low, high), job)
        return order

    def search(self, seconds: float, bound: int) -> dict[float, int]:
        """The shortest span after a fifth, a half and all of the time."""
        chance = random.Random(1)
        began = time.perf_counter()
        span, order = self.justified(self.first_order())
        best, stale, at = span, 0, {0.0: span}
        marks = [seconds / 4, seconds]
        while marks:
            if best <= bound or time.perf_counter() - began > marks[0]:
                at[marks.pop(0)] = best
                continue
            if stale > STALE:
                stale = 0
                span, order = self.justified(self.first_order(chance))
            new, other = self.justified(self.moved(order, chance))
            stale = 0 if new < span else stale + 1
            if new <= span:
                span, order = new, other
            best = min(best, span)
        return at


def _step(project: Project, job: int, pools: list[Pool]) -> Step:
    needs = zip(pools, project.needs[job], strict=True)
    return Step(project.lengths[job], demands=tuple(Demand(pool, need) for pool, need in needs if need))


def as_kitchens_do(project: Project, placements: int) -> int:
    """The span that the schedule finds: every job due at the end of the longest chain."""
    length = 3 * sum(project.lengths) + 1
    pools = [Pool((Lane(capacity, length),)) for capacity in project.capacities]
    due = sum(project.lengths) + project.longest_chain
    start = due - project.longest_chain
    tails = [0] * len(project.lengths)
    for job in reversed(range(len(tails))):
        tails[job] = project.lengths[job] + max((tails[user] for user in project.users[job]), default=0)
    index = {job: len(project.lengths) - 1 - job for job in range(len(project.lengths))}
    jobs = [
        Job(
            (_step(project, job, pools),),
            due,
            (start,),
            1 if not project.users[job] else 0,
            due - tails[job],
            tuple(Feed(index[giver], 0) for giver in project.givers[job]),
        )
        for job in reversed(range(len(project.lengths)))
    ]
    schedule = Schedule(jobs, length)
    place_all(schedule, range(len(jobs)), improving=placements)
    return max(booked.end for booked in schedule.booked if booked) - start


def proved(project: Project, seconds: float = 30.0) -> int | None:
    """The shortest span by OR-Tools' CP-SAT; None where it proved none in time."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    most = sum(project.lengths)
    starts = [model.new_int_var(0, most, f"s{job}") for job in range(len(project.lengths))]
    for job, users in enumerate(project.users):
        for user in users:
            model.add(starts[user] >= starts[job] + project.lengths[job])
    for kind, capacity in enumerate(project.capacities):
        asked = [job for job, need in enumerate(project.needs) if need[kind] and project.lengths[job]]
        spans = [model.new_fixed_size_interval_var(starts[job], project.lengths[job], f"i{job}") for job in asked]
        model.add_cumulative(spans, [project.needs[job][kind] for job in asked], capacity)
    model.minimize(starts[-1])
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds, solver.parameters.num_workers = seconds, 1
    return round(solver.objective_value) if solver.solve(model) == cp_model.OPTIMAL else None


def main() -> None:
    asked = argparse.ArgumentParser(description="The gap to the shortest plan on project instances.")
    asked.add_argument("folder", type=Path, nargs="?", help="of .sm files and, if there is one, their table of optima")
    asked.add_argument("--drawn", type=int, default=0, help="so many instances drawn by chance instead")
    asked.add_argument("--ms", type=int, default=200, help="milliseconds an instance (a quarter of it is shown too)")
    given = asked.parse_args()
    if given.drawn:
        found = [(project, proved(project)) for project in map(drawn, range(given.drawn))]
    elif given.folder:
        known = optima(given.folder)
        paths = sorted(path for path in given.folder.glob("*.sm") if "opt" not in path.stem)
        found = [(project, known.get(project.name)) for project in map(read, paths)]
    else:
        asked.error("a folder, or --drawn")
    print(f"{'instance':14} {'shortest':>8} {'chain':>6} {'kitchens':>9} {'one order':>9} ", end="")
    print(f"{given.ms // 4:>6} ms {given.ms:>6} ms")
    gaps: dict[str, list[float]] = {}
    for project, shortest in found:
        chain = project.longest_chain
        began = time.perf_counter()
        kitchens = as_kitchens_do(project, 400)
        took = (time.perf_counter() - began) * 1000
        spans = list(Orders(project).search(given.ms / 1000, shortest or chain).values())
        best = shortest if shortest is not None else min(*spans, kitchens)
        print(f"{project.name:14} {shortest or 'unknown':>8} {chain:>6} {kitchens:>9} {spans[0]:>9} ", end="")
        print(f"{spans[1]:>9} {spans[2]:>9}   kitchens' way took {took:.0f} ms")
        for name, span in zip(("kitchens", "one order", "a quarter", "whole"), (kitchens, *spans), strict=True):
            gaps.setdefault(name, []).append(100 * (span - best) / best)
            if shortest == chain:
                gaps.setdefault(f"{name}, where resources do not bind", []).append(100 * (span - best) / best)
        sys.stdout.flush()
    for name, values in gaps.items():
        print(f"mean gap, {name}: {sum(values) / len(values):.3f} % of {len(values)}, worst {max(values):.1f} %")


if __name__ == "__main__":
    main()
