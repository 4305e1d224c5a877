"""Times, days and urgency, as a kitchen says them."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from prepboard.book.days import Days
from prepboard.paper.text.saying import clock_time, day, good_to, urgency, wall_clock

DAYS = Days(ZoneInfo("Europe/Dublin"), time(4))


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo("Europe/Dublin"))


AFTERNOON = at("2026-10-31T14:22")  # a Saturday
NIGHT = at("2026-11-01T01:00")  # still Saturday's business day


@pytest.mark.parametrize(
    ("moment", "now", "said"),
    [
        ("2026-10-31T14:10", AFTERNOON, "14:10"),
        ("2026-11-01T00:30", AFTERNOON, "00:30"),
        ("2026-11-01T11:30", AFTERNOON, "Sun 11:30"),
        ("2026-10-30T22:15", AFTERNOON, "Fri 22:15"),
        ("2026-11-07T11:30", AFTERNOON, "Sat 7 Nov 11:30"),
        ("2027-10-29T11:30", AFTERNOON, "Fri 29 Oct 2027 11:30"),
        ("2025-11-06T11:30", AFTERNOON, "Thu 6 Nov 2025 11:30"),
        ("2026-10-31T23:50", NIGHT, "23:50"),
        ("2026-11-01T10:00", NIGHT, "Sun 10:00"),
    ],
)
def test_a_moment_names_its_day_only_outside_this_business_day(moment: str, now: datetime, said: str) -> None:
    assert clock_time(DAYS, at(moment), now) == said


def test_a_twelve_hour_clock_says_am_and_pm() -> None:
    assert wall_clock(DAYS, at("2026-10-31T14:05"), 12) == "2:05 pm"
    assert wall_clock(DAYS, at("2026-10-31T00:05"), 12) == "12:05 am"


def test_a_moment_is_said_in_the_kitchens_zone_on_both_sides_of_the_clock_change() -> None:
    """Dublin leaves summer time on 25 October 2026 at 01:00 UTC (tz database)."""
    before = datetime(2026, 10, 25, 0, 30, tzinfo=ZoneInfo("UTC"))
    after = datetime(2026, 10, 25, 1, 30, tzinfo=ZoneInfo("UTC"))
    assert wall_clock(DAYS, before) == wall_clock(DAYS, after) == "01:30"


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (-25, "overdue 25 min"),
        (-1, "overdue 1 min"),
        (0, "start now"),
        (1, "in 1 min"),
        (70, "in 1 h 10"),
        (60, "in 1 h"),
        (26 * 60 + 5, "in 26 h 05"),
        (50 * 60, "in 2 days"),
        (-125, "overdue 2 h 05"),
    ],
)
def test_urgency_has_words(minutes: int, said: str) -> None:
    assert urgency(AFTERNOON, AFTERNOON + timedelta(minutes=minutes)) == said


def test_half_a_minute_either_way_is_now() -> None:
    assert urgency(AFTERNOON, AFTERNOON + timedelta(seconds=30)) == "start now"
    assert urgency(AFTERNOON, AFTERNOON - timedelta(seconds=30)) == "start now"


@pytest.mark.parametrize(
    ("use_by", "now", "said"),
    [
        ("2026-11-01T00:00", AFTERNOON, "to midnight"),
        ("2026-11-02T00:00", AFTERNOON, "to Sun"),
        ("2026-10-31T21:30", AFTERNOON, "to 21:30"),
        ("2026-11-01T10:00", AFTERNOON, "to Sun 10:00"),
        ("2026-11-13T00:00", AFTERNOON, "to Thu 12 Nov"),
        ("2026-10-31T14:22", AFTERNOON, "expired 14:22"),
        ("2026-10-30T00:00", AFTERNOON, "expired Thu"),
        ("2026-11-01T00:00", NIGHT, "expired midnight"),
        ("2026-11-02T00:00", NIGHT, "to Sun"),
    ],
)
def test_a_life_ends_before_the_moment_it_names(use_by: str, now: datetime, said: str) -> None:
    """A batch is good up to, not at, its use-by; a midnight is named by the day that it ends."""
    assert good_to(DAYS, at(use_by), now) == said


def test_what_has_no_date_mark_says_so() -> None:
    assert good_to(DAYS, None, AFTERNOON) == "no date mark"


def test_days_are_short() -> None:
    assert day(date(2026, 10, 22)) == "Thu 22"
