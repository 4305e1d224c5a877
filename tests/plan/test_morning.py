"""The morning: what the night left, until the day's first sitting."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from prepboard.boards.rows.morning_rows import morning_lines
from prepboard.plan.given.state import Tonight
from tests.conftest import at

BOOK = """
[stations.sauce]
name = "Sauce"

[stations.roast]
name = "Roast"

[services.dinner]
days = ["sat", "sun"]
starts = "18:00"
ends = "22:00"
covers = 20

[preps.stock]
name = "Stock"
station = "sauce"
keeps = "4 days"
makes = "10 l"
steps = [{ do = "Simmer", hands_on = "10 min", wait = "11 h" }, { do = "Strain", hands_on = "20 min" }]

[preps.mash]
name = "Mash"
station = "roast"
keeps = "1 day"
makes = "4 kg"

[tasks.drawer]
name = "Fish drawer"
station = "roast"
when = "open"

[tasks.fryer]
name = "Fryer"
station = "roast"
when = "close"
"""

MORNING = "2026-11-01 08:00"
LAST_NIGHT = "2026-10-31 22:30"
BOTH = ("sauce", "roast")


@pytest.fixture
def night(kitchen, moment):
    """Mash ended at midnight, stock simmers since 22:30, roast did not sign Saturday's close."""
    small = kitchen(BOOK)
    small.on_hand("mash", "2 kg", "2026-11-01 00:00")
    small.on_hand("stock", "2 l", "2026-11-03 00:00")
    small.under_way("stock", started=LAST_NIGHT)
    saturday = date(2026, 10, 31)
    small.more = {"unsigned": {saturday: moment("2026-10-31 22:00")}, "signed": {(saturday, "sauce"): "DK"}}
    return small


def lines(small, stations, now=MORNING, width=120):
    return ["".join(text for text, _tone in line).strip() for line in morning_lines(small.plan(now), stations, width)]


def test_it_says_what_went_off_what_ran_what_is_open_and_what_to_open_with(night):
    assert lines(night, BOTH) == [
        "bin first, expired: Mash B0",
        "ran through the night: 09:40 Stock, Strain",
        "the close of Sat was not signed (Roast), 10 h ago: prepboard closing",
        "to open with: Fish drawer",
    ]


def test_each_station_is_told_its_own(night):
    assert lines(night, ("sauce",)) == ["ran through the night: 09:40 Stock, Strain"]
    assert [line.partition(":")[0] for line in lines(night, ("roast",))] == [
        "bin first, expired", "the close of Sat was not signed (Roast), 10 h ago", "to open with",
    ]  # fmt: skip


@pytest.mark.parametrize("now", ["2026-11-01 18:00", "2026-11-01 23:00"])
def test_from_the_first_sitting_on_it_is_silent(night, now):
    assert lines(night, BOTH, now) == []


def test_the_night_belongs_to_the_day_before_until_the_day_starts(night):
    """At 03:59 it is still Saturday, whose dinner was; at 04:00 the morning begins."""
    assert lines(night, BOTH, "2026-11-01 03:59") == []
    assert lines(night, BOTH, "2026-11-01 04:00") != []


def test_no_line_is_wider_than_the_screen(night):
    assert all(len(line) <= 42 for line in lines(night, BOTH, width=44))


def test_several_open_closes_are_one_line_with_the_age_of_the_first(night, moment):
    friday = date(2026, 10, 30)
    night.more["unsigned"] = {friday: moment("2026-10-30 22:00"), **night.more["unsigned"]}
    (line,) = [line for line in lines(night, BOTH) if "signed" in line]
    assert line == "2 closes were not signed, the first of Fri (Sauce, Roast), 34 h ago: prepboard closing"


# --- a night that nobody counted -------------------------------------------------------------------------

DINNER = (
    BOOK
    + """
[dishes.pie]
name = "Pie"
services = ["dinner"]
course = "main"
share = 0.5
plate = { mash = "200 g" }
"""
)
SATURDAY = date(2026, 10, 31)


@pytest.fixture
def eaten(kitchen, moment):
    """Mash and stock from Saturday; nobody counted a plate of Saturday's dinner, which ate of the mash."""
    small = kitchen(DINNER)
    for prep in ("mash", "stock"):
        small.on_hand(prep, "2 kg" if prep == "mash" else "2 l", "2026-11-03 00:00")
    return small


def unsure(small, now=MORNING, stations=BOTH):
    return [line for line in lines(small, stations, now) if "count" in line]


def test_what_a_dinner_ate_that_nobody_counted_is_to_be_counted_first(eaten):
    assert unsure(eaten) == ["not counted since Sat 18:00: count first (Mash)"]
    assert unsure(eaten, stations=("sauce",)) == [], "its stock was on no plate"
    assert unsure(eaten, "2026-11-01 18:00") == [], "the next dinner has begun"


def test_what_goes_into_the_bin_is_not_to_be_counted_first(eaten):
    eaten.batches[0].blocked = "smells"
    assert unsure(eaten) == []
    eaten.batches[0].blocked = ""
    assert unsure(eaten, "2026-11-01 17:59") != []
    eaten.batches[0].use_by = at("2026-11-01 07:00")
    assert unsure(eaten) == []


def test_a_count_since_a_signed_close_or_a_counted_end_makes_it_known(eaten, moment):
    eaten.more["counted_at"] = {"mash": moment("2026-10-31 20:00")}
    assert unsure(eaten) == ["not counted since Sat 18:00: count first (Mash)"]
    eaten.more["counted_at"] = {"mash": moment("2026-11-01 07:50")}
    assert unsure(eaten) == []
    eaten.more = {"signed": {(SATURDAY, "roast"): "DK"}}
    assert unsure(eaten) == []
    eaten.more = {}
    eaten.tonight["dinner", SATURDAY] = Tonight(ended=moment("2026-10-31 22:10"))
    assert unsure(eaten) == []
    eaten.tonight["dinner", SATURDAY] = Tonight(covers=0)
    assert unsure(eaten) == []


def test_of_a_dinner_counted_by_less_than_half_it_says_up_to_when(eaten, moment):
    """Twelve of about twenty plates by history are enough; four by 19:10 are not, and five at 21:40 are the end."""
    days = [SATURDAY - timedelta(days=7 * back) for back in range(9, 0, -1)]
    for plates, last, said in (
        (12, "19:10", []),
        (4, "19:10", ["not counted since Sat 19:10: count first (Mash)"]),
        (5, "21:40", []),
    ):
        eaten.more["plated"] = {**{("dinner", day, "pie"): 20 for day in days}, ("dinner", SATURDAY, "pie"): plates}
        eaten.more["plated_at"] = {("dinner", SATURDAY, "pie"): moment(f"2026-10-31 {last}")}
        assert unsure(eaten) == said
