"""A line names one moment at which it is ready, and one state of a dish: whoever passes by shall not have to choose."""

from __future__ import annotations

import re
from datetime import datetime

import pytest

from prepboard.boards.station.as_text import texts
from prepboard.clock import FixedClock
from prepboard.plan.board import plan
from prepboard.store.kitchen_file import KitchenFile


@pytest.mark.parametrize("now", ["2026-10-31T14:22"])
def test_a_line_of_a_board_says_once_when_it_is_ready(demo_file, now):
    """A kitchen that nobody opened for months: its board begins with what the morning asks. The evening of the demo is
    in test_evening.py."""
    at = datetime.fromisoformat(f"{now}+00:00")
    file = KitchenFile.open(demo_file, FixedClock(at))
    board = plan(file.read(), at)
    file.close()
    read = [line for station in board.state.book.stations for line in texts(board, (station,)).splitlines()]
    assert any("ready" in line for line in read)
    for line in read:
        assert len(re.findall(r"\bready\b", line)) <= 1, line
        assert len(re.findall(r"\b(?:86|none until|not made)\b", line)) <= 1, line
