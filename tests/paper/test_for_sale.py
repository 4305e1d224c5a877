"""The ingredients on a label: Regulation (EU) 1169/2011, articles 18 and 21, from memory."""

from __future__ import annotations

from conftest import Kitchen

from prepboard.paper.records.for_sale import lines

BOOK = """
[preps.pie]
name = "Fish pie"
keeps = "2 days"
makes = "10 each"
uses = { sauce = "2 l", trout = "1 kg", eggs = "4 each", herbs = "3 each" }
[preps.sauce]
name = "Sauce"
keeps = "3 days"
makes = "3 l"
allergens = ["mustard"]
uses = { flour = "100 g", cream = "1 l" }
[goods.trout]
name = "Trout"
species = "lake trout"
allergens = ["fish"]
[goods.cream]
name = "Cream"
unit = "l"
density = 1.01
allergens = ["milk"]
[goods.soy]
name = "Soy cream"
unit = "l"
allergens = ["soybeans"]
[goods.flour]
name = "Flour"
allergens = ["wheat"]
[goods.eggs]
name = "Eggs"
unit = "each"
each = "50 g"
allergens = ["eggs"]
[goods.herbs]
name = "Herbs"
unit = "each"
allergens = []
"""


def test_ingredients_fall_by_weight_and_their_allergens_stand_in_capitals() -> None:
    book = Kitchen(BOOK).book
    said, lost = lines(book, book.preps["pie"], {})
    assert said == (
        "Ingredients: Sauce (Cream (MILK), Flour (WHEAT), MUSTARD), Trout (FISH (LAKE TROUT)), Eggs (EGGS), Herbs."
    )
    assert lost == "Not weighed in the book, and so not in their order: Herbs."


def test_what_really_went_in_is_named() -> None:
    book = Kitchen(BOOK).book
    (said,) = lines(book, book.preps["sauce"], {"cream": "soy"})
    assert said == "Ingredients: Soy cream (SOYBEANS), Flour (WHEAT)."
