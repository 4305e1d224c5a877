"""Small kitchens that are late already, beside an exact search: OR-Tools' CP-SAT on the same jobs, proved.

Lateness is weighed: minutes after what is needed, each by the part of its sitting's plates that wait, plates lost and
what does not last included, as the schedule costs them. Earliness is minutes that runs begin before they would have to
if they were alone, with what is eaten of slack; it is compared only where we are as late as the exact search. What is
over when nobody has any use for it, and what only that takes, is begun by nobody: its earliness counts on neither side,
and is printed at the end. A draw counts when something is late that need not be late by itself. Seeds are printed. Run
it by hand:

    python tests/benchmarks/late_kitchens.py [--kitchens 20] [--seconds 20]
    python tests/benchmarks/late_kitchens.py --demo    the demo kitchen at 14:20, its lines weighing equal and not
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1]))

from kitchen_cpsat import Exact
from kitchen_schedules import Laid, alone
from placing_checker import faults
from random_kitchens import kitchen

from prepboard.plan.board import Board, write_out
from prepboard.plan.floor.placing import floor_for, lay_out
from prepboard.plan.floor.plates import LOST
from prepboard.plan.floor.under_way import book_under_way
from prepboard.plan.given.state import State
from prepboard.plan.memory import forget
from prepboard.plan.outline import outline
from prepboard.plan.runs.still_takes import waits
from prepboard.plan.runs.today import station_of

DAY = datetime(2026, 10, 31, tzinfo=UTC)
"""Dinner is at 18:00."""


def laid_out(state: State, now: datetime) -> tuple[Board, Laid]:
    """A plan, and the jobs of which its runs were placed, none of them booked."""
    found = outline(state, now, moving=True)
    planned, run_times, under_way = found.needs.planned, found.run_times, found.placing.under_way
    stations = [station_of(found.state, run, now) for run in planned]
    floors = [floor_for(found.state, planned, found.runs, now) for _ in range(2)]
    floors[0].waits = waits(found.runs, planned, run_times)
    book_under_way(found.runs, floors[0], run_times, floors[0].waits)
    schedules = [lay_out(planned, stations, floor, run_times, under_way)[1] for floor in floors]
    return write_out(found, state), Laid(found.state, planned, floors[0], *schedules, run_times)


def late_kitchens(count: int, first: int = 3000) -> Iterator[tuple[int, State, datetime]]:
    """So many drawn kitchens of 6 to 14 runs, some hours before dinner and late; with their seeds."""
    seed = first
    while count:
        chance = Random(seed)
        state = kitchen(seed, chance.randrange(6, 13), tight=seed % 2 == 0)
        now = DAY + timedelta(hours=chance.randrange(8, 16), minutes=chance.randrange(60))
        board, laid = laid_out(state, now)
        if 6 <= len(laid.planned) <= 14 and cost_of(board, laid)[0] > unavoidable(laid):
            yield seed, state, now
            count -= 1
        seed += 1


def unavoidable(laid: Laid) -> int:
    """What lateness costs of every chain by itself."""
    return sum(laid.schedule.jobs[index].lateness(end) for index, end in alone(laid).items() if end is not None)


def cost_of(board: Board, laid: Laid) -> tuple[int, int, int]:
    """(weighed lateness in hundredths, earliness, earliness of what nobody will begin) of where a plan has its runs."""
    late, early, over = 0, [0, 0], set()
    for index, (job, run) in enumerate(zip(laid.schedule.jobs, laid.planned, strict=True)):
        placement = board.placing.placements.get(str(run.line))
        if placement is not None:
            begin, end = laid.floor.minute(placement.steps[0].begins), laid.floor.minute(placement.steps[-1].ends)
            users = {user for user, _ in laid.schedule.users[index]}
            if job.is_over(end) and over.issuperset(users) and (users or job.no_use_from is not None):
                over.add(index)
            late += job.lateness(end)
            early[index in over] += max(0, job.alone - begin) + min(max(0, end - job.due), job.slack)
    return late, *early


def beside(count: int, seconds: float) -> None:
    print(f"{'seed':>5} {'runs':>5} {'ms':>5} {'late':>12} {'exact':>12} {'early':>7} {'exact':>7}")
    sums, plates, wrong, proved, optimal, nobodys = [0, 0, 0, 0], [0, 0], 0, 0, 0, 0
    for seed, state, now in late_kitchens(count):
        forget()
        began = time.process_time()
        board, laid = laid_out(state, now)
        took = (time.process_time() - began) * 1000
        wrong += bool(faults(board))
        late, early, unused = cost_of(board, laid)
        nobodys += unused
        exact = Exact(laid.schedule, [index for index, end in alone(laid).items() if end is not None])
        least = exact.lateness(seconds, 2)
        print(f"{seed:>5} {len(laid.planned):>5} {took:>5.0f} {late / 100:>12.2f}", end="")
        if least is None:
            print(f"   nothing found in {seconds:.0f} s")
            continue
        same = late <= least[0]
        soonest = exact.earliness(least[0], seconds, 2) if same else None
        proved += least[2] and (not same or bool(soonest and soonest[2]))
        optimal += same
        plates = [plates[0] + late // LOST, plates[1] + least[0] // LOST]
        sums = [sums[0] + late % LOST, sums[1] + least[0] % LOST, *sums[2:]]
        if soonest:
            sums[2:] = [sums[2] + early, sums[3] + soonest[1]]
        shown = f"{soonest[1]:>7}" if soonest else f"{'':>7}"
        print(f" {least[0] / 100:>12.2f} {early:>7} {shown}")
        sys.stdout.flush()
    print(f"{count} kitchens, {wrong} plans with a fault, {proved} proved, {optimal} as late as the exact search")
    print(f"plates lost {plates[0]} beside {plates[1]}; weighed minutes besides ", end="")
    print(f"{sums[0] / 100:.2f} beside {sums[1] / 100:.2f}: {_ratio(sums[0], sums[1]):.4f}")
    print(f"earliness at equal lateness {sums[2]} beside {sums[3]}: {_ratio(sums[2], sums[3]):.3f}; ", end="")
    print(f"{nobodys} of what nobody will begin")


def _ratio(ours: int, theirs: int) -> float:
    return ours / theirs if theirs else float(ours > 0) + 1


def demo(seconds: float) -> None:
    """Beside it, what the plan says of each line that is late."""
    from prepboard.demo import NOW, build
    from prepboard.store.kitchen_file import KitchenFile

    with TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.db"
        build(path)
        file = KitchenFile.open(path)
        state = file.read()
        file.close()
    board, laid = laid_out(state, NOW)
    late, early, _ = cost_of(board, laid)
    lines = {line.prep: line.late_minutes for line in board.make if line.late_minutes}
    print(f"{len(board.make)} runs, {len(faults(board))} faults; late by {lines}: {sum(lines.values())} min, ", end="")
    print(f"weighed {late / 100:.2f}, earliness {early}; {sum(line.too_late for line in board.make)} too late")
    fits = [index for index, end in alone(laid).items() if end is not None]
    for equal in (True, False):
        exact = Exact(laid.schedule, fits, equal)
        least = exact.lateness(seconds, 2)
        soonest = exact.earliness(least[0], seconds, 2) if least else None
        kind = "lines equal" if equal else "weighed, in hundredths"
        print(f"exact, {kind}: lateness {least and (least[0], least[2])}, earliness {soonest and soonest[1:]}")


def main() -> None:
    asked = argparse.ArgumentParser(description="Small late kitchens beside an exact search.")
    asked.add_argument("--kitchens", type=int, default=20)
    asked.add_argument("--seconds", type=float, default=20, help="for each of the two questions of a kitchen")
    asked.add_argument("--demo", action="store_true")
    given = asked.parse_args()
    if given.demo:
        demo(given.seconds)
    else:
        beside(given.kitchens, given.seconds)


if __name__ == "__main__":
    main()
