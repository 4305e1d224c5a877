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
from prepboard.book.safety.holding import HowKept, Stood, out_marks, reheat_marks
from prepboard.book.safety.judging import AGAIN_NOT_SHOWN, TOO_SLOW, Way, cooling_marks, judge
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


def at(clock: str) -> datetime:
    hours, minutes = clock.split(":")
    return BEGIN + timedelta(hours=int(hours), minutes=int(minutes))


def cooled(book: str, text: str, now: str, *, hot: bool = True):
    return judge(rule_book(book), [Way(Start(BEGIN, hot), readings(text))], at(now))


def held(book: str, text: str, now: str, *, hot: bool = True, corrected: str = "", hold: bool = False) -> str:
    """Why food that came off the heat at noon is refused by its cooling; empty when it is not."""
    found = cooled(book, text, now, hot=hot)
    settled = [at(corrected)] if corrected else []
    marks = [mark for mark in cooling_marks(rule_book(book), "K7F", found, settled, hold=hold) if mark.since <= at(now)]
    return min(marks).why if marks else ""


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
        ("uk-scotland", "reheat", "82C", True),  # 1995 Regulations, part III (Scotland)
        # FSAI Guidance Note 15
        ("ireland", "cold_holding_cooked", "3C", True),
        ("ireland", "cold_holding_cooked", "3.1C", False),
        ("ireland", "cold_holding", "5C", True),  # general guidance, from memory
        ("ireland", "reheat", "70C", True),
        # FSANZ 3.2.2
        ("fsanz", "hot_holding", "60C", True),
        ("fsanz", "hot_holding", "59.9C", False),
        ("fsanz", "cold_holding", "5C", True),
        ("fsanz", "reheat", "60C", True),
        # Cook-chill guidance: 3 C or less.
        ("uk", "cook_chill_storage", "2C", True),
        ("uk", "cook_chill_storage", "10C", False),
    ],
)
def test_limits_are_inclusive_and_compared_in_the_unit_that_was_measured(book, key, read, keeps):
    degrees, unit = read_degrees(read, "C")
    assert within(rule_book(book), key, Reading("K7F", "batch", BEGIN, degrees, unit)) is keeps


@pytest.mark.parametrize(
    ("book", "read", "why"),
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
        # Guidance in the UK, where the law names no time: it never blocks.
        ("uk", "0:30 40C, 1:30 9C", ""),
    ],
)
def test_cooling_by_the_code(book, read, why):
    assert held(book, read, "7:00") == why


@pytest.mark.parametrize(
    ("read", "states"),
    [
        ("4:00 5C", ["met"]),
        ("4:00 41F", ["met"]),
        ("1:00 15C, 4:00 5.5C", ["missed"]),
        ("1:00 15C", ["not shown"]),
    ],
)
def test_what_is_made_at_room_temperature_has_four_hours(read, states):
    """FDA Food Code 3-501.14(B): to 5 C (41 F) within 4 h, if prepared from ingredients at ambient temperature."""
    (way,) = cooled("food-code-2022", read, "5:00", hot=False).coolings
    assert [limit.state for limit in way.limits] == states


def test_the_clock_starts_at_the_hot_limit_not_at_the_end_of_cooking():
    """FDA Food Code 3-501.14(A) counts from 57 C (135 F): the last reading at or above it."""
    text = "1:00 57C, 3:00 21C, 7:00 5C"
    assert held("food-code-2022", text, "8:00") == ""
    assert cooled("food-code-2022", text, "8:00").cooling.begins == BEGIN + timedelta(hours=1)
    assert held("food-code-2022", "0:30 56C, 2:30 22C", "2:30") == TOO_SLOW


@pytest.mark.parametrize(
    ("read", "now", "states"),
    [
        ("1:00 40C", "2:00", ["open", "open"]),
        ("1:00 40C", "2:01", ["not shown", "open"]),
        # Nothing between two readings is known: neither met nor missed, however straight the line between them.
        ("1:00 40C, 2:10 15C", "2:10", ["not shown", "open"]),
        ("1:00 40C, 2:10 20C", "2:10", ["not shown", "open"]),
        ("1:00 40C, 2:10 22C", "2:10", ["missed", "open"]),
        # A blast chiller: 60 C two minutes after the heat, 15 C at 2:14.
        ("0:02 60C, 2:14 15C", "2:14", ["not shown", "open"]),
        # First read at 5 C half an hour past the first stage.
        ("2:30 5C", "3:00", ["not shown", "met"]),
        # Nobody read it before the last limit's moment.
        ("50:00 4C", "50:00", ["not read", "not read"]),
        ("50:00 7C", "50:00", ["not read", "missed"]),
    ],
)
def test_what_no_reading_shows_is_said_to_be_not_shown(read, now, states):
    (way,) = cooled("food-code-2022", read, now).coolings
    assert [limit.state for limit in way.limits] == states


