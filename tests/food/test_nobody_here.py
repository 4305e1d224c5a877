"""A close is not signed while food cools with its next limit after the last hands have gone, unless it is said who
reads it."""

from __future__ import annotations

import pytest

from prepboard.boards.closing.signing import nobody_reads
from prepboard.plan.board import plan
from prepboard.store.actions.handover import sign
from prepboard.store.file.who import Refused
from tests.food.conftest import new_kitchen


@pytest.fixture
def late(tmp_path):
    kitchen = new_kitchen(tmp_path / "late", hours='hours = "08:00-23:30"')
    yield kitchen
    kitchen.file.close()


def test_a_close_waits_for_who_reads_what_cools_in_the_night(late):
    soup = late.cooked("soup", "22:50", "23:00", "23:05")
    board = plan(late.go("23:20").file.read(), late.clock.at)
    assert nobody_reads(board, "kitchen") == [f"Soup {soup}: 21 °C by 01:00, nobody here"]
    with pytest.raises(Refused, match=r"21 °C .* by .*01:00, nobody here: ice it and read it, name who reads it"):
        sign(late.file, late.who, "kitchen")
    sign(late.file, late.who, "kitchen", reads="Mo, on call")
    with late.file.looking() as db:
        lines = db.execute("SELECT did, batch, why FROM log WHERE did IN ('is to read', 'signed')").fetchall()
    assert [tuple(line)[:2] for line in lines] == [("is to read", soup), ("signed", "")]
    assert lines[0][2] == "Mo, on call"


def test_what_is_cold_by_then_waits_for_nobody(late):
    soup = late.cooked("soup", "20:00", "20:10", "20:15")
    late.temp("batch", soup, 20, "21:50")
    late.temp("batch", soup, 4, "23:10")
    assert "signed" in sign(late.go("23:20").file, late.who, "kitchen").text


def test_where_somebody_is_always_there_nothing_is_asked(fda):
    fda.cooked("soup", "22:50", "23:00", "23:05")
    assert "signed" in sign(fda.go("23:20").file, fda.who, "kitchen").text
