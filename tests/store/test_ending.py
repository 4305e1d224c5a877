"""Out of the ordinary as a run ends: a part is ready, it tops a batch up, something else went in."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from prepboard.book.otherwise import Otherwise
from prepboard.store.actions.food.holding import block
from prepboard.store.actions.food.making import How, done, start
from prepboard.store.actions.food.opened import open_goods
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.health.health import check
from prepboard.store.past.tracing import trace

LITRE = 1000 * 1_000_000


def test_a_part_is_ready_and_the_run_goes_on_for_the_rest(kitchen):
    run = start(kitchen.file, kitchen.jp, "brown-stock", 1).run
    did = done(kitchen.file, kitchen.jp, run=run, outputs={"brown-stock": 3 * LITRE}, how=How(more=True))
    assert kitchen.batch(did.batches[0]).left == 3 * LITRE
    (under_way,) = kitchen.state.runs
    assert under_way.outputs == {"brown-stock": 5 * LITRE}
    with pytest.raises(Refused, match="that is all of it"):
        done(kitchen.file, kitchen.jp, run=run, outputs={"brown-stock": 5 * LITRE}, how=How(more=True))
    done(kitchen.file, kitchen.jp, run=run)
    assert kitchen.left("brown-stock") == 8 * LITRE
    assert kitchen.state.runs == ()


def test_what_tops_up_a_batch_has_its_earliest_dates(kitchen):
    """The stock keeps 4 days; topped up on its day 3 it is still good to day 4."""
    (old,) = done(kitchen.file, kitchen.jp, prep="brown-stock").batches
    ends = kitchen.batch(old).use_by
    kitchen.later(days=2)
    did = done(kitchen.file, kitchen.jp, prep="brown-stock", how=How(onto=old))
    assert did.batches == (old,)
    assert did.text == f"Brown stock: 8 l onto batch {old}, good to Tue"
    batch = kitchen.batch(old)
    assert (batch.left, batch.use_by, batch.first_day) == (16 * LITRE, ends, date(2026, 10, 31))
    assert {link.run for link in trace(kitchen.file, old).made_from} == {
        row[0] for row in kitchen.select("SELECT code FROM runs")
    }
    undo(kitchen.file, kitchen.jp)
    assert kitchen.batch(old).left == 8 * LITRE
    assert check(kitchen.file) == []


def test_food_of_an_older_date_takes_it_along_to_what_it_tops_up(kitchen):
    (fresh,) = done(kitchen.file, kitchen.jp, prep="onion-cream").batches
    assert kitchen.batch(fresh).use_by == datetime(2026, 11, 5, tzinfo=UTC)
    open_goods(kitchen.file, kitchen.jp, "cream", "", date(2026, 11, 2))
    done(kitchen.file, kitchen.jp, prep="onion-cream", how=How(onto=fresh))
    batch = kitchen.batch(fresh)
    assert (batch.use_by, batch.why, batch.safety) == (
        datetime(2026, 11, 3, tzinfo=UTC),
        "maker's date",
        date(2026, 11, 2),
    )


def test_nothing_goes_onto_what_is_held_back_past_or_other_food(kitchen):
    (stock,) = done(kitchen.file, kitchen.jp, prep="brown-stock").batches
    with pytest.raises(Refused, match="this run gives no Brown stock"):
        done(kitchen.file, kitchen.jp, prep="onion-crisp", how=How(onto=stock))
    block(kitchen.file, kitchen.jp, stock, "smells")
    with pytest.raises(Refused, match="is held back: smells"):
        done(kitchen.file, kitchen.jp, prep="brown-stock", how=How(onto=stock))
    kitchen.later(days=9)
    with pytest.raises(Refused, match="past its use-by"):
        done(kitchen.file, kitchen.jp, prep="brown-stock", how=How(onto=stock))
    assert len(kitchen.state.batches) == 1, "nothing of the refused runs is there"


def test_what_was_used_instead_changes_trace_and_allergens_as_far_down_as_it_went(kitchen):
    (pack,) = open_goods(kitchen.file, kitchen.jp, "oat-cream", "O7").batches
    how = How(instead={"cream": "oat-cream"})
    (cream,) = done(kitchen.file, kitchen.jp, prep="onion-cream", how=how).batches
    assert kitchen.batch(cream).allergens == ("oats",)
    assert [link.code for link in trace(kitchen.file, cream).made_from] == [pack]
    (dip,) = done(kitchen.file, kitchen.jp, prep="dip").batches
    assert kitchen.batch(dip).allergens == ("oats",)
    (plain,) = done(kitchen.file, kitchen.jp, prep="onion-cream").batches
    assert kitchen.batch(plain).allergens == ("milk",)


def test_a_mix_of_both_holds_both(kitchen):
    half = {"onion-cream": LITRE // 4}
    done(kitchen.file, kitchen.jp, prep="onion-cream", outputs=half, how=How(instead={"cream": "oat-cream"}))
    done(kitchen.file, kitchen.jp, prep="onion-cream", outputs=half)
    (dip,) = done(kitchen.file, kitchen.jp, prep="dip").batches
    assert kitchen.batch(dip).allergens == ("milk", "oats")


def test_nothing_is_used_instead_of_what_the_recipe_has_not(kitchen):
    for instead, why in (
        ({"bones": "cream"}, "uses no Veal bones"),
        ({"cream": "margarine"}, "the book knows no margarine"),
        ({"cream": "braised-lamb"}, "are not measured alike"),
    ):
        with pytest.raises(Refused, match=why):
            done(kitchen.file, kitchen.jp, prep="onion-cream", how=How(instead=instead))


def test_what_goes_in_instead_is_said_as_it_starts_and_is_taken_at_its_step(kitchen):
    """The dip's cream is one of oats, which is asked for from the start on: the plan and its batch know it."""
    (pack,) = open_goods(kitchen.file, kitchen.jp, "oat-cream", "O7").batches
    run = start(kitchen.file, kitchen.jp, "onion-cream", 1, how=Otherwise({"cream": "oat-cream"})).run
    (under_way,) = kitchen.state.runs
    assert "oat-cream" in {use.item for use in under_way.recipe.uses}
    assert "cream" not in {use.item for use in under_way.recipe.uses}
    (cream,) = done(kitchen.file, kitchen.jp, run=run).batches
    assert kitchen.batch(cream).allergens == ("oats",)
    assert [link.code for link in trace(kitchen.file, cream).made_from] == [pack]
    assert check(kitchen.file) == []


def test_nothing_stands_in_equipment_that_the_book_does_not_name_for_it(kitchen):
    with pytest.raises(Refused, match="is not made in attic: the book says by `or_in` where it may be"):
        start(kitchen.file, kitchen.jp, "onion-cream", 1, how=Otherwise(places={"cellar": "attic"}))
    assert kitchen.state.runs == ()
