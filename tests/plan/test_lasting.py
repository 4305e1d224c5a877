"""A service lasts until it is ended, never before its written end; which services plates are counted for."""

from __future__ import annotations

from datetime import date, time

import pytest
from conftest import at

from prepboard.boards.rows.station_view import board_title
from prepboard.plan.given.state import Tonight
from prepboard.plan.service.counts import serves_dish, serving

TODAY = date(2026, 10, 31)

BOOK = """
[services.lunch]
on = "2026-10-31"
starts = "12:00"
ends = "15:00"
covers = 40

[services.dinner]
on = "2026-10-31"
starts = "15:30"
ends = "22:00"
covers = 100
arrivals = { "15:30" = 0.5, "19:00" = 0.5 }

[dishes.pie]
name = "Pie"
services = ["lunch", "dinner"]
share = 0.5
plate = { pie = "1 each" }

[dishes.soup]
name = "Soup"
services = ["lunch"]
share = 0.5
plate = { soup = "100 ml" }

[preps.pie]
name = "Pie"
keeps = "3 days"
makes = "10 each"

[preps.soup]
name = "Soup"
keeps = "3 days"
makes = "1 l"
"""


def names(small, now: str) -> list[str]:
    return [one.service.id for one in serving(small.state, at(now))]


def test_it_goes_on_an_hour_after_its_written_end_whatever_else_begins(kitchen):
    small = kitchen(BOOK)
    assert names(small, "2026-10-31 11:00") == ["lunch"]
    assert names(small, "2026-10-31 15:29") == ["lunch"], "the next one is the one that runs still"
    assert names(small, "2026-10-31 15:30") == ["lunch", "dinner"]
    assert names(small, "2026-10-31 16:00") == ["dinner"]
    assert names(small, "2026-10-31 22:59") == ["dinner"]


def test_how_long_it_runs_over_is_the_kitchens(kitchen):
    small = kitchen(BOOK, 'runs_over = "10 min"\n')
    assert names(small, "2026-10-31 15:09") == ["lunch"]
    assert names(small, "2026-10-31 15:10") == ["dinner"]


def test_it_ends_by_hand_and_by_the_last_signature_but_not_before_its_written_end(kitchen):
    small = kitchen(BOOK)
    small.tonight["lunch", TODAY] = Tonight(ended=at("2026-10-31 15:20"))
    assert names(small, "2026-10-31 15:19") == ["lunch"]
    assert names(small, "2026-10-31 15:20") == ["dinner"]
    small.tonight["lunch", TODAY] = Tonight(ended=at("2026-10-31 14:00"))
    assert names(small, "2026-10-31 14:59") == ["lunch"]
    small.tonight.clear()
    small.more["signed"] = {(TODAY, station): "LM" for station in small.book.stations}
    assert names(small, "2026-10-31 14:59") == ["lunch"]
    assert names(small, "2026-10-31 15:00") == ["dinner"]


def test_after_its_written_end_it_expects_nobody_and_asks_for_nothing_and_keeps_its_plates(kitchen):
    small = kitchen(BOOK)
    small.on_hand("soup", "500 ml")
    small.on_hand("pie", "30 each")
    plates = {("lunch", TODAY, "soup"): 20, ("lunch", TODAY, "pie"): 20}
    small.more |= {"plated": plates, "plated_at": dict.fromkeys(plates, at("2026-10-31 14:58"))}
    board = small.plan("2026-10-31 15:10")
    soup = next(left for left in board.left if left.dish == "soup")
    assert (soup.plates_left, soup.service, soup.runs_out_at, soup.low) == (5, "lunch", None, False)
    assert not [par for par in board.pars if par.service == "lunch"]
    assert board_title("PASS", board, "", clock_by_hand=False).service == "Lunch, last plates"


def test_the_title_names_all_services_that_run(kitchen):
    board = kitchen(BOOK).plan("2026-10-31 15:40")
    assert board_title("PASS", board, "", clock_by_hand=False).service == (
        "Lunch, last plates; Dinner until 22:00, 100 covers"
    )


def test_a_dish_of_several_is_counted_for_the_one_last_begun(kitchen):
    small = kitchen(BOOK)
    now = at("2026-10-31 15:40")
    assert [one.service.id for one in serves_dish(small.state, now, "pie")] == ["lunch", "dinner"]
    assert [one.service.id for one in serves_dish(small.state, now, "soup")] == ["lunch"]
    left = {line.dish: line.service for line in small.plan("2026-10-31 15:40").left}
    assert left == {"pie": "dinner", "soup": "lunch"}


def test_a_service_that_is_moved_takes_its_guests_with_it(kitchen):
    small = kitchen(BOOK)
    small.tonight["dinner", TODAY] = Tonight(moved_to=time(16, 30))
    (dinner,) = serving(small.state, at("2026-10-31 16:40"))
    assert (dinner.starts, dinner.set_by, dinner.ends) == (
        at("2026-10-31 16:30"), at("2026-10-31 16:30"), at("2026-10-31 23:00"),
    )  # fmt: skip
    assert dinner.come_by(at("2026-10-31 20:00")) == pytest.approx(0.5)
    line = next(line for line in small.plan("2026-10-31 15:10").pars if line.service == "dinner")
    assert line.expected == 50 * 10**6
