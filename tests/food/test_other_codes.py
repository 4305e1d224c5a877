"""What the codes beside the US one ask, where they differ: guidance that holds nothing back, a colder limit for cooked
food, what is packed without oxygen."""

from __future__ import annotations

import pytest
from food.conftest import new_kitchen

from prepboard.book.safety.may_use import MISSED, OUT


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
