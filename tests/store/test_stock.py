"""Stock: counting, using and discarding."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.stock import PURPOSES, REASONS, count, discard, discard_batches, use
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused

LITRE = 1000 * 1_000_000


@pytest.fixture
def stocked(kitchen):
    """Two batches of stock: 3 l of yesterday, 5 l of today."""
    kitchen.later(days=-1)
    done(kitchen.file, kitchen.jp, prep="brown-stock", outputs={"brown-stock": 3 * LITRE})
    kitchen.later(days=1)
    done(kitchen.file, kitchen.jp, prep="brown-stock", outputs={"brown-stock": 5 * LITRE})
    return kitchen


def lefts(kitchen):
    return [batch.left // LITRE for batch in kitchen.batches("brown-stock")]


def test_a_count_below_what_is_known_comes_off_what_expires_first(stocked):
    assert count(stocked.file, stocked.jp, "brown-stock", 4 * LITRE).text == "Brown stock: 4 l counted"
    assert lefts(stocked) == [4]
    kinds = stocked.select("SELECT kind, amount FROM moves WHERE kind != 'made' ORDER BY number")
    assert kinds == [("counted", -3 * LITRE), ("counted", -LITRE)], "use in service, not waste"


def test_a_count_above_what_is_known_needs_the_time_it_was_made(stocked):
    with pytest.raises(Refused, match=r"9 l is more than the 8 l known; .* say when it was made"):
        count(stocked.file, stocked.jp, "brown-stock", 9 * LITRE)
    made_at = stocked.clock.at - timedelta(days=2)
    did = count(stocked.file, stocked.jp, "brown-stock", 9 * LITRE, made_at=made_at)
    found = stocked.batch(did.batches[0])
    assert (found.left, found.made_at) == (LITRE, made_at)
    assert found.use_by == datetime(2026, 11, 2, tzinfo=UTC)  # made on the 29th, four days with that one counted
    with pytest.raises(Refused, match="still to come"):
        count(stocked.file, stocked.jp, "brown-stock", 20 * LITRE, made_at=stocked.clock.at + timedelta(hours=1))


def test_what_is_counted_as_it_was_shown_is_no_more_than_was_known(stocked):
    """8004 ml is shown as 8 l, 7996 ml too: whoever counts 8 l has found nothing new."""
    use(stocked.file, stocked.jp, "brown-stock", 4_000_000, "tasting")
    count(stocked.file, stocked.jp, "brown-stock", 8 * LITRE)
    assert stocked.left("brown-stock") == 8 * LITRE - 4_000_000
    discard(stocked.file, stocked.jp, "brown-stock", 8 * LITRE, "spoiled")
    assert lefts(stocked) == []


def test_a_count_leaves_what_is_past_its_use_by_for_the_discard_list(stocked):
    """If a count could take it away, food past its date would vanish from the list and stay on the shelf."""
    stocked.clock.at = datetime(2026, 11, 3, 9, 0, tzinfo=UTC)
    count(stocked.file, stocked.jp, "brown-stock", 0)
    assert lefts(stocked) == [3]


def test_one_batch_can_be_counted_by_its_code(stocked):
    newer = stocked.batches("brown-stock")[1]
    count(stocked.file, stocked.jp, newer.code.lower(), 2 * LITRE)
    assert lefts(stocked) == [3, 2]


def test_what_goes_to_staff_is_not_waste(stocked):
    did = use(stocked.file, stocked.jp, "brown-stock", 4 * LITRE, "staff")
    assert did.text == "Brown stock: 4 l used"
    assert lefts(stocked) == [4]
    assert stocked.select("SELECT DISTINCT kind, why FROM moves WHERE amount < 0") == [("gone", "staff")]


def test_no_more_is_used_than_there_is(stocked):
    with pytest.raises(Refused, match="there is only 8 l of Brown stock"):
        use(stocked.file, stocked.jp, "brown-stock", 9 * LITRE, "tasting")
    with pytest.raises(Refused, match=", ".join(PURPOSES)):
        use(stocked.file, stocked.jp, "brown-stock", LITRE, "fun")
    assert lefts(stocked) == [3, 5]


def test_what_is_past_its_use_by_is_for_nobody(stocked):
    stocked.clock.at = datetime(2026, 11, 4, 9, 0, tzinfo=UTC)
    with pytest.raises(Refused, match="nothing good"):
        use(stocked.file, stocked.jp, "brown-stock", LITRE, "staff")


def test_of_a_prep_what_expires_first_is_thrown_away_first(stocked):
    discard(stocked.file, stocked.jp, "brown-stock", 4 * LITRE, "spoiled")
    assert lefts(stocked) == [4]
    logged = [(row["before"], row["after"], row["why"]) for row in stocked.log("discarded")]
    assert logged == [("3 l", "0 ml", "spoiled"), ("5 l", "4 l", "spoiled")]


def test_without_an_amount_all_of_it_goes(stocked):
    older, newer = stocked.batches("brown-stock")
    assert discard(stocked.file, stocked.jp, newer.code, None, "dropped").batches == (newer.code,)
    assert lefts(stocked) == [3]
    assert discard(stocked.file, stocked.jp, "brown-stock", None, "not-needed").batches == (older.code,)
    assert lefts(stocked) == []


def test_past_use_by_reaches_only_what_is_past_it(stocked):
    with pytest.raises(Refused, match="no batch of Brown stock is past its use-by"):
        discard(stocked.file, stocked.jp, "brown-stock", None, "past-use-by")
    stocked.clock.at = datetime(2026, 11, 3, 9, 0, tzinfo=UTC)
    discard(stocked.file, stocked.jp, "brown-stock", None, "past-use-by")
    assert lefts(stocked) == [5]


def test_reasons_are_a_closed_list(stocked):
    with pytest.raises(Refused, match=", ".join(REASONS)):
        discard(stocked.file, stocked.jp, "brown-stock", None, "ugly")
    with pytest.raises(Refused, match="there is only 8 l"):
        discard(stocked.file, stocked.jp, "brown-stock", 80 * LITRE, "spoiled")
    with pytest.raises(Refused, match="no prep and no batch"):
        discard(stocked.file, stocked.jp, "brwn-stock", None, "spoiled")


def test_goods_are_not_stocked_but_their_waste_is_recorded(stocked):
    did = discard(stocked.file, stocked.jp, "bones", 2 * LITRE, "spoiled")
    assert did.text == "Veal bones: 2 kg discarded"
    assert [(row["prep"], row["before"]) for row in stocked.log("discarded")] == [("bones", "2 kg")]
    with pytest.raises(Refused, match="how much"):
        discard(stocked.file, stocked.jp, "bones", None, "spoiled")


def test_a_batch_that_may_not_be_used_is_not_counted_by_its_code_either(stocked):
    """Counted away it would pass for eaten: what is past its use-by only leaves by being discarded."""
    old = stocked.batches("brown-stock")[0].code
    stocked.clock.at = datetime(2026, 11, 3, 9, 0, tzinfo=UTC)
    for amount in (0, LITRE, 3 * LITRE, 9 * LITRE):
        with pytest.raises(Refused, match="expired; it is discarded instead"):
            count(stocked.file, stocked.jp, old, amount)
    assert stocked.batch(old).left == 3 * LITRE


def test_several_batches_are_thrown_away_as_one_change_or_not_at_all(stocked):
    codes = [batch.code for batch in stocked.batches("brown-stock")]
    did = discard_batches(stocked.file, stocked.jp, codes, "spoiled")
    assert lefts(stocked) == []
    assert did.text.count("discarded") == 2
    undo(stocked.file, stocked.jp)
    assert lefts(stocked) == [3, 5]
    discard(stocked.file, stocked.lm, codes[1], None, "dropped")
    with pytest.raises(Refused, match="gone already; nothing was changed"):
        discard_batches(stocked.file, stocked.jp, codes, "spoiled")
    assert lefts(stocked) == [3]


def test_food_that_was_thrown_away_does_not_come_back_as_newer(staffed):
    """Who throws away what is past its use-by and counts it anew is asked for a sous chef; it goes back onto what it
    was, past its use-by as before."""
    code = done(staffed.file, staffed.jp, prep="lamb-jus").batches[0]
    use_by = staffed.batch(code).use_by
    staffed.clock.at = use_by + timedelta(hours=1)
    discard(staffed.file, staffed.jp, "lamb-jus", None, "past-use-by")
    with pytest.raises(Refused, match=r"only a sous chef calls it another make \(DK\)"):
        count(staffed.file, staffed.jp, "lamb-jus", LITRE, made_at=staffed.clock.at)
    with pytest.raises(Refused, match=r"thrown away; only a sous chef counts it back \(DK\)"):
        count(staffed.file, staffed.jp, "lamb-jus", LITRE)
    count(staffed.file, staffed.sous, "lamb-jus", LITRE)
    assert [(batch.code, batch.use_by) for batch in staffed.batches("lamb-jus")] == [(code, use_by)]
