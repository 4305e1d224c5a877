"""The demo's story: a Saturday afternoon that could be, the same each time."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import datetime, time, timedelta
from fractions import Fraction
from pathlib import Path
from time import time as time_of_day

import pytest
from conftest import any_plan
from placing_checker import faults

from prepboard.clock import FixedClock
from prepboard.demo import NOW, TODAY, WEEKS_BEHIND, build, later
from prepboard.plan.board import Board, plan
from prepboard.plan.given.state import Batch, State
from prepboard.plan.outline import outline
from prepboard.store.file.faults import StoreFault
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.log import log_rows


@pytest.fixture(scope="module")
def built(made_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copy(made_demo, tmp_path_factory.mktemp("demo") / "kitchen.db"))


@pytest.fixture(scope="module")
def file(built: Path) -> Iterator[KitchenFile]:
    opened = KitchenFile.open(built, FixedClock(NOW))
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def state(file: KitchenFile) -> State:
    return file.read()


@pytest.fixture(scope="module")
def board(state: State) -> Board:
    return plan(state, NOW)


def plates(file: KitchenFile) -> list[tuple[object, ...]]:
    with file.looking() as db:
        return list(
            db.execute("SELECT day, service, dish, sum(n - back) FROM plates GROUP BY 1, 2, 3 ORDER BY 1, 2, 3")
        )


def what_there_is(path: Path) -> tuple[list[Batch], object]:
    opened = KitchenFile.open(path, FixedClock(NOW))
    try:
        return list(opened.read().batches), plates(opened)
    finally:
        opened.close()


def test_the_clock_reads_saturday_afternoon_and_runs_on(made_demo: Path, built: Path) -> None:
    opened = KitchenFile.open(built)
    try:
        shown = opened.clock.now()
        since_it_was_made = timedelta(seconds=time_of_day() - made_demo.stat().st_mtime)
        assert NOW <= shown < NOW + since_it_was_made + timedelta(minutes=5)
        assert opened.clock.set_by_hand
        assert opened.read().book.kitchen.days.local(NOW).strftime("%A %H:%M") == "Saturday 14:20"
    finally:
        opened.close()


def test_no_plan_of_the_afternoon_asks_for_what_is_not_there(board: Board) -> None:
    assert board.placing.placements
    assert faults(board) == []


def test_the_boards_that_were_open_kept_what_they_keep(
    board: Board, state: State, demo_at: Callable[[time], Path]
) -> None:
    """So one that opens has nothing to write, and its plan is the one that was kept."""
    assert board.placing.digest == state.placed_for
    kept = state.tonight["lunch", TODAY].out
    assert kept, "dishes ran out at lunch"
    assert state.learned
    evening = KitchenFile.open(Path(demo_at(time(19, 45))), FixedClock(later(time(19, 45))))
    looked = plan(evening.read(), evening.clock.now())
    evening.close()
    for one in (board, looked):
        assert (one.new_shorts, one.ended_shorts, one.new_run_outs, one.new_learned) == ({}, {}, {}, None)
        assert one.state.tonight["lunch", TODAY].out == kept


def test_the_same_seed_builds_the_same_kitchen_at_once_or_bit_by_bit(
    demo_at: Callable[[time], Path], tmp_path: Path
) -> None:
    at, again = later(time(16)), tmp_path / "again.db"
    with any_plan():
        build(again, at=at)
    batches, its_plates = what_there_is(again)
    others, other_plates = what_there_is(Path(shutil.copy(demo_at(time(16)), tmp_path / "four.db")))
    assert its_plates == other_plates
    assert [(one.prep, one.left, one.made_at, one.use_by, one.place) for one in batches] == [
        (one.prep, one.left, one.made_at, one.use_by, one.place) for one in others
    ]
    assert KitchenFile.open(again).clock.now() >= at


@any_plan()
def test_another_seed_gives_other_weeks_and_the_same_amounts(built: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    build(other, seed=8)
    batches, other_plates = what_there_is(other)
    known, known_plates = what_there_is(built)
    assert other_plates != known_plates
    assert sorted((batch.prep, batch.left) for batch in batches) == sorted((batch.prep, batch.left) for batch in known)


def test_a_file_that_is_there_already_is_left_alone(built: Path) -> None:
    before = what_there_is(built)
    with pytest.raises(StoreFault, match="there already"):
        build(built)
    assert what_there_is(built) == before


def test_every_batch_was_made_before_now_and_has_a_date_or_a_reason_for_none(state: State) -> None:
    for batch in state.batches:
        prep = state.book.preps[batch.prep]
        assert batch.made_at <= NOW - timedelta(minutes=5), batch
        if batch.use_by is None:
            assert prep.exempt, batch
        else:
            assert batch.use_by > batch.made_at, batch
            life = prep.keeps[prep.store]
            longest = timedelta(days=life.days) if life.days else timedelta(minutes=life.minutes or 0)
            assert batch.use_by - batch.made_at <= longest, batch


def test_one_batch_is_past_its_use_by_and_some_end_today_and_tomorrow(state: State) -> None:
    days = state.book.kitchen.days
    ends = [batch.use_by for batch in state.batches if batch.use_by]
    today, tomorrow = days.midnight_after(TODAY), days.midnight_after(TODAY + timedelta(days=1))
    assert sum(end <= NOW for end in ends) == 1
    assert sum(NOW < end <= today for end in ends) >= 5
    assert sum(today < end <= tomorrow for end in ends) >= 5


def test_places_are_in_range_and_a_jus_cools_in_time(board: Board) -> None:
    assert board.watch.flags == ()
    assert not board.watch.held
    (line,) = board.watch.cooling
    assert (line.prep, line.verdict, line.limit.key) == ("fowl-jus", "in time", "cooling_total")


def test_nobody_took_what_was_not_there(file: KitchenFile) -> None:
    """Every recipe of the weeks told found its ingredients."""
    rows = log_rows(file)
    assert any(row.did == "used" for row in rows)
    assert [row for row in rows if row.did == "missing"] == []


def test_runs_are_under_way_one_overnight_and_one_in_the_oven(state: State, board: Board) -> None:
    doing = {run.recipe.id: run.recipe.steps[run.step] for run in state.runs}
    assert any(step.equipment in {"combi", "deck-oven"} for step in doing.values())
    overnight = [line for line in board.under_way if line.next_at > NOW + timedelta(hours=8)]
    assert overnight
    for line in board.under_way:
        assert line.next_at > NOW, line


def test_several_benches_have_something_to_make_and_some_of_it_is_late(board: Board) -> None:
    """Late by minutes, not by days: a demo shows a pinch, not a wreck."""
    tonight = [line for line in board.make if line.begins < board.state.book.kitchen.days.midnight_after(TODAY)]
    benches: dict[str, int] = {}
    for line in tonight:
        benches[line.station] = benches.get(line.station, 0) + 1
    assert sum(count >= 4 for count in benches.values()) >= 3
    late = [line.late_minutes for line in board.make if line.late_minutes]
    assert 2 <= len(late) <= 8
    assert max(late) <= 120
    assert all(line.size <= 4 for line in board.make)


def test_the_afternoons_plan_is_as_little_late_as_the_best_order_and_takes_no_dish_off(board: Board) -> None:
    """197 minutes, all lines weighing equal, is the least there is: proved by CP-SAT of OR-Tools 9.15 on the same jobs
    (`tests/benchmarks/late_kitchens.py --demo`)."""
    assert sum(line.late_minutes for line in board.make) <= 197
    assert not any(line.too_late for line in board.make)
    off = {
        dish for line in board.make for note in line.notes if note.kind == "off until" for dish in note.facts["dishes"]
    }
    assert off == set()


def test_the_afternoons_plan_begins_nothing_much_earlier_than_the_best_order(state: State) -> None:
    """969 minutes before the last begin, alone, is the least there is as little late: proved by CP-SAT of OR-Tools 9.15
    on the same jobs (`tests/benchmarks/late_kitchens.py --demo`)."""
    runs = [run for run in outline(state, NOW).needs.planned if run.steps]
    early = [max(timedelta(), run.alone[0].begins - run.steps[0].begins) for run in runs]
    assert sum(early, timedelta()) <= 1.1 * timedelta(minutes=969)


def test_tomorrow_begins_tonight(board: Board) -> None:
    """Among what starts after dinner are the dough and the custard that rest overnight."""
    days = board.state.book.kitchen.days
    evening = {line.prep for line in board.make if days.at(TODAY, time(20)) < line.begins < days.midnight_after(TODAY)}
    assert {"roll-dough", "ice-base"} <= evening


def test_only_what_does_not_fit_into_sundays_morning_is_made_while_dinner_runs(board: Board) -> None:
    """The fish bench has more hands-on for Sunday's lunch than the three hours before it: one long job begins the
    evening before, and not two short ones; so has an exact search (CP-SAT of OR-Tools 9.15, `late_kitchens.py`)."""
    lunch = [line for line in board.make if line.station == "fish" and line.serves[0].service == "lunch"]
    early = [line.prep for line in lunch if line.begins < board.state.book.kitchen.days.midnight_after(TODAY)]
    assert len(lunch) > 3
    assert early == ["zander-portions"]


def test_the_sous_chef_moved_the_covers_and_pinned_a_par(state: State) -> None:
    tonight = state.tonight["dinner", TODAY]
    assert tonight.covers == 76
    assert state.book.services["dinner"].covers.on(TODAY) != 76
    assert tonight.pars


def test_eight_weeks_of_plates_follow_the_weekday(file: KitchenFile, state: State) -> None:
    """Saturday dinner sells more than Wednesday's; no dish passes the guests of its course."""
    sold: dict[tuple[str, str], dict[str, int]] = {}
    for day, service, dish, n in plates(file):
        assert isinstance(n, int)
        sold.setdefault((str(day), str(service)), {})[str(dish)] = n
    dinners = {day: dishes for (day, service), dishes in sold.items() if service == "dinner"}
    assert len(dinners) == 4 * WEEKS_BEHIND
    per_weekday: dict[int, list[int]] = {}
    for day, dishes in dinners.items():
        mains = sum(n for dish, n in dishes.items() if state.book.dishes[dish].course == "main")
        per_weekday.setdefault(datetime.fromisoformat(day).weekday(), []).append(mains)
    mean = {weekday: Fraction(sum(counts), len(counts)) for weekday, counts in per_weekday.items()}
    assert mean[5] > mean[3] > mean[2]
    assert all(len(set(counts)) > 3 for counts in per_weekday.values())
    first = state.book.dishes["strawberry-sweet"].first_day
    assert first
    assert all("strawberry-sweet" not in dishes for (day, _), dishes in sold.items() if day < first.isoformat())
