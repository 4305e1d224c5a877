"""What the waste says to change: reckoned by hand from what happened to each batch."""

from __future__ import annotations

from fractions import Fraction

import pytest
from conftest import Kitchen, at
from hypothesis import given
from hypothesis import strategies as st

from prepboard.plan.given.past import Gone, Past, PastRun
from prepboard.plan.leftovers.lessons import SmallerPar, SmallerSizes, lessons

BOOK = """
[preps.rolls]
name = "Rolls"
keeps = "1 days"
makes = "10 each"
sizes = { smallest = 0.1, step = 0.1 }
uses = { flour = "1 kg" }

[preps.cream]
name = "Cream"
keeps = "1 days"
makes = "10 each"
uses = { flour = "1 kg" }

[goods.flour]
unit = "kg"
cost = 10
"""
EACH = 10**6


@pytest.fixture(scope="module")
def book():
    return Kitchen(BOOK).book


def past(book, prep: str, made: list[int], thrown: list[int], reason: str = "past-use-by") -> Past:
    """Batches of so many pieces, of each of which so many were thrown away."""
    when = at("2026-10-31 15:00")
    runs = [PastRun(book.preps[prep], Fraction(n, 10), False, when, "s", {prep: n * EACH}) for n in made]
    gone = [
        Gone(when, "discard", prep, reason, bad * EACH, "s", batch=f"B{at}", made=n * EACH, run=run)
        for at, (n, bad, run) in enumerate(zip(made, thrown, runs, strict=True))
        if bad
    ]
    return Past(tuple(gone), tuple(runs), {})


def test_a_smaller_par_saves_what_was_thrown_and_is_short_where_all_went(book):
    """Ten batches of 20 rolls, 4 thrown of each but of one, which went whole, and of one 7: three less of the least
    nine would be 4, so 4 less saves 9 x 4 = 36 rolls at 1.00, and the batch that went whole is short."""
    (lesson,) = lessons(book, past(book, "rolls", [20] * 10, [4] * 8 + [7, 0]))
    assert lesson == SmallerPar("rolls", 4 * EACH, 36 * EACH, Fraction(36), 10, 1)


def test_less_than_five_batches_say_nothing_nor_does_what_was_burnt(book):
    assert lessons(book, past(book, "rolls", [20] * 4, [4] * 4)) == ()
    assert lessons(book, past(book, "rolls", [20] * 9, [4] * 9, reason="burnt")) == ()


def test_what_sizes_cost_is_no_pars_and_half_of_them_would_have_saved_some(book):
    """Whole recipes of ten only. Six batches of ten of which three were used: even the smallest run is ten, so the
    seven thrown are the size's. Of half a recipe, five, two would have been left: five saved a batch, 30 at 1.00."""
    (lesson,) = lessons(book, past(book, "cream", [10] * 6, [7] * 6))
    assert lesson == SmallerSizes("cream", 42 * EACH, 30 * EACH, Fraction(30))


def test_another_station_hears_nothing_of_it(book):
    assert lessons(book, past(book, "rolls", [20] * 10, [4] * 10), "pastry") == ()


@given(st.lists(st.integers(0, 20), min_size=5, max_size=30))
def test_what_a_smaller_par_promises_is_what_each_batch_says(thrown):
    """Reckoned anew, batch by batch; never more than one in ten short, and no further step down keeps to that."""
    book = Kitchen(BOOK).book
    found = [
        one for one in lessons(book, past(book, "rolls", [20] * len(thrown), thrown)) if isinstance(one, SmallerPar)
    ]
    allowed = len(thrown) // 10

    def short(by: int) -> int:
        return sum(left < by for left in thrown)

    steps = [by for by in range(1, 21) if short(by) <= allowed]
    assert [one.by // EACH for one in found] == steps[-1:]
    for one in found:
        by = one.by // EACH
        assert (one.saved // EACH, one.short) == (sum(min(by, left) for left in thrown), short(by))