def test_a_missed_limit_stays_missed_until_it_is_corrected_and_the_second_cooling_must_be_shown():
    """FDA Food Code 3-501.14 and 3-403.11: heated to 74 C (165 F) and cooled again, once."""
    read = "2:00 25C, 3:00 75C"
    assert held("food-code-2022", read, "3:00") == TOO_SLOW
    assert held("food-code-2022", read, "3:30", corrected="3:10") == ""
    again = read + ", 5:00 20C, 9:00 5C"
    assert held("food-code-2022", again, "9:00", corrected="3:10") == ""
    assert held("food-code-2022", read + ", 5:00 25C", "9:00", corrected="3:10") == TOO_SLOW
    assert held("food-code-2022", read, "9:01", corrected="3:10") == AGAIN_NOT_SHOWN
    twice = read + ", 5:00 25C, 6:00 75C, 8:00 20C, 12:00 5C"
    assert held("food-code-2022", twice, "13:00", corrected="6:10") == TOO_SLOW


def kept(store: str, text: str, since: str = "-24:00", *, was: str = "chilled", meant: str = "") -> HowKept:
    """Food made the day before, read at 4 °C then, in a storage since noon or since the day before."""
    begin, made = at(since) if since[0] != "-" else BEGIN - timedelta(hours=24), BEGIN - timedelta(hours=24)
    stood = [Stood("a", was, made)] + ([Stood("b", store, begin)] if since[0] != "-" else [])
    first = Reading("K7F", "batch", made, Fraction(4), "C")
    return HowKept("K7F", made, tuple(stood), (first, *readings(text, meant)) if text else (first,), {})


@pytest.mark.parametrize(
    ("book", "read", "end"),
    [
        # FDA 3-501.16 with 3-501.19(B): four hours from the last reading that showed it, once, and no way back.
        ("food-code-2022", "0:00 5C, 1:00 9C", "4:00"),
        ("food-code-2022", "0:00 5C, 1:00 9C, 1:30 4C", "4:00"),
        # SR 2006/3 para 5: less than four hours above 8 C, once; back before that it counts no more.
        ("uk", "0:00 8C, 1:00 9C", "4:00"),
        ("uk", "0:00 8C, 1:00 9C, 3:59 8C", ""),
        ("uk", "0:00 8C, 1:00 9C, 4:00 8C", "4:00"),
        ("uk", "0:00 8C, 1:00 9C, 3:00 8C, 5:00 9C", "7:00"),
        # FSANZ: "4 hours or more" is thrown away, all times add up, a return within two hours only.
        ("fsanz", "0:00 5C, 1:00 9C, 1:59 5C", ""),
        ("fsanz", "0:00 5C, 1:00 9C, 2:00 5C", "4:00"),
        ("fsanz", "0:00 5C, 1:00 9C, 1:30 5C, 2:00 9C", "4:00"),
    ],
)
def test_cold_holding_by_the_code(book, read, end):
    marks = out_marks(rule_book(book), kept("chilled", read))
    # A time out that is over stays known, for what was taken meanwhile; it ends the food itself no more.
    assert min((mark.until for mark in marks if mark.over is None), default=None) == (at(end) if end else None)


@pytest.mark.parametrize(
    ("read", "since"),
    [
        # FDA 3-403.11(D): from 5 C (41 F) to the temperature of (A) within 2 h of leaving the cold.
        ("1:00 60C, 2:00 74C", ""),
        ("1:00 60C, 2:01 74C", "2:00"),
        ("1:00 60C", "2:00"),
        ("", ""),
    ],
)
def test_reheating_has_two_hours(read, since):
    marks = reheat_marks(rule_book("food-code-2022"), kept("hot", read, "0:00"))
    assert [mark.since for mark in marks] == ([at(since)] if since else [])


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
    for late, state in ((0, "met"), (1, "missed")):
        last = Reading("K7F", "batch", until + timedelta(minutes=late), Fraction(5) + Fraction(late, 10), "C")
        found = judge(rule_book("food-code-2022"), [Way(Start(begin, True), [first, last])], last.at)
        assert found.cooling.limits[-1].state == state
