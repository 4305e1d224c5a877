"""Schedules of drawn kitchens beside a lower bound and beside OR-Tools' CP-SAT, and how long schedules take.

Lateness is minutes after ready-by, summed over runs that are for a service; earliness is minutes that runs begin before
they would have to if they were alone. The bound on lateness is every chain of runs by itself, with hours and with
ingredients but with all hands and ovens to itself. Every schedule passes the tests' second look. Run it by hand:

    python tests/benchmarks/kitchen_schedules.py            speed: 25, 150, 2,000 runs, one change among 150
    python tests/benchmarks/kitchen_schedules.py --beside   20 normal and 20 tight kitchens beside CP-SAT at 1 and 5 s
    python tests/benchmarks/kitchen_schedules.py --demo     the demo kitchen's plan and its bound
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from msgspec.structs import replace

sys.path.insert(0, str(Path(__file__).parents[1]))

from placing_checker import faults
from random_kitchens import NOW, kitchen

from prepboard.plan.board import Board, plan
from prepboard.plan.needs import work_out
from prepboard.plan.occasions import ahead
from prepboard.plan.pars import pars
from prepboard.plan.placing.chains import earliest_chain
from prepboard.plan.placing.floor import Floor
from prepboard.plan.placing.kitchen import floor_for, lay_out, place_runs
from prepboard.plan.placing.lanes import Lane, first_free
from prepboard.plan.placing.orders import place_all
from prepboard.plan.placing.schedule import Schedule
from prepboard.plan.placing.under_way import book_under_way
from prepboard.plan.runs import Bench, Planned, horizon
from prepboard.plan.state import State
from prepboard.plan.today import station_of


@dataclass
class Laid:
    """A kitchen's runs as jobs, nothing planned placed yet."""

    state: State
    planned: tuple[Planned, ...]
    floor: Floor
    schedule: Schedule
    bench: Bench

    @classmethod
    def of(cls, state: State, now: datetime) -> Laid:
        bench, until = Bench(state, now), horizon(state, now)
        held = ahead(state, now, until)
        planned = work_out(state, now, until, pars(state, now, until, held), bench).planned
        floor = floor_for(state, planned, state.runs, now)
        under_way = book_under_way(state.runs, floor, bench)
        stations = [station_of(state, run, now) for run in planned]
        _, schedule = lay_out(planned, stations, floor, now, under_way)
        return cls(state, planned, floor, schedule, bench)


def bound(laid: Laid) -> int:
    """Lateness that no schedule avoids: each job as early as hours and its own givers let it be, on empty lanes."""
    alone = Laid.of(replace(laid.state, runs=()), laid.bench.now).schedule
    alone.jobs = laid.schedule.jobs
    ends: dict[int, int] = {}
    for index in reversed(range(len(alone.jobs))):
        job = alone.jobs[index]
        after = list(job.after)
        for feed in job.feeds:
            after[feed.step] = max(after[feed.step], ends.get(feed.giver, 0) + feed.lag)
        begins = earliest_chain(job.steps, after, alone.length)
        ends[index] = begins[-1] + job.steps[-1].span if begins else 0
    return sum(max(0, ends[index] - job.due) * job.weight for index, job in enumerate(alone.jobs))


