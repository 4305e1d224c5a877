"""What begins earlier than it must is put off, as far as an exact search puts it off.

The least earliness at the least lateness of each drawn kitchen was proved by OR-Tools' CP-SAT 9.15 on the same jobs
(`tests/benchmarks/late_kitchens.py`).
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import permutations
from random import Random

import pytest
from msgspec.structs import replace
from placing_checker import faults
from random_kitchens import kitchen

from prepboard.plan.board import write_out
from prepboard.plan.outline import outline
from prepboard.plan.solver.jobs import Feed, Job, JobStep, Pool, PoolUse
from prepboard.plan.solver.lanes import Lane
from prepboard.plan.solver.orders import place_all, useless
from prepboard.plan.solver.putting_off import PuttingOff
from prepboard.plan.solver.rivals import Rivals
from prepboard.plan.solver.schedule import Schedule

DAY = datetime(2026, 10, 31, tzinfo=UTC)
"""Dinner is at 18:00."""

PROVED = [(3000, 13), (3008, 0), (3013, 0), (3016, 130), (3018, 205), (3050, 30)]
"""(seed, minutes that what somebody will begin begins earlier than alone)."""


@pytest.mark.parametrize(("seed", "least"), PROVED)
def test_nothing_begins_earlier_than_the_best_order_has_it(seed: int, least: int) -> None:
    chance = Random(seed)
    state = kitchen(seed, chance.randrange(6, 13), tight=seed % 2 == 0)
    now = DAY + timedelta(hours=chance.randrange(8, 16), minutes=chance.randrange(60))
    found = outline(state, now, moving=True)
    board = write_out(found, state)
    nobodys = {str(line.line) for line in board.make if line.too_late}
    early = 0
    for run in found.needs.planned:
        if all(
            need.run_of is not None and need.key in nobodys for need in (*(one for one, _ in run.serves), *run.draw)
        ):
            nobodys.add(run.name)
        elif run.name not in nobodys and run.steps:
            early += max(0, (run.alone[0].begins - run.steps[0].begins) // timedelta(minutes=1))
    assert faults(board) == []
    assert early <= least


def bench(length: int = 400) -> Pool:
    return Pool((Lane(1, length),))


def hands_on(pool: Pool, minutes: int, due: int, **more: object) -> Job:
    return Job((JobStep(minutes, demands=(PoolUse(pool),)),), due, (0,), alone=due - minutes, **more)


def test_what_lies_in_a_bad_order_is_put_into_the_best() -> None:
    """Two hours' work lies where it would be alone, and two short ones, due as well, begin hours before they must; all
    six orders are tried out beside it."""
    schedule = Schedule([hands_on(pool := bench(), 120, 300), hands_on(pool, 15, 300), hands_on(pool, 20, 310)], 400)
    empty, costs = schedule.snapshot(), []
    for order in permutations(range(3)):
        schedule.restore(empty)
        for index in order:
            schedule.place(index)
        costs.append(schedule.cost())
    schedule.restore(empty)
    for index in (0, 2, 1):
        schedule.place(index)
    assert schedule.cost() > min(costs)
    PuttingOff(Rivals(schedule, range(3)), empty).put_off(60)
    assert schedule.cost() == min(costs)


def test_what_lies_there_already_and_is_late_costs_no_search() -> None:
    """Whatever is late and was booked before can be bettered by no order of the rest."""

    def spent(also_late: bool) -> int:
        pool = bench()
        jobs = [hands_on(pool, 40, 300), hands_on(pool, 50, 300), hands_on(pool, 60, 310), hands_on(bench(), 90, 50)]
        schedule = Schedule(jobs, 400)
        if also_late:
            schedule.place(3)
            assert schedule.late > 0
        before = schedule.placements
        place_all(schedule, range(3), improving=300)
        return schedule.placements - before

    assert spent(also_late=True) == spent(also_late=False)


def test_what_nobody_has_any_use_for_keeps_nothing_early() -> None:
    """A giver for two: one is over when its guests have gone, however it is begun; it waits for the giver, and not the
    other way round."""
    pool, other = bench(1000), bench(1000)
    over = Job((JobStep(30, demands=(PoolUse(other),)),), 20, (0,), alone=0, feeds=(Feed(2, 0),), lost_from=40, lost=9,
               no_use_from=40)  # fmt: skip
    jobs = [over, hands_on(pool, 30, 600, feeds=(Feed(2, 0),)), hands_on(other, 60, 570, weight=0)]
    schedule = Schedule(jobs, 1000)
    place_all(schedule, range(3), improving=300)
    booked = [lies.begins[0] for lies in schedule.booked if lies is not None]
    assert booked == [570, 570, 510]
    assert useless(schedule, range(3)) == [0]


def test_what_nobody_has_any_use_for_is_in_nobodys_way_so_that_what_it_takes_lasts() -> None:
    """One is over when its guests have gone, however it is begun, and what it takes can be made at the beginning only
    and lasts until 134; two more want the cook from 40 to 140, and would be late."""
    pool, oven = bench(), bench()
    over = Job((JobStep(60, demands=(PoolUse(pool),)),), 20, (0,), alone=-40, feeds=(Feed(3, 0, wanted=100),),
               lost_from=40, lost=9, no_use_from=40)  # fmt: skip
    first, second = (hands_on(pool, minutes, due, weight=100) for minutes, due in ((60, 100), (40, 140)))
    first, second = replace(first, after=(40,)), replace(second, after=(70,))
    schedule = Schedule([over, first, second, hands_on(oven, 30, 30, weight=0, fresh=1), hands_on(oven, 300, 335)], 400)
    schedule.book(4, [35])
    place_all(schedule, range(4), improving=300)
    assert [lies.begins[0] for lies in schedule.booked if lies is not None][:3] == [140, 40, 100]


def test_what_nobody_has_any_use_for_is_made_to_last_where_nobody_else_is_sooner_without() -> None:
    """Nobody else is late: that what it takes goes to waste is no reason not to ask how long that lasts."""
    pool, oven = bench(), bench()
    over = Job((JobStep(60, demands=(PoolUse(pool),)),), 0, (40,), alone=-60,
               feeds=(Feed(1, 0, wanted=20), Feed(2, 0, wanted=20)), lost_from=20, lost=9, no_use_from=20)  # fmt: skip
    first, second = (replace(hands_on(oven, 30, 0, weight=0, fresh=1), after=(after,)) for after in (10, 30))
    schedule = Schedule([over, first, second, hands_on(pool, 60, 100), hands_on(oven, 30, 90)], 500)
    schedule.book(3, [40])
    schedule.book(4, [60])
    place_all(schedule, range(3), improving=300)
    assert not schedule.need_not_last


def test_a_pass_from_the_front_is_given_up_once_more_is_late_than_was() -> None:
    pool = bench()
    jobs = [hands_on(pool, 10, 5) for _ in range(4)]
    schedule = Schedule(jobs, 400)
    rivals, by = Rivals(schedule, range(4)), dict.fromkeys(range(4), 0)
    # They end at 10, 20, 30 and 40: 5, 15, 25 and 35 late.
    assert not rivals.front_and_back(by, by, most=19)
    assert [index for index in range(4) if schedule.booked[index]] == [0, 1]
    for index in range(4):
        schedule.take_out(index)
    assert rivals.front_and_back(by, by, most=80)
    assert schedule.lateness() == schedule.late == 80


def test_what_lies_already_counts_when_a_pass_from_the_front_is_given_up() -> None:
    pool = bench()
    schedule = Schedule([hands_on(pool, 10, 5) for _ in range(3)], 400)
    schedule.place(0)
    rivals, by = Rivals(schedule, [1, 2]), {1: 0, 2: 0}
    assert not rivals.front_and_back(by, by, most=44)
    schedule.take_out(1)
    schedule.take_out(2)
    assert rivals.front_and_back(by, by, most=45)
