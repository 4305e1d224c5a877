"""The last step of a size is left out, and the shortage said, where the smaller size will do."""

from __future__ import annotations

from datetime import date

import pytest

from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.given.state import Tonight

TODAY = date(2026, 10, 31)

SAUCE = """
[services.dinner]
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
covers = 100
[dishes.hen]
name = "Hen"
services = ["dinner"]
course = "main"
share = 0.2
plate = { sauce = "50 ml" }
[preps.sauce]
name = "Sauce"
keeps = "3 days"
makes = "1.3 l"
sizes = { smallest = 0.5, step = 0.5 }
uses = { stock = "1.62 l" }
[preps.stock]
name = "Stock"
keeps = "3 days"
makes = "3.2 l"
sizes = { smallest = 0.5, step = 0.5 }
"""


def test_a_computed_par_does_with_the_smaller_size_while_that_covers_with_enough(kitchen):
    """27 portions at 0.95 are 1.35 l; 1.3 l are 26, which cover in 94 of 100 evenings."""
    small = kitchen(SAUCE)
    (line,) = small.lines("sauce")
    assert (line.size, line.amount) == (1, 1_300_000_000)
    (note,) = (note for note in line.notes if note.kind == "a little short")
    assert note_text(note, Voice.of(small.plan())) == "50 ml short of 1.35 l Sauce: it will do"
    assert len(small.lines("sauce")) == 1, "the remainder plans no run of its own"


def test_a_run_does_with_a_fiftieth_less_of_what_it_takes(kitchen):
    """1.62 l of stock are asked for: half a recipe gives 1.6 l, and 20 ml are less than a fiftieth."""
    (line,) = kitchen(SAUCE).lines("stock")
    assert float(line.size) == 0.5
    assert [(note.facts["amount"], note.facts["of"]) for note in line.notes] == [(20_000_000, 1_620_000_000)]


def test_no_run_is_made_for_a_fiftieth_and_the_user_says_what_is_short(kitchen):
    small = kitchen(SAUCE)
    small.on_hand("stock", "1.6 l")
    assert small.lines("stock") == []
    (line,) = small.lines("sauce")
    assert [note.facts["item"] for note in line.notes if note.kind == "a little short"] == ["sauce", "stock"]


@pytest.mark.parametrize(
    "tonight", [Tonight(pars={"sauce": 1_350_000_000}), Tonight(counts={"hen": 27})], ids=["by hand", "count"]
)
def test_never_for_pars_by_hand_and_counts(kitchen, tonight):
    small = kitchen(SAUCE)
    small.tonight["dinner", TODAY] = tonight
    assert float(small.lines("sauce")[0].size) == 1.5


def test_never_for_the_ingredients_of_a_function(kitchen):
    party = SAUCE.replace("covers = 100", "counts = { hen = 26 }").replace('course = "main"\nshare = 0.2\n', "")
    (line,) = kitchen(party).lines("stock")
    assert line.size == 1


def test_never_for_pieces(kitchen):
    pieces = SAUCE.replace('"50 ml"', '"1 each"').replace('makes = "1.3 l"', 'makes = "26 each"')
    assert float(kitchen(pieces).lines("sauce")[0].size) == 1.5


def test_more_than_enough_less_is_not_left_out(kitchen):
    """1 l is 20 portions: that covers in 56 of 100 evenings only."""
    assert float(kitchen(SAUCE.replace('makes = "1.3 l"', 'makes = "2 l"')).lines("sauce")[0].size) == 1
