"""How close to the shortest plan the search comes on standard project instances, at so many milliseconds an instance.

Instances and their sources: `projects.py`. Run it by hand:

    python tests/benchmarks/psplib_gap.py                    instances drawn like those of 30 jobs, two of each cell
    python tests/benchmarks/psplib_gap.py FOLDER             .sm files and, beside them, their table of optima
    python tests/benchmarks/psplib_gap.py --prove 2          proves the drawn ones' spans anew by OR-Tools

The search is the placing's own, `searching.py`, over `tests/packing.py`; time is processor time, packing everything the
first time included. Beside it: the same activities as a kitchen's jobs, due at the end of the longest chain, placed and
improved as kitchens' runs are.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from packing import Packing
from projects import GRID, Project, drawn, optima, proved, read

from prepboard.plan.solver.jobs import Feed, Job, JobStep, Pool, PoolUse
from prepboard.plan.solver.lanes import Lane
from prepboard.plan.solver.orders import place_all
from prepboard.plan.solver.schedule import Schedule
from prepboard.plan.solver.searching import search

MARKS = (0.05, 0.2)
"""Seconds an instance."""
HERE = Path(__file__).parent


def spans(project: Project, shortest: int | None, seed: int) -> list[int]:
    """The shortest span found by each of the marks; no more is sought once it is known to be the shortest."""
    began = time.process_time()
    packing = Packing(project.lengths, project.needs, project.capacities, project.users)
    found: list[int] = []
    enough = project.longest_chain if shortest is None else shortest
    for best in search(packing, Random(seed)):
        took = time.process_time() - began
        while len(found) < len(MARKS) and (took > MARKS[len(found)] or best.cost <= enough):
            found.append(best.cost)
        if len(found) == len(MARKS):
            break
    return found


def as_kitchens_do(project: Project, placements: int = 400) -> int:
    """The span that the kitchens' schedule finds: every job due at the end of the longest chain."""
    length = 3 * sum(project.lengths) + 1
    pools = [Pool((Lane(capacity, length),)) for capacity in project.capacities]
    due = sum(project.lengths) + project.longest_chain
    last = len(project.lengths) - 1
    start, tails = due - project.longest_chain, [0] * (last + 1)
    for job in reversed(range(last + 1)):
        tails[job] = project.lengths[job] + max((tails[user] for user in project.users[job]), default=0)
    jobs = []
    for job in reversed(range(last + 1)):
        asked = zip(pools, project.needs[job], strict=True)
        step = JobStep(project.lengths[job], demands=tuple(PoolUse(pool, amount) for pool, amount in asked if amount))
        feeds = tuple(Feed(last - giver, 0) for giver in project.givers[job])
        jobs.append(Job((step,), due, (start,), 0 if project.users[job] else 1, due - tails[job], feeds))
    schedule = Schedule(jobs, length)
    place_all(schedule, range(len(jobs)), improving=placements)
    return max(booked.end for booked in schedule.booked if booked) - start


def show(found: Iterable[tuple[Project, int | None]], seed: int) -> None:
    gaps: dict[str, list[list[float]]] = defaultdict(list)
    print(f"{'instance':12} {'shortest':>8} {'chain':>6} {'50 ms':>6} {'200 ms':>6} {'as kitchens':>12}")
    for project, shortest in found:
        row = [*spans(project, shortest, seed), as_kitchens_do(project)]
        best = min(row) if shortest is None else shortest
        print(f"{project.name:12} {shortest or 'unknown':>8} {project.longest_chain:>6}", end="")
        print(f" {row[0]:>6} {row[1]:>6} {row[2]:>12}")
        sys.stdout.flush()
        of = [100 * (span - best) / best for span in row]
        gaps["all"].append(of)
        if best > project.longest_chain:
            gaps["longer than the longest chain"].append(of)
        gaps["where resources bind" if project.binds else "where resources do not bind"].append(of)
    for name, rows in gaps.items():
        means = [sum(column) / len(rows) for column in zip(*rows, strict=True)]
        print(f"mean gap, {name} ({len(rows)}): {means[0]:.3f} % at 50 ms, {means[1]:.3f} % at 200 ms, ", end="")
        print(f"worst {max(row[1] for row in rows):.1f} %; as kitchens {means[2]:.2f} %")


def prove(times: int) -> None:
    for instance in range(1, times + 1):
        for parameter in range(1, len(GRID) + 1):
            print(parameter, instance, proved(drawn(parameter, instance)))


def main() -> None:
    asked = argparse.ArgumentParser(description="The gap to the shortest plan on project instances.")
    asked.add_argument("folder", type=Path, nargs="?", help="of .sm files and, if there is one, their table of optima")
    asked.add_argument("--seed", type=int, default=1, help="of the search's chance")
    asked.add_argument("--prove", type=int, default=0, help="so many drawn instances of each cell")
    given = asked.parse_args()
    known = optima(given.folder or HERE)
    if given.prove:
        prove(given.prove)
    elif given.folder:
        paths = sorted(path for path in given.folder.glob("*.sm") if "opt" not in path.stem)
        show(((project, known.get(project.name)) for project in map(read, paths)), given.seed)
    else:
        cells = [(parameter, instance) for instance in (1, 2) for parameter in range(1, len(GRID) + 1)]
        show(((drawn(*cell), known["drawn{}_{}".format(*cell)]) for cell in cells), given.seed)


if __name__ == "__main__":
    main()
