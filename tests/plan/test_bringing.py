"""Bring to the line: what each station fetches, from which batch and place."""

from __future__ import annotations

from datetime import date

import pytest

from prepboard.plan.given.state import Tonight

TODAY = date(2026, 10, 31)
BOOK = """
[stations.sauce]
name = "Sauce"
[stations.pastry]
name = "Pastry"

[services.dinner]
days = ["sat"]
starts = "18:00"
ends = "22:00"
set_by = "17:30"
covers = 40

[dishes.tart]
name = "Tart"
services = ["dinner"]
share = 0.5
plate = { shell = "1 each", cream = "50 g", fig = "2 each" }

[dishes.lamb]
name = "Lamb"
services = ["dinner"]
share = 1
plate = { jus = "50 ml", salt = "2 g", fig = "1 each" }

[preps.shell]
name = "Shell"
station = "pastry"
keeps = "2 days"
makes = "20 each"

[preps.cream]
name = "Cream"
station = "pastry"
keeps = "2 days"
makes = "1 kg"
thaw = "4 h"

[preps.jus]
name = "Jus"
station = "sauce"
keeps = "4 days"
makes = "2 l"

[goods.salt]
name = "Salt"
unit = "kg"

[goods.fig]
name = "Figs"
unit = "each"
usable = 0.8
store = "chilled"

[places.walk-in]
name = "Walk-in"
store = "chilled"
"""
EACH = 10**6


@pytest.fixture
def small(kitchen):
    return kitchen(BOOK)


def lines(small, now: str = "2026-10-31 15:00"):
    return [(line.station, line.item, line.amount // EACH, line.batch or line.place) for line in small.plan(now).bring]


def test_as_much_as_the_par_from_what_expires_first_and_the_rest_is_not_there_yet(small, moment):
    """40 guests for certain take 2 l of jus; 25 tarts cover half of 40 with 95 in 100."""
    small.on_hand("jus", "1.5 l", "2026-11-03 00:00", place="walk-in")
    small.on_hand("jus", "0.4 l", "2026-11-01 00:00", place="walk-in")
    small.on_hand("shell", "10 each", "2026-11-01 00:00")
    assert [line for line in lines(small) if line[1] in ("jus", "shell")] == [
        ("sauce", "jus", 400, "B1"),
        ("sauce", "jus", 1500, "B0"),
        ("sauce", "jus", 100, ""),
        ("pastry", "shell", 10, "B2"),
        ("pastry", "shell", 15, ""),
    ]
    first = small.plan("2026-10-31 15:00").bring[0]
    assert (first.place, first.at, first.use_by) == (
        "walk-in", moment("2026-10-31 17:30"), moment("2026-11-01 00:00"),
    )  # fmt: skip


def test_goods_go_to_the_bench_of_the_first_prep_on_the_plate_as_bought(small):
    """Of 40 lamb a fig each to the sauce, of 20 tarts two each to pastry; of five figs four are usable."""
    figs = [line for line in small.plan("2026-10-31 15:00").bring if line.item == "fig"]
    assert [(line.station, line.amount // EACH, line.as_bought // EACH, line.place) for line in figs] == [
        ("sauce", 40, 50, "walk-in"),
        ("pastry", 40, 50, "walk-in"),
    ]


def test_what_may_not_be_used_or_is_not_thawed_is_not_fetched(small):
    small.on_hand("jus", "2 l", blocked="smells")
    small.on_hand("jus", "2 l", set_aside="lunch.2026-11-01")
    small.on_hand("jus", "2 l", "2026-10-31 18:00")
    small.on_hand("cream", "1 kg", store="frozen")
    assert ("sauce", "jus", 2000, "") in lines(small)
    assert ("pastry", "cream", 1000, "B3") in lines(small, "2026-10-31 13:00"), "thawed by 17:00"
    assert ("pastry", "cream", 1250, "") in lines(small)


def test_a_dish_that_is_off_brings_nothing_and_a_day_without_service_neither(small):
    small.tonight["dinner", TODAY] = Tonight(off=frozenset({"tart"}))
    assert {line[1] for line in lines(small)} == {"jus", "salt", "fig"}
    small.tonight["dinner", TODAY] = Tonight(cancelled=True)
    assert {line.at.date() for line in small.plan("2026-10-31 15:00").bring} == {date(2026, 11, 7)}
