"""What left the kitchen unsold, as it is read from the file: what was taken back is not gone, counts are no waste."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from prepboard.plan.given.past import Past
from prepboard.store.actions.food.making import done, lost, start
from prepboard.store.actions.food.stock import count, discard, use
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.night.tonight import covers
from prepboard.store.actions.undoing import undo
from prepboard.store.past.waste import past_waste

LITRE = 1000 * 1_000_000


def past(kitchen, hours: float = 24) -> Past:
    now = kitchen.clock.at
    return past_waste(kitchen.file, now - timedelta(hours=hours), now + timedelta(seconds=1))


def out(kitchen) -> list[tuple[str, str, str, int]]:
    return [(one.kind, one.item, one.reason, one.amount) for one in past(kitchen).gone]


@pytest.fixture
def stocked(kitchen):
    done(kitchen.file, kitchen.jp, prep="brown-stock", outputs={"brown-stock": 5 * LITRE})
    return kitchen


def test_discards_and_other_uses_are_read_with_their_reasons_and_counts_are_not(stocked):
    discard(stocked.file, stocked.jp, "brown-stock", LITRE, "spoiled")
    use(stocked.file, stocked.jp, "brown-stock", LITRE // 2, "staff")
    count(stocked.file, stocked.jp, "brown-stock", LITRE)
    assert out(stocked) == [
        ("discard", "brown-stock", "spoiled", LITRE),
        ("use", "brown-stock", "staff", LITRE // 2),
    ]


def test_what_was_taken_back_is_not_gone(stocked):
    discard(stocked.file, stocked.jp, "brown-stock", LITRE, "spoiled")
    undo(stocked.file, stocked.jp)
    assert out(stocked) == []


def test_a_discard_knows_its_run_and_what_its_batch_was(stocked):
    discard(stocked.file, stocked.jp, "brown-stock", LITRE, "not-needed")
    (one,) = past(stocked).gone
    assert (one.made, one.run.recipe.id, one.run.lost) == (5 * LITRE, "brown-stock", False)
    assert one.station == stocked.book.preps["brown-stock"].station


def test_a_run_that_was_lost_is_read_as_lost_and_one_that_goes_on_is_not_read(stocked):
    run = start(stocked.file, stocked.jp, "brown-stock", 2).run
    start(stocked.file, stocked.jp, "brown-stock", 1)
    lost(stocked.file, stocked.jp, run, "burnt")
    found = past(stocked).runs
    assert [(one.recipe.id, one.size, one.lost) for one in found] == [
        ("brown-stock", 1, False),
        ("brown-stock", 2, True),
    ]


def test_only_the_stretch_that_was_asked_for_up_to_but_not_at_its_end(stocked):
    at = stocked.clock.at
    discard(stocked.file, stocked.jp, "brown-stock", LITRE, "spoiled")
    assert len(past_waste(stocked.file, at, at + timedelta(seconds=1)).gone) == 1
    assert past_waste(stocked.file, at - timedelta(days=1), at).gone == ()
    assert past_waste(stocked.file, at + timedelta(seconds=1), at + timedelta(days=1)).gone == ()


def test_guests_that_were_counted_stand_before_those_that_were_expected(stocked):
    covers(stocked.file, stocked.sous, stocked.dinner, 50)
    assert past(stocked).covers == {stocked.dinner: 50}
    stocked.clock.at = datetime(2026, 10, 31, 23, 0, tzinfo=UTC)
    covers(stocked.file, stocked.sous, stocked.dinner, 43, came=True)
    assert past(stocked).covers == {stocked.dinner: 43}


def test_goods_that_are_thrown_away_are_read_and_can_be_taken_back(stocked):
    goods = next(iter(stocked.book.goods))
    amount = 2 * 10**9
    discard(stocked.file, stocked.jp, goods, amount, "dropped")
    discard(stocked.file, stocked.jp, goods, amount, "trim")
    assert out(stocked) == [("discard", goods, "dropped", amount), ("discard", goods, "trim", amount)]
    undo(stocked.file, stocked.jp)
    assert out(stocked) == [("discard", goods, "dropped", amount)]


def test_a_plate_that_went_out_again_is_waste_and_an_ordinary_one_is_not(stocked):
    for prep in ("braised-lamb", "onion-crisp"):
        done(stocked.file, stocked.jp, prep=prep)
    plate(stocked.file, stocked.jp, stocked.dinner, "pressed-lamb", 2)
    assert out(stocked) == []
    plate(stocked.file, stocked.jp, stocked.dinner, "pressed-lamb", 1, again="dropped")
    assert {(kind, reason) for kind, _item, reason, _amount in out(stocked)} == {("again", "dropped")}
