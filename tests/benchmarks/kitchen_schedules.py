"""Schedules of drawn kitchens beside a lower bound and beside OR-Tools' CP-SAT, and how long schedules take.

Lateness is minutes after ready-by, summed over runs that are for a service, and minutes that runs are over too early to
last for what they are for; earliness is minutes that runs begin before they would have to if they were alone. The bound
on lateness is every chain of runs by itself, with hours and with ingredients but with all hands and ovens to itself;
what fits nowhere even so is left out on both sides. Every schedule passes the tests' second look. Times are processor
time, the best of some. Run it by hand:

    python tests/benchmarks/kitchen_schedules.py            speed: 25, 150, 2,000 runs, one change among 150
    python tests/benchmarks/kitchen_schedules.py --beside   20 normal and 20 tight kitchens beside CP-SAT at 1 and 5 s
    python tests/benchmarks/kitchen_schedules.py --alone    the same without CP-SAT
    python tests/benchmarks/kitchen_schedules.py --demo     the demo kitchen's plan and its bound
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from math import inf
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import TypeVar

from msgspec.structs import replace

sys.path.insert(0, str(Path(__file__).parents[1]))

from kitchen_cpsat import second_opinion
from placing_checker import faults
from random_kitchens import NOW, kitchen

from prepboard.plan.board import plan
from prepboard.plan.demand.occasions import ahead
from prepboard.plan.demand.pars import pars
from prepboard.plan.floor.floor import Floor
from prepboard.plan.floor.placing import Placing, floor_for, lay_out, place_runs
from prepboard.plan.floor.under_way import book_under_way
from prepboard.plan.given.state import State
from prepboard.plan.memory import forget
from prepboard.plan.needs.needs import work_out
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.runs import Planned, RunTimes
from prepboard.plan.runs.today import station_of
from prepboard.plan.solver.chains import earliest_chain
from prepboard.plan.solver.schedule import Schedule


@dataclass
class Laid:
    """A kitchen's runs as jobs, nothing planned placed yet."""

    state: State
    planned: tuple[Planned, ...]
    floor: Floor
    schedule: Schedule
    free: Schedule
    """The same jobs while nothing at all is booked."""
    run_times: RunTimes

    @classmethod
    def of(cls, state: State, now: datetime) -> Laid:
        run_times, until = RunTimes(state, now), horizon(state, now)
        held = ahead(state, now, until)
        planned = work_out(state, now, until, pars(state, now, until, held), run_times).planned
        floor = floor_for(state, planned, state.runs, now)
        under_way = book_under_way(state.runs, floor, run_times, {})
        stations = [station_of(state, run, now) for run in planned]
        _, schedule = lay_out(planned, stations, floor, run_times, under_way)
        nothing_booked = floor_for(state, planned, state.runs, now)
        _, free = lay_out(planned, stations, nothing_booked, run_times, under_way)
        return cls(state, planned, floor, schedule, free, run_times)


def alone(laid: Laid) -> dict[int, int | None]:
    """When each job is over at the soonest, with hours and its own givers but all hands and places to itself; None
    where it fits nowhere."""
    ends: dict[int, int | None] = {}
    for index in reversed(range(len(laid.free.jobs))):
        job = laid.free.jobs[index]
        after = list(job.after)
        for feed in job.feeds:
            after[feed.step] = max(after[feed.step], (ends.get(feed.giver) or 0) + feed.lag)
        begins = earliest_chain(laid.free.blocks(index), after, laid.free.length)
        ends[index] = begins[-1] + job.steps[-1].span if begins else None
    return ends


def bound(laid: Laid) -> int:
    """Lateness that no schedule avoids."""
    jobs = laid.schedule.jobs
    return sum(max(0, end - jobs[index].due) * jobs[index].weight for index, end in alone(laid).items() if end)


def cost_of(placing: Placing, laid: Laid) -> tuple[int, int, int]:
    """(lateness, earliness, lines that fit nowhere) of where runs were placed; what is over too early to last for what
    it is for costs as lateness does."""
    late = early = nowhere = 0
    for job, run in zip(laid.schedule.jobs, laid.planned, strict=True):
        placement = placing.placements.get(str(run.line))
        if placement is not None:
            begins = [laid.floor.minute(step.begins) for step in placement.steps]
            end = laid.floor.minute(placement.steps[-1].ends)
            late += max(0, end - job.due) * job.weight + max(0, job.fresh - job.at_fresh(begins, end))
            early += max(0, job.alone - laid.floor.minute(placement.steps[0].begins))
        elif run.steps:
            nowhere += 1
    return late, early, nowhere