def second_opinion(laid: Laid, seconds: float) -> tuple[int, int, bool] | None:
    """(lateness, earliness, proved) by CP-SAT on the same jobs, one worker; None where it finds no schedule in time."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    length = laid.schedule.length
    jobs = list(laid.schedule.jobs)
    begins = [
        [model.new_int_var(job.after[number], length, f"b{index}.{number}") for number in range(len(job.steps))]
        for index, job in enumerate(jobs)
    ]
    ends = [begins[index][-1] + job.steps[-1].span for index, job in enumerate(jobs)]
    used: dict[int, tuple[object, list[tuple[object, int, int, object]]]] = {}
    late, early = [], []
    for index, job in enumerate(jobs):
        for number, step in enumerate(job.steps):
            begin = begins[index][number]
            following = begins[index][number + 1] if number + 1 < len(job.steps) else begin + step.span
            if number + 1 < len(job.steps):
                model.add(following >= begin + step.span)
                if step.most is not None:
                    model.add(following <= begin + step.head + step.most)
            if step.ends_open is not None:
                closed = _stretches(step.ends_open.closed)
                shut = [(since + 1 - step.span, until - step.span) for since, until in closed]
                domain = cp_model.Domain(-length, 2 * length)
                for since, until in shut:
                    domain = domain.intersection_with(cp_model.Domain(since, until).complement())
                model.add_linear_expression_in_domain(begin, domain)
            for demand in step.demands:
                over = following if demand.whole else begin + step.head
                used.setdefault(id(demand.pool), (demand.pool, []))[1].append(
                    (begin, over, demand, f"{index}.{number}")
                )
        for feed in job.feeds:
            model.add(begins[index][feed.step] >= ends[feed.giver] + feed.lag)
        if job.weight:
            over = model.new_int_var(0, length, f"l{index}")
            model.add(over >= ends[index] - job.due)
            late.append(job.weight * over)
        soon = model.new_int_var(0, length, f"e{index}")
        model.add(soon >= job.alone - begins[index][0])
        early.append(soon)
    for pool, asked in used.values():
        _share(model, pool.lanes, asked, length)
    model.minimize(length * 10 * sum(late) + sum(early))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds, solver.parameters.num_workers = seconds, 1
    answer = solver.solve(model)
    if answer not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    found = round(sum(solver.value(one) for one in late)), round(sum(solver.value(one) for one in early))
    return *found, answer == cp_model.OPTIMAL


def _share(model: object, lanes: Sequence[Lane], asked: list, length: int) -> None:
    """Every demand on as many lanes as it wants: none over its capacity, and no lane with two modes at once."""
    on: list[list] = [[] for _ in lanes]
    for begin, over, demand, name in asked:
        size = model.new_int_var(0, length, f"z{name}")
        end = model.new_int_var(0, 2 * length, f"x{name}")
        model.add(end == over)
        chosen = [model.new_bool_var(f"o{name}.{number}") for number in range(len(lanes))]
        model.add(sum(chosen) == demand.lanes)
        for number, there in enumerate(chosen):
            span = model.new_optional_interval_var(begin, size, end, there, f"i{name}.{number}")
            on[number].append((span, begin, end, there, demand))
    for number, lane in enumerate(lanes):
        spans = [span for span, *_ in on[number]]
        taken = [demand.amount for *_, demand in on[number]]
        capacity = lane.capacity
        for since, until, units in _missing(lane, length):
            spans.append(model.new_fixed_size_interval_var(since, until - since, f"c{number}.{since}"))
            taken.append(units)
        model.add_cumulative(spans, taken, capacity)
        for first, (_, begin, end, there, demand) in enumerate(on[number]):
            for _, other_begin, other_end, other_there, other in on[number][first + 1 :]:
                if other.mode != demand.mode:
                    before, after = model.new_bool_var(""), model.new_bool_var("")
                    model.add(end <= other_begin).only_enforce_if(before)
                    model.add(other_end <= begin).only_enforce_if(after)
                    model.add_bool_or([before, after, there.negated(), other_there.negated()])


def _missing(lane: Lane, length: int) -> list[tuple[int, int, int]]:
    """(since, until, units that are not there) of an empty lane; these stand on each other."""
    levels = [lane.blocked(0, units) & (1 << length) - 1 for units in range(1, lane.capacity + 1)]
    return [(since, until, 1) for level in levels for since, until in _stretches(level)]


def _stretches(bits: int) -> list[tuple[int, int]]:
    """Where bits stand one after the other: (since, until)."""
    found, at = [], 0
    while bits >> at:
        since = at + ((bits >> at) & -(bits >> at)).bit_length() - 1
        at = first_free(bits, since)
        found.append((since, at))
    return found


def cost_of(board: Board, laid: Laid) -> tuple[int, int]:
    """Lateness and earliness of a board's plan, counted from its lines."""
    late = early = 0
    by_line = {str(run.line): (job, run) for job, run in zip(laid.schedule.jobs, laid.planned, strict=True)}
    for line in board.make:
        job, _ = by_line[str(line.line)]
        if line.steps:
            late += max(0, laid.floor.minute(line.steps[-1].ends) - job.due) * job.weight
            early += max(0, job.alone - laid.floor.minute(line.steps[0].begins))
    return late, early


