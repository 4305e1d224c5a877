"""Allergens of dish and batch: the names of EU Regulation 1169/2011, Annex II, and the US nine (FASTER Act, 2021)."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from conftest import Kitchen

from prepboard.book.reading.faults import Faults
from prepboard.book.safety.allergens import EU, US, listed
from prepboard.paper.lists.allergens import allergens, as_objects, as_page, tonight
from prepboard.paper.sentences.contains import allergen_list, in_batch, in_dish, unlisted
from prepboard.paper.text.saying import Voice

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
    assert listed(("cashews", "nuts", "sulphites"), "us") == ("cashews", "nuts", "sulphites"), "nuts may be another nut"


TROUT = BOOK.replace('allergens = ["molluscs"]', 'allergens = ["fish", "nuts"]\nspecies = "trout"')


@pytest.mark.parametrize(
    ("which", "said"),
    [
        ("eu", "rye, fish (trout), milk, nuts (which is not stated), celery"),
        ("us", "milk, fish (trout), nuts (which is not stated), celery, rye"),
    ],
)
def test_fish_has_its_species_and_a_group_without_its_name_says_so(which: str, said: str) -> None:
    """US: the type of nut and the species of fish or crustacean are named (Food Allergen Labeling and Consumer
    Protection Act of 2004, from memory); Regulation (EU) 1169/2011, Annex II points 1 and 8."""
    small = Kitchen(TROUT, f'allergens = "{which}"\n')
    assert allergen_list(in_dish(small.state, "soup"), small.book) == said
    without = Kitchen(TROUT.replace('species = "trout"', ""), 'allergens = "us"\n')
    assert "fish (which is not stated)" in allergen_list(in_dish(without.state, "soup"), without.book)


def test_a_species_is_of_something_that_has_one() -> None:
    with pytest.raises(Faults, match="is of fish, crustaceans or molluscs"):
        Kitchen(BOOK.replace('allergens = ["milk"]', 'allergens = ["milk"]\nspecies = "cow"'))


def test_none_stated_and_nothing_stated_are_told_apart() -> None:
    """What says [] has none; what says nothing is named to the floor; what is taken if there counts too."""
    assert unlisted(Kitchen(BOOK.replace('allergens = ["milk"]', "allergens = []")).state, "soup") == ()
    text = BOOK.replace("uses = { cream", 'takes_if_there = { herbs = "10 g" }\nuses = { cream') + "[goods.herbs]\n"
    assert unlisted(Kitchen(text).state, "soup") == ("herbs",)


SHEET = (
    BOOK
    + """
[services.lunch]
starts = "12:00"
ends = "14:00"
days = ["sun"]
[dishes.salad]
services = ["lunch"]
share = 0.5
plate = { cream = "10 g" }
"""
)


def test_the_sheet_has_tonights_dishes_and_its_reserve() -> None:
    small = Kitchen(SHEET.replace('allergens = ["molluscs"]', "").replace("covers = 20", 'covers = 20\ndays = ["sat"]'))
    voice = Voice(small.book, datetime(2026, 10, 31, 15, tzinfo=UTC))
    assert tonight(small.state, voice.now) == ["soup"]
    text = " ".join(" ".join(allergens(small.state, voice, 90)).split())
    assert "rye, milk, celery" in text
    assert "nothing stated of Oysters" in text
    assert "check the packets" in text
    assert "1 other dish of the book is not tonight's" in text
    page = as_page(small.state, voice)
    assert page.count("<tr>") == 2
    assert all(f"<span>{name}</span>" in page for name in EU)
    assert "<td>rye</td>" in page
    assert "<td>yes</td>" in page
    assert "check the packets" in page
    rows = as_objects(small.state, voice)
    assert [(row["dish"], row["tonight"]) for row in rows] == [("soup", True), ("salad", False)]
    assert listed(("walnuts", "rye", "pine-nuts"), "eu") == ("rye", "walnuts", "pine-nuts")
