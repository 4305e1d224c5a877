"""Life: on which day a count begins, and until when a batch is good.

Sections are of the FDA Food Code 2022; the seven days and the worked dates stand in tests/plan/test_closing.py.
"""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

import pytest
from conftest import at

from prepboard.book.safety.life import day_one, ends_by_days, food_of, passes_on, use_by

BOOK = """
[preps.stew]
name = "Stew"
keeps = "5 days"
makes = "2 kg"
ready_to_eat = true
steps = [
  { do = "Cut", hands_on = "30 min", wait = "6 h", wait_up_to = "20 h" },
  { do = "Simmer", wait = "3 h", at = "95 C" },
  { do = "Chill", wait = "90 min", cools = true },
]

[preps.salad]
name = "Salad"
keeps = "2 days"
makes = "1 kg"
ready_to_eat = true
steps = [{ do = "Mix", hands_on = "10 min", wait = "20 h" }]

[preps.crisp]
name = "Crisp"
store = "ambient"
stable = "crisp"
keeps = "36 h"
makes = "40 each"
steps = [{ do = "Bake", at = "150 C" }]

[preps.pickle]
name = "Pickle"
keeps = "60 days"
makes = "1 kg"
ready_to_eat = true
exempt = { why = "acid", measured = "pH 3.6", on = "2026-09-02", by = "LM" }

[preps.dough]
name = "Filled dough"
keeps = "2 days"
ready_to_eat = false
makes = "1 kg"
"""


@pytest.fixture
def book(kitchen):
    return kitchen(BOOK).book


def first_day(book, prep: str, *, started: str | None = None, ready: str, **recorded) -> date:
    moment = at(started) if started else None
    return day_one(book.preps[prep], Fraction(1), book.kitchen, started=moment, ready=at(ready), **recorded)


def test_day_one_is_the_day_on_which_the_hot_step_ended(book):
    """Started on Thursday evening, simmered into Friday: day 1 is Friday (3-501.17(A), the day of preparation)."""
    ends = {1: at("2026-10-30 10:00")}
    found = first_day(book, "stew", started="2026-10-29 18:00", ready="2026-10-30 12:00", step_ends=ends)
    assert found == date(2026, 10, 30)


def test_a_step_that_nobody_recorded_is_reckoned_by_the_least_times_from_the_start(book):
    """From 12:00 on Thursday 30 min, 6 h and 3 h end at 21:30 on Thursday, although it was marked done on Friday: the
    earlier day, since the longer count could be wrong."""
    assert first_day(book, "stew", started="2026-10-29 12:00", ready="2026-10-30 12:00") == date(2026, 10, 29)


def test_without_a_start_it_is_reckoned_back_from_done(book):
    """Done at 05:00 on Friday: the simmering ended 90 min before, at 03:30, which still is Thursday's business."""
    assert first_day(book, "stew", ready="2026-10-30 05:00") == date(2026, 10, 29)
    assert first_day(book, "stew", ready="2026-10-30 06:00") == date(2026, 10, 30)


def test_without_a_hot_step_day_one_is_the_day_on_which_the_run_started(book):
    assert first_day(book, "salad", started="2026-10-29 22:00", ready="2026-10-30 18:10") == date(2026, 10, 29)


def test_between_midnight_and_the_start_of_the_day_it_is_the_day_before(book):
    assert first_day(book, "salad", started="2026-10-30 01:00", ready="2026-10-30 21:10") == date(2026, 10, 29)


def test_days_count_day_one_and_end_at_midnight(book):
    """A life of 2 days from the 30th: the 30th and the 31st."""
    limit = use_by(book, book.preps["salad"], "chilled", date(2026, 10, 30), at("2026-10-30 12:00"))
    assert (limit.until, limit.why) == (at("2026-11-01 00:00"), "keeps")


def test_hours_count_from_ready_to_the_minute(book):
    ready = at("2026-10-30 12:07")
    limit = use_by(book, book.preps["crisp"], "ambient", date(2026, 10, 30), ready)
    assert limit.until == ready + timedelta(hours=36)


def test_what_keeps_for_days_is_good_until_then_whichever_minute_it_is_ready_at(kitchen):
    """So it is remembered by its day 1. What is frozen counts from its freezing day, what is packed without a plan from
    its minute, and so does what keeps for hours."""
    ice = '[preps.ice]\nname = "Ice"\nstore = "frozen"\nkeeps = "3 days"\nmakes = "1 kg"\n'
    packed = '[preps.packed]\nname = "Packed"\npacked = "vacuum"\nkeeps = "7 days"\nmakes = "1 kg"\n'
    book = kitchen(BOOK + ice + packed).book
    day, by_days = date(2026, 10, 30), set()
    for prep in book.preps.values():
        ends = ends_by_days(book, prep, day)
        if ends is None:
            continue
        by_days.add(prep.id)
        for inherited in (None, date(2026, 10, 25)):
            moments = (at("2026-10-30 04:00"), at("2026-10-30 12:07"), ends - timedelta(minutes=1))
            assert len({use_by(book, prep, prep.store, day, ready, inherited).until for ready in moments}) == 1
    assert by_days == {"stew", "salad", "pickle", "dough"}