def kitchens(count: int, tight: bool) -> Iterator[tuple[int, State, Laid]]:
    """So many drawn kitchens of 8 to 25 runs, with their seeds."""
    seed = 1000
    while count:
        state = kitchen(seed, (8 + seed % 18) * 3 // 2, tight=tight)
        laid = Laid.of(state, NOW)
        if 8 <= len(laid.planned) <= 25:
            yield seed, state, laid
            count -= 1
        seed += 1


def beside(count: int, with_others: bool) -> None:
    for tight in (False, True):
        kind = "tight" if tight else "normal"
        print(f"{kind:7} {'runs':>5} {'nowhere':>8} {'ms':>5} {'bound':>7} {'ours: late':>10} {'early':>7}", end="")
        print(f" {'CP-SAT 1 s: late':>17} {'early':>7} {'5 s: late':>10} {'early':>7}")
        sums = [0] * 7
        at_bound = wrong = none = 0
        times = []
        for seed, state, laid in kitchens(count, tight):
            board, took = timed(lambda state=state: plan(state, NOW))
            times.append(took)
            wrong += bool(faults(board))
            ends = alone(laid)
            least, (late, early, nowhere) = bound(laid), cost_of(board.placing, laid)
            fits = [index for index, end in ends.items() if end is not None]
            others = [second_opinion(laid.schedule, fits, seconds) for seconds in (1.0, 5.0) if with_others]
            none += others[-1:] == [None]
            at_bound += late == least
            row = [least, late, early, *(part for one in others for part in (one or (-1, -1))[:2])]
            print(
                f"{seed:7} {len(board.make):>5} {nowhere:>8} {took:>5.0f} {row[0]:>7} {row[1]:>10} {row[2]:>7}", end=""
            )
            for number, width in zip(row[3:], (18, 8, 11, 8), strict=False):
                print(f"{number:>{width}}", end="")
            print(" proved" if others and others[1] and others[1][2] else "")
            sums = [before + value for before, value in zip(sums, [*row, 0, 0, 0, 0], strict=False)]
            sys.stdout.flush()
        print(f"sum     {'':>5} {'':>8} {median(times):>5.0f} {sums[0]:>7} {sums[1]:>10} {sums[2]:>7}", end="")
        print(f" {sums[3]:>17} {sums[4]:>7} {sums[5]:>10} {sums[6]:>7}")
        print(f"{kind}: {wrong} plans with a fault; {at_bound} of {count} as late as the bound; ", end="")
        print(f"{max(times):.0f} ms at the most; CP-SAT found nothing in 5 s for {none}\n")


Answer = TypeVar("Answer")


def timed(act: Callable[[], Answer], times: int = 3) -> tuple[Answer, float]:
    """An answer worked out anew each time, and the least milliseconds of processor time it took."""
    least, answer = inf, None
    for _ in range(times):
        forget()
        began = time.process_time()
        answer = act()
        least = min(least, (time.process_time() - began) * 1000)
    return answer, least


def speed() -> None:
    print(f"{'runs':>6} {'schedule ms':>12} {'one changed ms':>15} {'read again ms':>14} {'late':>8} {'early':>8}")
    for runs in (25, 50, 100, 145, 150, 500, 1000, 1450):
        laid = Laid.of(_large(runs), NOW)
        times = 7 if runs < 500 else 3
        (placing, _), took = timed(lambda laid=laid: place_runs(laid.state, laid.planned, (), laid.run_times), times)
        kept = replace(laid.state, placements=placing.placements, placed_for=placing.digest)
        _, read = timed(lambda laid=laid, kept=kept: place_runs(kept, laid.planned, (), laid.run_times), times)
        changed = dict(placing.placements)
        changed.pop(next(iter(changed)))
        one = replace(laid.state, placements=changed, placed_for="before")
        _, again = timed(lambda laid=laid, one=one: place_runs(one, laid.planned, (), laid.run_times), times)
        late, early, _ = cost_of(placing, laid)
        print(f"{len(laid.planned):>6} {took:>12.1f} {again:>15.1f} {read:>14.1f} {late:>8} {early:>8}")
        sys.stdout.flush()


def _large(runs: int) -> State:
    """A kitchen that is drawn like the others and whose benches and ovens grow with its runs."""
    return kitchen(7, runs * 7 // 5, benches=max(4, runs // 6))


def demo() -> None:
    from prepboard.demo import build
    from prepboard.store.kitchen_file import KitchenFile

    with TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.db"
        build(path)
        file = KitchenFile.open(path)
        state, now = file.read(), file.clock.now()
        file.close()
    laid = Laid.of(state, now)
    board = plan(state, now)
    late, early, _ = cost_of(board.placing, laid)
    print(f"the demo kitchen at {now:%a %H:%M} UTC: {len(board.make)} runs, {len(faults(board))} faults, ", end="")
    print(f"lateness {late} min (bound {bound(laid)}), earliness {early} min")


def main() -> None:
    asked = argparse.ArgumentParser(description="Schedules of drawn kitchens.")
    asked.add_argument("--beside", type=int, nargs="?", const=20, help="so many normal and tight ones beside CP-SAT")
    asked.add_argument("--alone", type=int, nargs="?", const=20, help="the same without CP-SAT")
    asked.add_argument("--demo", action="store_true")
    given = asked.parse_args()
    if given.beside or given.alone:
        beside(given.beside or given.alone, bool(given.beside))
    elif given.demo:
        demo()
    else:
        speed()


if __name__ == "__main__":
    main()
