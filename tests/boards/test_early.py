"""A line that begins long after now is asked about before it is started: another day, food that would not last, the
middle of a service."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from conftest import kitchen_file

from prepboard.boards.rows.early import not_good_for, why_ask
from prepboard.plan.board import Board, plan
from prepboard.plan.shown.lines import MakeLine
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

BOOK = """
name = "Low Quay"
time_zone = "UTC"
ready_before = "0 min"

[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 60

[preps.sabayon]
name = "Sabayon"
keeps = "5 hours"
makes = "9 l"
steps = [{ do = "Whisk", hands_on = "20 min" }]

[preps.oil]
name = "Chive oil"
keeps = "3 days"
makes = "9 l"
steps = [{ do = "Blend", hands_on = "20 min" }]

[dishes.plaice]
services = ["dinner"]
share = 0.5
plate = { sabayon = "50 ml", oil = "10 ml" }
"""


@pytest.fixture
def file(tmp_path: Path) -> Iterator[KitchenFile]:
    opened = kitchen_file(tmp_path, datetime(2026, 10, 31, 15, 0, tzinfo=UTC), Who("LM", ""), kitchen=BOOK)
    yield opened
    opened.close()


def board_at(file: KitchenFile, *time: int) -> Board:
    return plan(file.read(), datetime(2026, 10, 31, *time, tzinfo=UTC))


def line(board: Board, prep: str) -> MakeLine:
    return next(one for one in board.make if one.prep == prep)


def test_what_would_not_last_through_its_service_if_begun_now_is_asked_about(file: KitchenFile) -> None:
    board = board_at(file, 15, 0, 7)
    asked = why_ask(board, line(board, "sabayon"), unseen=False)
    assert asked.startswith("Sabayon begins 17:40; begun now it is good to 20:2")
    assert not why_ask(board, line(board, "oil"), unseen=False)


def test_once_it_lasts_nobody_is_asked(file: KitchenFile) -> None:
    board = board_at(file, 17, 20, 7)
    assert not not_good_for(board, line(board, "sabayon"))
    assert not why_ask(board, line(board, "sabayon"), unseen=True)
