"""What codes say of cooling, holding and reheating, row by row: the section or regulation stands beside each.

The figures were read in adopted texts, as the rule books in `config/rules` say: FDA Food Code 2022 sections 3-501.14,
3-501.16, 3-501.19 and 3-403.11; Food Hygiene (Wales) Regulations 2006 and SI 2005/2059, Schedule 4; FSAI Guidance Note
15; FSANZ Standard 3.2.2 and its 2-hour/4-hour guidance.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from prepboard.book.days import Days
from prepboard.book.reading.rulebooks import rule_book
from prepboard.book.safety.cooling import Start
from prepboard.book.safety.holding import spells
from prepboard.book.safety.judging import NOT_REHEATED, NOT_SHOWN, OUT_TOO_LONG, TOO_SLOW, Measured, judge
from prepboard.book.safety.temperatures import Reading, read_degrees, within

BEGIN = datetime(2026, 10, 31, 12, 0, tzinfo=UTC)


def readings(text: str, meant: str = "") -> list[Reading]:
    """ "1:30 21C, 6:00 5C": hours and minutes after noon, and what was read."""
    found = []
    for part in text.split(","):
        time, degrees = part.split()
        hours, minutes = time.split(":")
        read, unit = read_degrees(degrees, "C")
        at = BEGIN + timedelta(hours=int(hours), minutes=int(minutes))
        found.append(Reading("K7F", "batch", at, read, unit, "LM", meant))
    return found


def judged(book: str, text: str, now: str, *, hot: bool = True, store: str = "chilled", corrected: str = ""):
    hours, minutes = now.split(":")
    at = BEGIN + timedelta(hours=int(hours), minutes=int(minutes))
    settled = readings(f"{corrected} 0C")[0].at if corrected else None
    food = Measured(readings(text, "hot_holding" if store == "hot" else ""), Start(BEGIN, hot), store, settled)
    return judge(rule_book(book), food, at)


@pytest.mark.parametrize(
    ("book", "key", "read", "keeps"),
    [
        # FDA 3-501.16(A)(1): "57 C (135 F) or above"; the pair is rounded, each is kept in its own unit.
        ("food-code-2022", "hot_holding", "57C", True),
        ("food-code-2022", "hot_holding", "56.9C", False),
        ("food-code-2022", "hot_holding", "135F", True),
        ("food-code-2022", "hot_holding", "134.9F", False),
        ("food-code-2022", "hot_holding", "134.6F", False),  # which is 57 C exactly
        ("food-code-2022", "hot_holding_roasts", "54C", True),
        ("food-code-2022", "hot_holding_roasts", "129.9F", False),
        # FDA 3-501.16(A)(2): "5 C (41 F) or less"
        ("food-code-2022", "cold_holding", "5C", True),
        ("food-code-2022", "cold_holding", "5.1C", False),
        ("food-code-2022", "cold_holding", "41F", True),
        ("food-code-2022", "cold_holding_eggs", "45F", True),  # 3-501.16(B)
        ("food-code-2022", "cold_holding_eggs", "7.1C", False),
        # FDA 3-403.11(A) and (C)
        ("food-code-2022", "reheat", "74C", True),
        ("food-code-2022", "reheat", "164F", False),
        ("food-code-2022", "reheat_packaged", "135F", True),
        # FDA 3-501.19(B)(2) and (C): 21 C (70 F)
        ("food-code-2022", "time_control_cold_limit", "70F", True),
        ("food-code-2022", "time_control_cold_limit", "21.1C", False),  # 70 F is 21.11 C
        # Wales 2006 Schedule 4 para 2: above 8 C is the offence; para 6: below 63 C is.
        ("uk", "cold_holding", "8C", True),
        ("uk", "cold_holding", "8.1C", False),
        ("uk", "hot_holding", "63C", True),
        ("uk", "hot_holding", "62.9C", False),
        ("uk", "reheat", "82C", True),  # 1995 Regulations, part III (Scotland)
        # FSAI Guidance Note 15
        ("ireland", "cold_holding", "3C", True),
        ("ireland", "cold_holding", "3.1C", False),
        ("ireland", "reheat", "70C", True),
        # FSANZ 3.2.2
        ("fsanz", "hot_holding", "60C", True),
        ("fsanz", "hot_holding", "59.9C", False),
        ("fsanz", "cold_holding", "5C", True),
        ("fsanz", "reheat", "60C", True),
    ],
)
def test_limits_are_inclusive_and_compared_in_the_unit_that_was_measured(book, key, read, keeps):
    degrees, unit = read_degrees(read, "C")
    assert within(rule_book(book), key, Reading("K7F", "batch", BEGIN, degrees, unit)) is keeps


@pytest.mark.parametrize(
    ("book", "read", "held"),
    [
        # FDA 3-501.14(A): 57 to 21 C in 2 h, to 5 C in a total of 6 h.
        ("food-code-2022", "2:00 21C, 6:00 5C", ""),
        ("food-code-2022", "2:00 70F, 6:00 41F", ""),
        ("food-code-2022", "2:00 21.1C, 6:00 5C", TOO_SLOW),
        ("food-code-2022", "2:00 70.1F, 6:00 41F", TOO_SLOW),
        ("food-code-2022", "2:00 21C, 6:00 5.1C", TOO_SLOW),
        # 21 C after 1 h leaves 5 h, not 4: the 6 h are a total.
        ("food-code-2022", "1:00 21C, 5:30 8C, 6:00 5C", ""),
        # A missed first stage fails even if the total is met.
        ("food-code-2022", "2:00 25C, 4:00 5C", TOO_SLOW),
        # FSANZ 3.2.2 clause 7(3): 60 to 21 C in 2 h, 21 to 5 C in a further 4 h.
        ("fsanz", "2:00 21C, 6:00 5C", ""),
        ("fsanz", "2:01 21C, 6:00 5C", ""),  # first read after the 2 h, and then it was down: nothing shows a miss
        ("fsanz", "1:00 30C, 2:01 21.5C, 6:00 5C", TOO_SLOW),
        # Time saved in the first stage is not carried over: 21 C after 1 h leaves 4 h.
        ("fsanz", "1:00 21C, 5:00 5C", ""),
        ("fsanz", "1:00 21C, 5:01 5.5C, 5:30 5C", TOO_SLOW),
        # FSAI Guidance Note 15: to 3 C within 150 min, one stage.
        ("ireland", "1:00 30C, 2:30 3C", ""),
        ("ireland", "1:00 30C, 2:30 3.5C", TOO_SLOW),
        # East Devon's guidance, quoted: about an hour and a half, then in the refrigerator (8 C).
        ("uk", "0:30 40C, 1:30 8C", ""),
        ("uk", "0:30 40C, 1:30 9C", TOO_SLOW),
    ],
)
def test_cooling_by_the_code(book, read, held):
    assert judged(book, read, "7:00").held == held


@pytest.mark.parametrize(
    ("read", "held"),
    [("4:00 5C", ""), ("4:00 41F", ""), ("1:00 15C, 4:00 5.5C", TOO_SLOW), ("1:00 15C", NOT_SHOWN)],
)
def test_what_is_made_at_room_temperature_has_four_hours(read, held):
    """FDA Food Code 3-501.14(B): to 5 C (41 F) within 4 h, if prepared from ingredients at ambient temperature."""
    assert judged("food-code-2022", read, "5:00", hot=False).held == held


def test_the_clock_starts_at_the_hot_limit_not_at_the_end_of_cooking():
    """FDA Food Code 3-501.14(A) counts from 57 C (135 F): the last reading at or above it."""
    later = judged("food-code-2022", "1:00 57C, 3:00 21C, 7:00 5C", "8:00")
    assert later.held == ""
    assert later.cooling.begins == BEGIN + timedelta(hours=1)
    assert judged("food-code-2022", "0:30 56C, 2:30 22C", "2:30").held == TOO_SLOW


def test_a_limit_that_runs_out_unread_holds_food_back_until_a_reading_says_otherwise():
    assert judged("food-code-2022", "1:00 40C", "2:00").held == ""
    assert judged("food-code-2022", "1:00 40C", "2:01").held == NOT_SHOWN
    # 40 C at 1:00 and 15 C at 2:10: the straight line passes 21 C at 1:53.
    assert judged("food-code-2022", "1:00 40C, 2:10 15C", "2:10").held == ""
    # 40 C at 1:00 and 20 C at 2:10: at 2:06.
    assert judged("food-code-2022", "1:00 40C, 2:10 20C", "2:10").held == TOO_SLOW


def test_food_that_nobody_read_on_its_way_down_is_not_judged_by_a_reading_days_later():
    """Readings decide; a kitchen that reads nothing has nothing shown, and nothing missed."""
    assert judged("food-code-2022", "50:00 4C", "50:00").held == ""
    assert judged("food-code-2022", "50:00 7C", "50:00").held == ""
    assert judged("food-code-2022", "50:00 7C", "50:00").out.key == "cold_holding"


def test_a_missed_limit_stays_missed_until_it_is_corrected():
    """FDA Food Code 3-501.14 and 3-403.11: heated to 74 C (165 F) and cooled again; what follows is judged anew."""
    read = "2:00 25C, 3:00 75C"
    assert judged("food-code-2022", read, "3:00").held == TOO_SLOW
    assert judged("food-code-2022", read, "3:30", corrected="3:10").held == ""
    again = read + ", 5:00 20C, 9:00 5C"
    assert judged("food-code-2022", again, "9:00", corrected="3:10").held == ""
    assert judged("food-code-2022", read + ", 5:00 25C", "9:00", corrected="3:10").held == TOO_SLOW


@pytest.mark.parametrize(
    ("book", "store", "read", "now", "held"),
    [
        # FDA 3-501.16 with 3-501.19(B): out of range for 4 h, and no longer.
        ("food-code-2022", "hot", "0:00 60C, 1:00 50C", "4:59", ""),
        ("food-code-2022", "hot", "0:00 60C, 1:00 50C", "5:00", OUT_TOO_LONG),
        ("food-code-2022", "hot", "1:00 50C, 4:00 75C", "9:00", ""),
        ("food-code-2022", "hot", "1:00 50C, 5:30 75C", "9:00", OUT_TOO_LONG),
        # SI 2005/2059 Schedule 4 para 7(2): less than 2 h; SR 2006/3 para 5: less than 4 h.
        ("uk", "hot", "0:00 65C, 1:00 60C, 2:59 64C", "9:00", ""),
        ("uk", "hot", "0:00 65C, 1:00 60C, 3:00 64C", "9:00", OUT_TOO_LONG),
        # FSANZ: "4 hours or more" is thrown away, and all times add up.
        ("fsanz", "hot", "0:00 50C, 3:00 61C", "9:00", ""),
        ("fsanz", "hot", "0:00 50C, 3:00 61C, 4:00 50C, 4:59 61C", "9:00", ""),
        ("fsanz", "hot", "0:00 50C, 3:00 61C, 4:00 50C, 5:00 61C", "9:00", OUT_TOO_LONG),
    ],
)
def test_holding_by_the_code(book, store, read, now, held):
    assert judged(book, read, now, store=store).held == held


@pytest.mark.parametrize(
    ("book", "read", "now", "held"),
    [
        ("food-code-2022", "0:00 9C", "3:59", ""),
        ("food-code-2022", "0:00 9C", "4:00", OUT_TOO_LONG),
        ("uk", "0:00 9C, 3:59 8C", "9:00", ""),
        ("uk", "0:00 9C, 4:00 8C", "9:00", OUT_TOO_LONG),
        ("ireland", "0:00 4C", "2:00", OUT_TOO_LONG),
        ("fsanz", "0:00 6C, 2:00 4C, 3:00 6C, 5:00 4C", "9:00", OUT_TOO_LONG),
        ("food-code-2022", "0:00 6C, 2:00 4C, 3:00 6C, 5:00 4C", "9:00", ""),
    ],
)
def test_cold_holding_by_the_code(book, read, now, held):
    """Sections as above; the food was never hot, so that nothing of it cools."""
    hours, minutes = now.split(":")
    food = Measured(readings(read), None, "chilled")
    assert judge(rule_book(book), food, BEGIN + timedelta(hours=int(hours), minutes=int(minutes))).held == held


def test_reheating_has_two_hours():
    """FDA Food Code 3-403.11(D): from 5 C (41 F) to the temperature of (A) within 2 h."""
    rules = rule_book("food-code-2022")
    warming = readings("0:00 20C, 1:00 60C", meant="reheat")
    hot = Measured(warming, None, "hot")
    assert judge(rules, hot, BEGIN + timedelta(minutes=119)).held == ""
    assert judge(rules, hot, BEGIN + timedelta(minutes=120)).held == NOT_REHEATED
    there = Measured([*warming, *readings("1:50 74C", meant="reheat")], None, "hot")
    assert judge(rules, there, BEGIN + timedelta(hours=9)).held == ""


@pytest.mark.parametrize(
    ("zone", "night", "begins", "due"),
    [
        ("Europe/Dublin", "2026-03-29", "00:30", "07:30"),  # an hour is left out
        ("Europe/Dublin", "2026-10-25", "00:30", "05:30"),  # an hour comes twice
        ("America/New_York", "2026-11-01", "00:30", "05:30"),
        ("Australia/Lord_Howe", "2026-04-05", "00:30", "06:00"),  # half an hour comes twice
    ],
)
def test_on_a_night_on_which_the_clocks_change_six_hours_are_six_hours(zone, night, begins, due):
    """The wall clock's reading of the limit, by zoneinfo's own tables."""
    days, day = Days(ZoneInfo(zone), time(4)), date.fromisoformat(night)
    begin, until = (days.at(day, time.fromisoformat(wall)) for wall in (begins, due))
    assert until - begin == timedelta(hours=6)
    first = Reading("K7F", "batch", begin + timedelta(hours=1), Fraction(20), "C")
    for late, held in ((0, ""), (1, TOO_SLOW)):
        last = Reading("K7F", "batch", until + timedelta(minutes=late), Fraction(5) + Fraction(late, 10), "C")
        food = Measured([first, last], Start(begin, True), "chilled")
        assert judge(rule_book("food-code-2022"), food, last.at).held == held


def test_times_out_of_range_are_told_apart():
    """Each begins with the reading that shows it."""
    out = spells(rule_book("food-code-2022"), "cold_holding", readings("0:00 6C, 1:00 7C, 2:00 5C, 8:00 6C"))
    assert [(one.since.hour, one.last.said, one.back is None) for one in out] == [
        (12, "7 °C", False),
        (20, "6 °C", True),
    ]
