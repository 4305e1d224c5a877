"""The demo later in its day: what happened since was done through the same actions, and gives boards to look at."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta

import pytest

from prepboard.clock import FixedClock
from prepboard.demo import NOW, ZONE, build, go_on, later
from prepboard.plan.board import Board, plan
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.log import log_rows


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory) -> Iterator[KitchenFile]:
    """One file that the tests below take through the evening, in their order."""
    path = tmp_path_factory.mktemp("evening") / "kitchen.db"
    build(path, at=later(time(17, 20)))
    opened = KitchenFile.open(path, FixedClock(later(time(17, 20))))
    yield opened
    opened.close()


def board_at(file: KitchenFile, at: time, since: datetime | None = None) -> Board:
    if since is not None:
        go_on(file, since, later(at))
    return plan(file.read(), later(at))


def test_the_day_goes_from_the_afternoon_to_the_last_bench() -> None:
    assert later(time(14, 20)) == NOW
    assert later(time(23)).astimezone(ZONE).strftime("%A %H:%M") == "Saturday 23:00"
    for outside in (time(14, 19), time(23, 31), time(2)):
        with pytest.raises(ValueError, match=r"from 14:20 to 23:30"):
            later(outside)


def test_before_dinner_runs_are_under_way_on_every_bench_and_a_step_is_overdue(evening: KitchenFile) -> None:
    board = board_at(evening, time(17, 20))
    assert {line.station for line in board.under_way} == set(board.state.book.stations)
    due = {
        run.recipe.id: run.step_began + timedelta(minutes=step.hands_minutes(run.size) + step.wait)
        for run in board.state.runs
        for step in (run.recipe.steps[run.step],)
    }
    assert due["rye-crisp"] < board.now
    assert any(line.prep == "whey-barley" for line in board.make), "it was scorched at 17:08"
    assert board.state.tonight["dinner", later(time(17)).date()].covers == 80


def test_in_service_plates_go_out_and_some_dishes_run_low(evening: KitchenFile) -> None:
    board = board_at(evening, time(19, 45), later(time(17, 20)))
    assert [line.service for line in board.sittings if line.running] == ["dinner"]
    out = {dish: n for (service, _day, dish), n in board.state.plated.items() if service == "dinner"}
    assert sum(out.values()) > 60
    assert any(line.low for line in board.left)


def test_at_the_close_there_is_something_to_discard_to_decide_and_to_start(evening: KitchenFile) -> None:
    board = board_at(evening, time(23), later(time(19, 45)))
    closing = board.closing
    assert closing.discard
    assert closing.decide
    assert any(line.line.prep == "roll-dough" for line in board.make)
    assert [station for (_day, station) in board.state.signed] == ["fish"]
    assert board.state.tonight["dinner", later(time(17)).date()].off == {"skin-snack"}


def test_nobody_took_what_was_not_there_but_what_ran_out(evening: KitchenFile) -> None:
    """Every recipe of the evening found its ingredients."""
    assert [row for row in log_rows(evening) if row.did == "missing" and not row.dish] == []
