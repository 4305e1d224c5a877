"""What to buy so that trimming leaves what a recipe needs: edible shares of a food database, and a textbook's examples.

Only the arithmetic is checked: sources differ by several points about what trimming leaves, so a kitchen writes its
own.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from prepboard.book.amounts import MILLION, read_amount
from prepboard.book.book import Book
from prepboard.book.reading.reader import read_texts
from prepboard.plan.leftovers.pulling import as_bought


def book(usable: str) -> Book:
    return read_texts(
        {
            "a.toml": f"""
            [preps.x]
            name = "X"
            keeps = "1 day"
            makes = "1 kg"
            [goods.item]
            usable = {usable}
            """
        }
    )


@pytest.mark.parametrize(
    ("food", "refuse"),
    [
        ("Carrots, raw (11124)", 11),
        ("Onions, raw (11282)", 10),
        ("Celery (11143)", 11),
        ("Cauliflower (11135)", 61),
        ("Spinach (11457)", 28),
        ("Leeks (11246)", 56),
        ("Pineapple (09266)", 49),
        ("Egg, whole (01123)", 12),
    ],
)
def test_of_what_is_bought_the_refuse_goes_and_the_edible_part_stays(food, refuse):
    """USDA National Nutrient Database SR28 (2016), FOOD_DES.txt, field Refuse, in percent of weight."""
    edible = 1000 * MILLION
    bought = as_bought(book(f"0.{100 - refuse:02d}"), "item", edible)
    assert bought - edible == pytest.approx(bought * refuse / 100, abs=2), food


@pytest.mark.parametrize(
    ("usable", "needed", "bought", "unit"),
    [
        ("0.78", "32 oz", "41.03", "oz"),  # pears
        ("0.95", "2.85 lb", "3", "lb"),  # zucchini
        ("0.87", "4350 g", "5000", "g"),  # strawberries
    ],
)
def test_the_textbooks_worked_examples(usable, needed, bought, unit):
    """Open textbook "Bakery and Business Math", Yield Percents (openwa.pressbooks.pub/bakeryandbusinessmath)."""
    kitchen = book(usable)
    measure = kitchen.measure("item")
    found = as_bought(kitchen, "item", measure.millionths(read_amount(needed)))
    one = measure.millionths(read_amount(f"1 {unit}"))
    assert round(float(Fraction(found, one)), 2) == float(bought)
