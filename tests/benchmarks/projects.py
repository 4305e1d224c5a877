"""Projects: standard resource-constrained instances, read from files or drawn alike, and their shortest plans.

Files are in the single-mode PSPLIB text format (.sm; Kolisch and Sprecher, "PSPLIB - A project scheduling problem
library", European Journal of Operational Research 96 (1997) 205-216). Drawn ones follow the published design of that
library's set of 30 jobs (Kolisch, Sprecher and Drexl, "Characterization and generation of a general class of
resource-constrained project scheduling problems", Management Science 41 (1995) 1693-1703), from memory: network
complexity 1.5, 1.8, 2.1 (arcs a node, none redundant; three first and three last jobs, at most three users and
givers), resource factor 0.25 to 1 (the part of four resources that a job asks of), resource strength 0.2, 0.5, 0.7, 1
(from the least that any job needs up to the peak of the schedule in which every job begins as early as it may),
lengths and amounts 1 to 10.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from random import Random

COMPLEXITY, FACTOR, STRENGTH = (1.5, 1.8, 2.1), (0.25, 0.5, 0.75, 1.0), (0.2, 0.5, 0.7, 1.0)
GRID = tuple(product(COMPLEXITY, FACTOR, STRENGTH))
JOBS, RESOURCES, MOST_ARCS, ENDS = 30, 4, 3, 3


@dataclass
class Project:
    """Activities, numbered so that every one comes before those that wait for it."""

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
    def earliest(self) -> list[int]:
        """When each would begin with all resources there."""
        found: list[int] = []
        for givers in self.givers:
            found.append(max((found[giver] + self.lengths[giver] for giver in givers), default=0))
        return found

    @property
    def longest_chain(self) -> int:
        return max(begin + length for begin, length in zip(self.earliest, self.lengths, strict=True))

    def peak(self, kind: int) -> int:
        """The most that is asked of a resource at once when every activity begins as early as it may."""
        begins = self.earliest
        return max(
            sum(
                need[kind]
                for begin, length, need in zip(begins, self.lengths, self.needs, strict=True)
                if begin <= at < begin + length
            )
            for at in range(self.longest_chain)
        )

    @property
    def binds(self) -> bool:
        """Whether some resource is short when every activity begins as early as it may."""
        return any(self.peak(kind) > there for kind, there in enumerate(self.capacities))


def read(path: Path) -> Project:
    """One instance of the .sm format."""
    text = path.read_text()
    users: dict[int, list[int]] = {}
    for line in _rows(text, "PRECEDENCE RELATIONS:"):
        users[line[0] - 1] = [number - 1 for number in line[3 : 3 + line[2]]]
    requests = {line[0] - 1: line[2:] for line in _rows(text, "REQUESTS/DURATIONS:")}
    (capacities,) = list(_rows(text, "RESOURCEAVAILABILITIES:"))
    numbers = range(len(requests))
    return Project(
        path.stem,
        [requests[number][0] for number in numbers],
        [tuple(requests[number][1:]) for number in numbers],
        [users[number] for number in numbers],
        tuple(capacities),
    )


def _rows(text: str, title: str) -> list[list[int]]:
    """The rows of numbers under a title, up to the next line of stars."""
    part = text.split(title, 1)[1].split("***", 1)[0]
    lines = [line.split() for line in part.splitlines()]
    return [[int(word) for word in line] for line in lines if line and all(word.isdigit() for word in line)]


def optima(folder: Path) -> dict[str, int]:
    """Tables of optima: files whose name has "opt" in it, with lines of parameter, instance, makespan."""
    found = {}
    for path in sorted(folder.iterdir()):
        if "opt" not in path.stem:
            continue
        kind = re.match(r"j\d+|drawn", path.stem)
        for line in path.read_text().splitlines():
            words = line.split()
            if len(words) >= 3 and all(word.isdigit() for word in words[:3]):
                found[f"{kind.group() if kind else 'j30'}{words[0]}_{words[1]}"] = int(words[2])
    return found


def drawn(parameter: int, instance: int) -> Project:
    """One instance of a cell of the grid (1 to 48), the same each time."""
    chance = Random(1000 * parameter + instance)
    complexity, factor, strength = GRID[parameter - 1]
    lengths = [0, *(chance.randint(1, 10) for _ in range(JOBS)), 0]
    needs = _needs(chance, round(factor * RESOURCES * JOBS))
    project = Project(f"drawn{parameter}_{instance}", lengths, needs, _network(chance, complexity), ())
    most = [max(need[kind] for need in needs) for kind in range(RESOURCES)]
    peaks = [project.peak(kind) for kind in range(RESOURCES)]
    project.capacities = tuple(low + round(strength * (peak - low)) for low, peak in zip(most, peaks, strict=True))
    return project


def _needs(chance: Random, asked: int) -> list[tuple[int, ...]]:
    """So many requests in all, at least one a job."""
    kinds = [{chance.randrange(RESOURCES)} for _ in range(JOBS)]
    free = [(job, kind) for job, kind in product(range(JOBS), range(RESOURCES)) if kind not in kinds[job]]
    for job, kind in chance.sample(free, asked - JOBS):
        kinds[job].add(kind)
    amounts = [tuple(chance.randint(1, 10) if kind in has else 0 for kind in range(RESOURCES)) for has in kinds]
    nothing = (0,) * RESOURCES
    return [nothing, *amounts, nothing]


def _network(chance: Random, complexity: float) -> list[list[int]]:
    """Arcs of which none follows from the others, until there are so many for each node; drawn again where the limits
    leave no room for as many."""
    nodes = JOBS + 2
    while True:
        arcs = {(0, first) for first in range(1, ENDS + 1)} | {
            (nodes - 1 - last, nodes - 1) for last in range(1, ENDS + 1)
        }
        for job in range(ENDS + 1, nodes - 1):
            _join(chance, arcs, [(giver, job) for giver in range(1, min(job, nodes - 1 - ENDS))])
        for job in range(nodes - 2 - ENDS, 0, -1):
            if not any(giver == job for giver, _ in arcs):
                _join(chance, arcs, [(job, user) for user in range(max(job, ENDS) + 1, nodes - 1)])
        inner = [
            (giver, user) for giver in range(1, nodes - 1 - ENDS) for user in range(max(giver, ENDS) + 1, nodes - 1)
        ]
        while len(arcs) < complexity * nodes and _join(chance, arcs, inner):
            pass
        there = {giver for giver, _ in arcs}, {user for _, user in arcs}
        if len(arcs) >= complexity * nodes and all(len(ends) == nodes - 1 for ends in there):
            return [sorted(user for giver, user in arcs if giver == job) for job in range(nodes)]


def _join(chance: Random, arcs: set[tuple[int, int]], among: list[tuple[int, int]]) -> bool:
    """Adds one arc that is not redundant and makes none so."""
    for giver, user in chance.sample(among, len(among)):
        most = max(sum(one == giver for one, _ in arcs), sum(other == user for _, other in arcs))
        if (giver, user) not in arcs and most < MOST_ARCS and not _redundant(arcs, giver, user):
            arcs.add((giver, user))
            return True
    return False


def _redundant(arcs: set[tuple[int, int]], giver: int, user: int) -> bool:
    after, before = _reached(arcs, user), _reached({(other, one) for one, other in arcs}, giver)
    if giver in _reached({(other, one) for one, other in arcs}, user):
        return True
    return any(one in before and other in after for one, other in arcs)


def _reached(arcs: set[tuple[int, int]], start: int) -> set[int]:
    """A node and all that come after it."""
    found, look = {start}, [start]
    while look:
        here = look.pop()
        for one, other in arcs:
            if one == here and other not in found:
                found.add(other)
                look.append(other)
    return found


def proved(project: Project, seconds: float = 60.0) -> int | None:
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
