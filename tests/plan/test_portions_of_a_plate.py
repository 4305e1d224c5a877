"""Portions as a book writes them: ounces, thirds, cups; whole pieces; and what a percentage does to them."""

from __future__ import annotations

from datetime import date

import pytest

from prepboard.plan.given.state import Tonight

TODAY = date(2026, 10, 31)

PARTY = """
[services.party]
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
counts = {{ steak = {plates} }}
[dishes.steak]
name = "Steak"
services = ["party"]
plate = {{ steak = "{portion}" }}
[preps.steak]
name = "Steak, cut"
makes = "{makes}"
keeps = "3 days"
"""


@pytest.mark.parametrize(
    ("portion", "makes", "plates"),
    [
        ("5 oz", "5 lb", 16),
        ("6 oz", "3 lb", 8),
        ("7 oz", "7 lb", 16),
        ("1/3 lb", "10 lb", 30),
        ("1/6 kg", "1 kg", 6),
        ("2/3 l", "2 l", 3),
        ("1/3 cup", "1 quart", 12),
        ("2/3 cup", "1 gal", 24),
        ("3 fl-oz", "3 pint", 16),
        ("1 tsp", "1 cup", 48),
    ],
)
def test_what_makes_up_a_recipe_is_one_recipe_and_all_its_plates_are_there(kitchen, portion, makes, plates):
    """16 portions of 5 oz are 5 lb (16 oz a pound, exact by definition): one recipe, and with it on hand none."""
    small = kitchen(PARTY.format(portion=portion, makes=makes, plates=plates))
    (line,) = small.plan().make
    assert line.size == 1
    small.on_hand("steak", makes)
    board = small.plan()
    assert board.make == ()
    assert [par.short for par in board.pars] == [0]
    assert [line.plates_left for line in board.left] == [plates]


TWO_SIZES = """
[services.dinner]
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
covers = {covers}
[dishes.large]
name = "Large"
services = ["dinner"]
course = "main"
share = 0.4
plate = {{ steak = "{large}" }}
[dishes.small]
name = "Small"
services = ["dinner"]
course = "main"
share = 0.4
plate = {{ steak = "100 g" }}
[preps.steak]
name = "Steak, cut"
makes = "1 kg"
keeps = "3 days"
"""


@pytest.mark.parametrize("covers", [1, 2, 7, 40])
def test_portions_without_a_common_measure_are_what_nearly_the_same_grams_are(kitchen, covers):
    """Five ounces are 141.75 g to a thousandth of a per cent: with that the par is the same to a hundredth."""
    ounces = kitchen(TWO_SIZES.format(covers=covers, large="5 oz")).par("steak")
    grams = kitchen(TWO_SIZES.format(covers=covers, large="141.75 g")).par("steak")
    assert ounces.par == pytest.approx(grams.par, rel=0.01)
    assert ounces.par >= grams.par * 0.999
    assert ounces.chance == pytest.approx(grams.chance, abs=0.02)


HEN = """
[services.dinner]
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
covers = 120
[dishes.hen]
name = "Hen"
services = ["dinner"]
course = "main"
share = 0.18
plate = { hen = "1 each" }
[preps.hen]
name = "Hen"
makes = "1 each"
keeps = "3 days"
"""


def raised(kitchen, percent, stock=0):
    small = kitchen(HEN)
    small.tonight["dinner", TODAY] = Tonight(percent=percent)
    if stock:
        small.on_hand("hen", f"{stock} each")
    return small.par("hen")


def test_a_percentage_scales_demand_and_the_par_stays_whole_pieces(kitchen):
    """29 hens and a half more are 43.5: 44. Expected 21.6 × 1.5."""
    par = raised(kitchen, 50)
    assert (par.par, par.expected) == (44_000_000, 32_400_000)
    assert raised(kitchen, -30).par == 21_000_000


def test_what_was_enough_for_the_ordinary_evening_is_not_for_a_raised_one(kitchen):
    """29 on hand cover 29/1.5 = 19.3 ordinary guests: Binomial(120, .18) does so in 31 of 100 evenings."""
    par = raised(kitchen, 50, stock=29)
    assert not par.thin
    assert par.to_make == 15_000_000
    assert raised(kitchen, 0, stock=28).thin


def test_half_pieces_on_a_plate_still_make_a_par_of_whole_ones(kitchen):
    small = kitchen(HEN.replace('hen = "1 each"', 'hen = "0.5 each"'))
    assert small.par("hen").par == 15_000_000
