"""What the codes beside the US one ask, where they differ: guidance that holds nothing back, a colder limit for cooked
food, what is packed without oxygen."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from food.conftest import new_kitchen

from prepboard.book.reading.reader import read_texts, read_with_warnings
from prepboard.book.safety.life import use_by
from prepboard.book.safety.may_use import MISSED, OUT
from prepboard.store.file.who import Refused


@pytest.fixture
def ireland(tmp_path):
    kitchen = new_kitchen(tmp_path / "ireland", "ireland")
    yield kitchen
    kitchen.file.close()


def test_in_the_uk_food_is_to_be_in_the_cold_after_ninety_minutes_at_whatever_temperature(uk):
    """Guidance: about 90 minutes, then refrigerate. 40 °C in the walk-in in time is as it should be."""
    soup = uk.cooked("soup", "13:00", "13:10", "14:30")
    said = uk.temp("batch", soup, 40, "14:50")
    assert "in the cold by 14:40, by guidance" in said
    assert "kept" in said
    assert uk.asks(soup).may


def test_in_the_uk_slow_is_said_and_blocks_nothing(uk):
    run = uk.start("soup", "13:00")
    uk.step(run, "13:10")
    assert "must be in the cold by 14:40" in uk.temp("run", run, 60, "14:00")
    said = uk.temp("run", run, 50, "14:50")
    assert "slow by guidance" in said
    assert "sous chef decides" in said
    assert uk.asks(uk.done(run, "15:00")).may


def test_in_the_uk_food_that_is_warm_the_next_morning_is_held_to_the_law(uk):
    """Wales 2006 Schedule 4 para 2 and NI SR 2006/3 para 5: above 8 °C for 4 hours; guidance on cooling ends before."""
    soup = uk.cooked("soup", "13:00", "13:10", "14:30")
    uk.temp("batch", soup, 40, "14:50")
    said = uk.temp("batch", soup, 12, "tue 08:00")
    assert "out of range: 8 °C" in said
    found = uk.asks(soup)
    assert (found.may, found.row) == (False, OUT)


def test_in_ireland_cooked_food_is_held_to_three_degrees_and_the_rest_to_five(ireland):
    """FSAI Guidance Note 15: cook-chill at 3 °C or less; 5 °C in general is from memory."""
    soup = ireland.cooked("soup", "06:00", "06:30", "06:40")
    salad = ireland.made("salad", "06:50")
    ireland.temp("batch", soup, 3, "08:30")
    ireland.temp("batch", salad, 4, "08:30")
    assert "3 °C" in ireland.temp("batch", soup, 4, "09:30")
    assert "kept: 5 °C" in ireland.temp("batch", salad, 4, "09:30")
    assert ireland.asks(soup).row == OUT
    assert ireland.asks(soup).until == ireland.at("10:30")
    assert ireland.asks(salad).row != OUT


def test_in_ireland_a_cooling_over_150_minutes_is_missed(ireland):
    soup = ireland.cooked("soup", "06:00", "06:30", "06:40")
    ireland.temp("batch", soup, 10, "09:05")
    assert ireland.asks(soup, "09:05").row == MISSED


SEALED = """
rules = "{rules}"
{plan}
[preps.a]
name = "A"
keeps = "20 days"
makes = "1 kg"
par = "1 kg"
packed = "vacuum"
"""
PLAN = 'approved_plan = { number = "7", by = "City food office", on = "2026-03-01" }\n'


@pytest.mark.parametrize(
    ("rules", "plan", "days"),
    [
        ("food-code-2022", "", 2),  # 3-502.12(F): 48 hours without a hazard plan, from memory
        ("food-code-2022", PLAN, 7),  # 3-502.12(D)(2)(e)
        ("fsanz", "", 2),  # no number in the standard: the US one, as the shorter reading
        ("uk", "", 5),  # the cook-chill guidance's 5 days come before the 10 for packed food
    ],
)
def test_what_is_packed_without_oxygen_has_the_shorter_reading(rules, plan, days):
    book = read_texts({"a.toml": SEALED.format(rules=rules, plan=plan)})
    made = datetime(2026, 11, 2, 12, tzinfo=UTC)
    end = use_by(book, book.preps["a"], "chilled", made.date(), made).until
    assert end == (made + timedelta(days=2) if days == 2 else datetime(2026, 11, 2 + days, tzinfo=UTC))


def test_a_life_that_no_code_gives_asks_for_a_plan(tmp_path):
    """FSANZ 3.2.2 names no number of days: what is longer than any other book's is named by load."""
    (tmp_path / "a.toml").write_text(SEALED.format(rules="fsanz", plan=""), encoding="utf-8")
    assert any("name your own `approved_plan`" in one.said for one in read_with_warnings(tmp_path)[2])
    (tmp_path / "a.toml").write_text(SEALED.format(rules="fsanz", plan=PLAN), encoding="utf-8")
    assert not any("approved_plan" in one.said for one in read_with_warnings(tmp_path)[2])


def test_goods_frozen_before_their_date_have_a_day_from_their_thaw(uk):
    """Advice of the FSA, from memory: frozen up to the use-by date, used within 24 hours of the thaw."""
    cream = uk.open("L1", "wed", "mon 10:00")
    uk.freeze(cream, "tue 10:00")
    assert uk.asks(cream, "thu 10:00").may
    uk.thaw(cream, "fri 10:00")
    assert (uk.ends(cream), uk.asks(cream).why) == (uk.at("sat 10:00"), "frozen before its date")
    soup = uk.made("soup", "fri 11:00", "fri 12:00")
    assert (uk.ends(soup), uk.asks(soup).why) == (uk.at("sat 00:00"), "maker's date")
    assert not uk.asks(cream, "sat 10:00").may


def test_goods_frozen_after_their_date_or_under_the_food_code_keep_it(uk, fda):
    """FDA Food Code 2022, 3-501.17(B): the maker's date stands; what is past it may not be frozen."""
    cream = fda.open("L1", "wed", "mon 10:00")
    fda.freeze(cream, "tue 10:00")
    assert not fda.asks(cream, "thu 10:00").may
    late = uk.open("L1", "mon", "mon 10:00")
    with pytest.raises(Refused):
        uk.freeze(late, "tue 10:00")


def test_thawed_before_its_date_it_has_a_day_all_the_same(uk):
    cream = uk.open("L1", "fri", "mon 10:00")
    uk.freeze(cream, "mon 12:00")
    uk.thaw(cream, "tue 12:00")
    assert uk.ends(cream) == uk.at("wed 12:00")