def beside(kitchens: int) -> None:
    for tight in (False, True):
        kind = "tight" if tight else "normal"
        print(f"{kind:7} {'runs':>5} {'ms':>5} {'bound':>7} {'ours: late':>10} {'early':>7}", end="")
        print(f" {'CP-SAT 1 s: late':>17} {'early':>7} {'5 s: late':>10} {'early':>7}")
        sums = [0] * 7
        at_bound = wrong = none = 0
        for seed in range(1000, 1000 + kitchens):
            state = kitchen(seed, 8 + seed % 10, tight=tight)
            laid = Laid.of(state, NOW)
            began = time.process_time()
            board = plan(state, NOW)
            took = (time.process_time() - began) * 1000
            wrong += bool(faults(board))
            least, (late, early) = bound(laid), cost_of(board, laid)
            others = [second_opinion(laid, seconds) for seconds in (1.0, 5.0)]
            none += others[1] is None
            at_bound += late == least
            shown = [value if value is not None else (-1, -1, False) for value in others]
            row = [least, late, early, *(part for one in shown for part in one[:2])]
            sums = [before + value for before, value in zip(sums, row, strict=True)]
            print(f"{seed:7} {len(board.make):>5} {took:>5.0f} {row[0]:>7} {row[1]:>10} {row[2]:>7}", end="")
            print(f" {row[3]:>17} {row[4]:>7} {row[5]:>10} {row[6]:>7}{' proved' if shown[1][2] else ''}")
            sys.stdout.flush()
        print(f"sum     {'':>5} {'':>5} {sums[0]:>7} {sums[1]:>10} {sums[2]:>7}", end="")
        print(f" {sums[3]:>17} {sums[4]:>7} {sums[5]:>10} {sums[6]:>7}")
        print(f"{kind}: {wrong} plans with a fault; {at_bound} of {kitchens} as late as the bound; ", end="")
        print(f"CP-SAT found nothing in 5 s for {none}\n")


def speed() -> None:
    print(f"{'runs':>6} {'schedule ms':>12} {'one changed ms':>15} {'read again ms':>14} {'late':>8} {'early':>8}")
    for runs in (25, 50, 100, 150, 500, 1000, 1450):
        laid = Laid.of(_large(runs), NOW)
        began = time.process_time()
        placing = place_runs(laid.state, laid.planned, (), laid.bench)
        took = (time.process_time() - began) * 1000
        kept = replace(laid.state, placements=placing.placements, placed_for=placing.digest)
        began = time.process_time()
        place_runs(kept, laid.planned, (), laid.bench)
        read = (time.process_time() - began) * 1000
        changed = dict(placing.placements)
        changed.pop(next(iter(changed)))
        one = replace(laid.state, placements=changed, placed_for="before")
        began = time.process_time()
        place_runs(one, laid.planned, (), laid.bench)
        again = (time.process_time() - began) * 1000
        place_all(laid.schedule, range(len(laid.planned)), tries=1)
        late, early = laid.schedule.cost()
        print(f"{len(laid.planned):>6} {took:>12.1f} {again:>15.1f} {read:>14.1f} {late:>8} {early:>8}")
        sys.stdout.flush()


def _large(runs: int) -> State:
    """A kitchen that is drawn like the others and whose benches and ovens grow with its runs."""
    return kitchen(7, runs * 7 // 5, benches=max(4, runs // 6))


def demo() -> None:
    from prepboard.demo import build
    from prepboard.store.file import KitchenFile

    with TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.db"
        build(path)
        file = KitchenFile.open(path)
        state, now = file.read(), file.clock.now()
        file.close()
    laid = Laid.of(state, now)
    board = plan(state, now)
    late, early = cost_of(board, laid)
    print(f"the demo kitchen at {now:%a %H:%M} UTC: {len(board.make)} runs, {len(faults(board))} faults, ", end="")
    print(f"lateness {late} min (bound {bound(laid)}), earliness {early} min")


def main() -> None:
    asked = argparse.ArgumentParser(description="Schedules of drawn kitchens.")
    asked.add_argument("--beside", type=int, nargs="?", const=20, help="so many normal and tight ones beside CP-SAT")
    asked.add_argument("--demo", action="store_true")
    given = asked.parse_args()
    if given.beside:
        beside(given.beside)
    elif given.demo:
        demo()
    else:
        speed()


if __name__ == "__main__":
    main()
