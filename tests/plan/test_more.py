"""More now: what a service under way is short of, and whether it can still be made in time."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from conftest import at

TODAY = date(2026, 10, 31)
BOOK = """
[services.dinner]
days = ["sat", "sun"]
starts = "18:00"
ends = "22:00"
covers = 100

[services.late]
days = ["sat"]
starts = "22:30"
ends = "23:30"
covers = 30

[dishes.pie]
name = "Pie"
services = ["dinner", "late"]
course = "main"
share = 1
plate = { pie = "1 each" }

[preps.pie]
name = "Pie"
keeps = "2 days"
makes = "40 each"
sizes = { smallest = 0.25, step = 0.25 }
steps = [{ do = "Bake", hands_on = "10 min", hands_on_each = "40 min", wait = "20 min" }]
"""


@pytest.fixture
def running(kitchen):
    """At 20:00 half of 100 guests have had their pie, by count."""
    small = kitchen(BOOK)
    counted(small, 50, "2026-10-31 20:00")
    return small


def counted(small, plates: int, last: str):
    """So many plates went out, the last one at a moment."""
    small.more["plated"] = {("dinner", TODAY, "pie"): plates}
    small.more["plated_at"] = {("dinner", TODAY, "pie"): at(last)}


def tonight(small, now: str):
    return [
        line for line in small.plan(now).make if any((one.service, one.day) == ("dinner", TODAY) for one in line.serves)
    ]


def notes(line, kind: str):
    return [note.facts for note in line.notes if note.kind == kind]


def test_the_plan_asks_for_the_guests_still_to_come_and_no_more(running, moment):
    """50 guests to come, each with a pie for certain, 20 on hand: 30 are short, three quarters of a recipe give them.
    Baked from 20:00 on they take 10 + 30 + 20 minutes. What the later service needs is a line of its own."""
    running.on_hand("pie", "20 each")
    (line,) = tonight(running, "2026-10-31 20:00")
    assert (line.par, line.on_hand, line.short) == tuple(n * 10**6 for n in (50, 20, 30))
    assert (line.size, line.amount) == (Fraction(3, 4), 30 * 10**6)
    assert [(one.service, one.amount) for one in line.serves] == [("dinner", 30 * 10**6)]
    (more,) = notes(line, "make more now")
    assert more == {"item": "pie", "amount": 30 * 10**6, "size": Fraction(3, 4), "at": moment("2026-10-31 21:00")}


def test_where_all_of_it_would_be_too_late_the_largest_run_that_is_not_is_asked_for(running, moment):
    """At 21:15 18¾ guests are to come and nothing is there: 19 pies need half a recipe, ready at 22:05; a quarter
    is ready at 21:55."""
    counted(running, 81, "2026-10-31 21:15")
    (line,) = tonight(running, "2026-10-31 21:15")
    assert (line.short, line.size) == (19 * 10**6, Fraction(1, 4))
    (more,) = notes(line, "make more now")
    assert (more["amount"], more["at"]) == (10 * 10**6, moment("2026-10-31 21:55"))


def test_what_can_no_longer_be_ready_is_short_and_not_made(running):
    """From 21:20 on a quarter of a recipe, 40 minutes, is not ready before 22:00, when the service ends."""
    counted(running, 83, "2026-10-31 21:15")
    board = running.plan("2026-10-31 21:20")
    assert not tonight(running, "2026-10-31 21:20")
    (par,) = [par for par in board.pars if (par.service, par.day) == ("dinner", TODAY)]
    assert par.short > 0
    assert par.to_make == 0
    assert board.new_shorts == {}
    assert [line for line in board.make if line.serves[0].service == "late"], "the later service is looked after"


def test_before_the_service_nothing_says_more(running):
    running.more["plated"] = {}
    assert not notes(tonight(running, "2026-10-31 17:50")[0], "make more now")


def test_goods_that_come_too_late_make_the_run_too_late(kitchen, moment):
    text = BOOK.replace('makes = "40 each"', 'makes = "40 each"\nuses = { lard = "1 kg" }')
    small = kitchen(text + '\n[goods.lard]\nname = "Lard"\nunit = "kg"\n')
    small.more["plated"] = {("dinner", TODAY, "pie"): 50}
    small.more["missing"] = {"lard": moment("2026-10-31 21:30")}
    line = tonight(small, "2026-10-31 20:00")[0]
    assert notes(line, "waits for")
    assert notes(line, "too late")
    assert not notes(line, "make more now")