def test_an_inherited_count_cuts_a_fresh_batch(book):
    """3-501.17(C): made on the 30th of food of the 25th, whose seventh day is the 31st."""
    limit = use_by(
        book, book.preps["stew"], "chilled", date(2026, 10, 30), at("2026-10-30 12:00"), inherited=date(2026, 10, 25)
    )
    assert (limit.until, limit.why) == (at("2026-11-01 00:00"), "inherited")


def test_a_kitchens_own_shorter_life_is_not_inherited(book):
    """The salad's own 2 days are over; what is passed on is its day 1, which the rule book's 7 days count from."""
    passed = passes_on(food_of(book.preps["salad"]), date(2026, 10, 28), None)
    limit = use_by(book, book.preps["stew"], "chilled", date(2026, 10, 30), at("2026-10-30 12:00"), inherited=passed)
    assert limit.until == at("2026-11-04 00:00")


def test_the_earliest_day_is_passed_on_through_any_number_of_runs(book):
    earliest = passes_on(food_of(book.preps["stew"]), date(2026, 10, 30), date(2026, 10, 26))
    assert earliest == date(2026, 10, 26)
    assert passes_on(food_of(book.preps["dough"]), date(2026, 10, 31), earliest) == date(2026, 10, 26)


def test_an_exempt_prep_has_no_date_mark_and_passes_none_on(book):
    limit = use_by(book, book.preps["pickle"], "chilled", date(2026, 10, 1), at("2026-10-01 12:00"))
    assert limit.until == at("2026-11-30 00:00")
    assert passes_on(food_of(book.preps["pickle"]), date(2026, 10, 1), None) is None


def test_a_storage_that_the_recipe_does_not_name_has_the_shortest_life_it_names(kitchen):
    book = kitchen(BOOK.replace('keeps = "36 h"', 'keeps = { ambient = "36 h", frozen = "30 days" }')).book
    ready = at("2026-10-30 12:00")
    assert use_by(book, book.preps["crisp"], "chilled", date(2026, 10, 30), ready).until == ready + timedelta(hours=36)


def test_what_is_packed_without_oxygen_has_seven_days_at_most(kitchen):
    """3-502.12(D)(2)(e)(ii), 5 °C or less (number from memory): longer needs a hazard plan."""
    plan = 'approved_plan = { number = "7", by = "City food office", on = "2026-03-01" }\n'
    packed = BOOK.replace('"Filled dough"\nkeeps = "2 days"', '"Filled dough"\npacked = "vacuum"\nkeeps = "20 days"')
    packed = plan + packed
    book = kitchen(packed).book
    limit = use_by(book, book.preps["dough"], "chilled", date(2026, 10, 1), at("2026-10-01 12:00"))
    assert (limit.until, limit.why) == (at("2026-10-08 00:00"), "packed")
    without = kitchen(packed.removeprefix(plan)).book
    limit = use_by(without, without.preps["dough"], "chilled", date(2026, 10, 1), at("2026-10-01 12:00"))
    assert (limit.until, limit.why) == (at("2026-10-03 12:00"), "packed without a plan")


def test_out_of_temperature_control_it_is_good_for_four_hours(book):
    """3-501.19(B)."""
    ready = at("2026-10-30 12:00")
    limit = use_by(book, book.preps["salad"], "time", date(2026, 10, 30), ready)
    assert limit.why == "time control"
    assert limit.until <= ready + timedelta(hours=4)


def test_hot_is_compared_in_the_unit_that_was_written(kitchen):
    """3-501.16: 57 °C and 135 °F are the code's own pair, though 57 °C is 134.6 °F. A step at 135 F is hot, one at
    134.8 F is not; one at 57 C is."""
    for degrees, hot in (("135 F", True), ("134.8 F", False), ("57 C", True), ("56.9 C", False)):
        book = kitchen(BOOK.replace('at = "95 C"', f'at = "{degrees}"')).book
        day = first_day(book, "stew", started="2026-10-29 20:00", ready="2026-10-30 12:00")
        assert (day == date(2026, 10, 30)) is hot
