"""Who may do what would make food good again: a sous chef; whoever is refused reads who may."""

from __future__ import annotations

import pytest

from prepboard.store.actions import undoing
from prepboard.store.actions.food import readings
from prepboard.store.file.who import Refused, Who
from tests.food.conftest import new_kitchen

PEOPLE = """
[people.jp]
name = "Jo"
role = "cook"
[people.sc]
name = "Sam"
role = "sous"
"""
COOK, SOUS = Who("jp", "kitchen"), Who("sc", "kitchen")


@pytest.fixture
def kitchen(tmp_path):
    found = new_kitchen(tmp_path / "staffed", more=PEOPLE, who=SOUS)
    found.who = COOK
    yield found
    found.file.close()


def by(kitchen, who):
    kitchen.who = who
    return kitchen


def test_a_reading_out_of_range_is_taken_back_by_a_sous_chef_only(kitchen):
    salad = kitchen.made("salad", "06:00")
    kitchen.temp("batch", salad, 4, "07:00")
    kitchen.temp("batch", salad, 12, "10:00")
    with pytest.raises(Refused, match=r"12 °C was out of range .*only a sous chef takes that back \(SC\)"):
        undoing.undo(kitchen.go("10:01").file, kitchen.who)
    by(kitchen, SOUS).temp("batch", salad, 13, "10:05")
    undoing.undo(kitchen.go("10:06").file, SOUS)
    assert [float(one.degrees) for one in kitchen.file.read().readings] == [4, 12]


def test_a_reading_in_range_is_anybodys_slip(kitchen):
    salad = kitchen.made("salad", "06:00")
    kitchen.temp("batch", salad, 4, "07:00")
    undoing.undo(kitchen.go("07:01").file, kitchen.who)
    assert kitchen.file.read().readings == ()


def test_what_was_thrown_away_is_counted_back_by_a_sous_chef_only(kitchen):
    soup = kitchen.made("soup", "06:00", "07:00")
    kitchen.discard(soup, "08:00")
    with pytest.raises(Refused, match=r"was thrown away; only a sous chef counts it back \(SC\)"):
        kitchen.count("soup", 4, "08:05")
    by(kitchen, SOUS).count("soup", 4, "08:06")
    assert kitchen.asks(soup).may


def test_the_codes_action_is_recorded_by_a_sous_chef_only(kitchen):
    soup = kitchen.cooked("soup", "13:50", "14:00", "14:05")
    kitchen.temp("batch", soup, 30, "16:10")
    kitchen.temp("batch", soup, 76, "16:30", reheat=True)
    with pytest.raises(Refused, match="only a sous chef may do that"):
        readings.corrected(kitchen.go("16:31").file, COOK, soup, "reheated")
    by(kitchen, SOUS).corrected(soup, "16:32")
    assert kitchen.asks(soup).may


def test_food_that_may_not_be_used_is_moved_by_a_sous_chef_only(kitchen):
    soup = kitchen.cooked("soup", "13:50", "14:00", "14:05")
    kitchen.temp("batch", soup, 30, "16:10")
    with pytest.raises(Refused, match=r"only a sous chef moves it \(SC\)"):
        kitchen.move(soup, "blast-chiller", "16:15")
    assert by(kitchen, SOUS).move(soup, "blast-chiller", "16:16") == soup


def test_longer_than_an_hour_ago_is_a_sous_chefs_word(kitchen):
    salad = kitchen.made("salad", "06:00")
    kitchen.go("09:00")
    with pytest.raises(Refused, match=r"more than an hour ago \(SC\)"):
        kitchen.temp("batch", salad, 4, "09:00", at=kitchen.at("07:30"))
    by(kitchen, SOUS).temp("batch", salad, 4, "09:00", at=kitchen.at("07:30"))
