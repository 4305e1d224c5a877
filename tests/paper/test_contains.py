"""Allergens of dish and batch: the names of EU Regulation 1169/2011, Annex II, and the US nine (FASTER Act, 2021)."""

from __future__ import annotations

import pytest
from conftest import Kitchen

from prepboard.book.safety.allergens import EU, US, listed
from prepboard.paper.text.contains import in_batch, in_dish, unlisted

BOOK = """
[services.dinner]
starts = "18:00"
ends = "22:00"
covers = 20
[dishes.soup]
share = 0.5
plate = { soup = "200 g", bread = "1 each" }
[preps.soup]
name = "Soup"
keeps = "3 days"
makes = "1 kg"
allergens = ["celery"]
uses = { cream = "100 g", stock = "100 g" }
[preps.stock]
name = "Stock"
keeps = "3 days"
makes = "1 kg"
uses = { oysters = "100 g" }
[goods.cream]
allergens = ["milk"]
[goods.oysters]
allergens = ["molluscs"]
[goods.bread]
unit = "each"
allergens = ["rye"]
"""


@pytest.mark.parametrize(
    ("which", "names"), [("eu", ("rye", "milk", "celery", "molluscs")), ("us", ("milk", "celery", "molluscs", "rye"))]
)
def test_a_dish_holds_what_all_on_its_plate_holds_however_far_down(which: str, names: tuple[str, ...]) -> None:
    """The cereal by its own name; what is not on the US list follows it, since it is known."""
    small = Kitchen(BOOK, f'allergens = "{which}"\n')
    assert in_dish(small.state, "soup") == names


def test_a_batch_with_something_else_in_it_says_what_it_holds_and_so_does_the_dish() -> None:
    small = Kitchen(BOOK)
    plain = small.on_hand("soup", "1 kg")
    other = small.on_hand("soup", "1 kg", allergens=("celery", "molluscs", "soybeans"))
    assert in_batch(small.book, plain) == ("milk", "celery", "molluscs")
    assert in_batch(small.book, other) == ("soybeans", "celery", "molluscs")
    assert in_dish(small.state, "soup") == ("rye", "soybeans", "milk", "celery", "molluscs")


def test_of_what_no_recipe_knows_nothing_is_stated() -> None:
    small = Kitchen(BOOK)
    batch = small.on_hand("soup", "1 kg")
    batch.prep = ""
    assert in_batch(small.book, batch) is None


def test_the_lists_are_fourteen_and_nine() -> None:
    assert (len(EU), len(US)) == (14, 9)
    assert listed(("almonds", "wheat"), "us") == ("almonds", "wheat")
    assert listed(("gluten",), "us") == ("wheat",), "the safer reading"


def test_the_floor_is_told_of_what_nothing_is_stated() -> None:
    small = Kitchen(BOOK + '[goods.salt]\nunit = "kg"\n'.replace("salt", "leaves"))
    assert unlisted(small.state, "soup") == ()
    more = Kitchen(BOOK.replace('allergens = ["milk"]', ""))
    assert unlisted(more.state, "soup") == ("cream",)


def test_a_nut_is_named_and_what_the_law_does_not_list_is_said_all_the_same() -> None:
    """Regulation (EU) 1169/2011, Annex II point 8; the US list asks for the nut too (from memory)."""
    assert listed(("cashews", "nuts", "sulphites"), "us") == ("cashews", "sulphites")
    assert listed(("walnuts", "rye", "pine-nuts"), "eu") == ("rye", "walnuts", "pine-nuts")
