"""What takes long to get hot: nothing begins in it before, and what waits for that says so."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from conftest import Kitchen

from prepboard.paper.sentences.waiting import waits_for_words
from prepboard.paper.text.saying import Voice
from prepboard.plan.shown.lines import WaitsFor

BOOK = """
[stations.hot]
name = "Hot"
hours = "08:00-23:00"
[stations.cold]
name = "Cold"
hours = "09:00-23:00"
[equipment.oven]
name = "Deck oven"
racks = 4
heats_up = "40 min"
[services.lunch]
starts = "LUNCH"
ends = "15:00"
covers = 40
[preps.loaf]
name = "Loaf"
station = "hot"
keeps = "2 days"
makes = "40 each"
ready_before = "0 min"
steps = [{ do = "Shape", hands_on = "10 min" }, { do = "Bake", wait = "30 min", equipment = "oven", at = "200 C" }]
[dishes.loaf]
services = ["lunch"]
share = 1
plate = { loaf = 1 }
"""


def at_lunch(kitchen: Callable[..., Kitchen], starts: str, **book: str) -> Kitchen:
    written = BOOK.replace("LUNCH", starts)
    for key, value in book.items():
        written = written.replace(key, value)
    return kitchen(written)


def test_nothing_begins_in_it_before_it_is_hot_and_what_is_late_by_that_says_so(kitchen, moment):
    """The first hands come at 8:00; a tray that is shaped by then goes in at 8:40."""
    line = at_lunch(kitchen, "09:00").plan("2026-10-31 07:00").make[0]
    assert [step.begins for step in line.steps][1] == moment("2026-10-31 08:40")
    assert (line.ready_at, line.late_minutes) == (moment("2026-10-31 09:10"), 10)
    assert line.waits_for == WaitsFor("place", "oven", moment("2026-10-31 08:40"), 1)
    board = at_lunch(kitchen, "09:00").plan("2026-10-31 07:00")
    assert waits_for_words(line.waits_for, Voice.of(board)) == "Deck oven is hot from 08:40"


def test_later_in_the_day_it_is_hot_already(kitchen, moment):
    line = at_lunch(kitchen, "12:00").plan("2026-10-31 07:00").make[0]
    assert (line.begins, line.ready_at) == (moment("2026-10-31 11:20"), moment("2026-10-31 12:00"))


@pytest.mark.parametrize("book", [{'heats_up = "40 min"\n': ""}, {'hours = "08:00-23:00"\n': ""}])
def test_without_the_time_or_where_somebody_is_always_there_nobody_waits(kitchen, moment, book):
    board = at_lunch(kitchen, "09:00", **book).plan("2026-10-31 07:00")
    assert board.make[0].ready_at == moment("2026-10-31 09:00")


def test_a_night_in_the_oven_is_no_cold_morning(kitchen, moment):
    """What went in in the evening stays in over the hour at which others wait for the heat."""
    night = {'wait = "30 min"': 'wait = "11 h"'}
    line = at_lunch(kitchen, "09:30", **night).plan("2026-10-30 15:00").make[0]
    assert line.steps[1].begins == moment("2026-10-30 22:30")
    assert not line.late_minutes
