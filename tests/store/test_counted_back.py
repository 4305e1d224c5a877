"""A wrong count is put right on the batch itself, with its dates, also the next morning and from nothing."""

from __future__ import annotations

import pytest

from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.stock import count, discard
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.food.counted import may_go_back

LITRE = 1000 * 1_000_000


@pytest.fixture
def stock(kitchen):
    """The code of 5 l of brown stock made just now."""
    return done(kitchen.file, kitchen.jp, prep="brown-stock", outputs={"brown-stock": 5 * LITRE}).batches[0]


def test_a_count_that_was_too_low_goes_back_onto_the_batch_with_its_dates_next_morning(kitchen, stock):
    (before,) = kitchen.batches("brown-stock")
    count(kitchen.file, kitchen.jp, stock, 1 * LITRE)
    kitchen.later(hours=10)
    assert may_go_back(kitchen.file, stock) == 4 * LITRE
    count(kitchen.file, kitchen.jp, stock, 3 * LITRE)
    (after,) = kitchen.batches("brown-stock")
    assert (after.code, after.left, after.use_by) == (stock, 3 * LITRE, before.use_by)
    assert may_go_back(kitchen.file, stock) == 2 * LITRE


def test_a_batch_counted_to_nothing_comes_back_by_its_code_or_its_prep(kitchen, stock):
    (before,) = kitchen.batches("brown-stock")
    for target in (stock, "brown-stock"):
        count(kitchen.file, kitchen.jp, stock, 0)
        assert kitchen.batches("brown-stock") == []
        count(kitchen.file, kitchen.jp, target, 2 * LITRE)
        (after,) = kitchen.batches("brown-stock")
        assert (after.code, after.left, after.use_by) == (stock, 2 * LITRE, before.use_by)
    undo(kitchen.file, kitchen.jp)
    assert kitchen.batches("brown-stock") == []


def test_more_than_ever_was_counted_away_still_needs_a_date(kitchen, stock):
    count(kitchen.file, kitchen.jp, stock, 4 * LITRE)
    with pytest.raises(Refused, match="say when it was made"):
        count(kitchen.file, kitchen.jp, stock, 6 * LITRE)
    assert [batch.left for batch in kitchen.batches("brown-stock")] == [4 * LITRE], "nothing was changed"
    count(kitchen.file, kitchen.jp, stock, 6 * LITRE, made_at=kitchen.clock.now())
    assert sorted(batch.left for batch in kitchen.batches("brown-stock")) == [LITRE, 5 * LITRE]


def test_what_was_thrown_away_is_not_counted_back(kitchen, stock):
    discard(kitchen.file, kitchen.jp, stock, None, "dropped")
    with pytest.raises(Refused, match="no count took any of it away"):
        count(kitchen.file, kitchen.jp, stock, LITRE)
