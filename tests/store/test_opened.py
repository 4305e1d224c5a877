"""Opened goods: their life, what is made of them, and how they go."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from prepboard.plan.board import plan
from prepboard.store.actions.food.holding import block
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.opened import open_goods
from prepboard.store.actions.food.stock import discard
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused, Unsure
from prepboard.store.health.health import check


def day(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def used(kitchen) -> list[tuple[object, ...]]:
    return kitchen.select("SELECT batch, amount FROM moves WHERE kind = 'used' ORDER BY number")


def test_an_opened_pack_has_the_life_that_the_book_names_and_the_day_counts(kitchen):
    did = open_goods(kitchen.file, kitchen.jp, "cream", "L12")
    (code,) = did.batches
    assert did.text == f"Cream, lot L12: batch {code}, good to Mon"
    pack = kitchen.batch(code)
    assert (pack.pack, pack.lot, pack.store, pack.use_by, pack.why) == (
        True,
        "L12",
        "chilled",
        day("2026-11-03"),
        "opened",
    )


def test_no_pack_is_good_past_the_makers_date(kitchen):
    (code,) = open_goods(kitchen.file, kitchen.jp, "cream", "", date(2026, 11, 1)).batches
    assert (kitchen.batch(code).use_by, kitchen.batch(code).why) == (day("2026-11-02"), "maker's date")
    with pytest.raises(Refused, match="past the maker's date"):
        open_goods(kitchen.file, kitchen.jp, "cream", "", date(2026, 10, 30))


def test_what_is_made_of_it_counts_from_its_opening_and_ends_by_the_makers_date(kitchen):
    """FDA Food Code 2022, 3-501.17(B) and (C). Opened on the 31st, made on the 2nd into a dip that keeps 10 days."""
    open_goods(kitchen.file, kitchen.jp, "cream")
    kitchen.clock.at = day("2026-11-02 12:00")
    done(kitchen.file, kitchen.jp, prep="onion-cream")
    (cream,) = kitchen.batches("onion-cream")
    assert (cream.inherited, cream.use_by, cream.why) == (date(2026, 10, 31), day("2026-11-07"), "keeps")
    done(kitchen.file, kitchen.jp, prep="dip")
    (dip,) = kitchen.batches("dip")
    assert (dip.inherited, dip.use_by, dip.why) == (date(2026, 10, 31), day("2026-11-07"), "inherited")
    open_goods(kitchen.file, kitchen.jp, "cream", "", date(2026, 11, 4))
    done(kitchen.file, kitchen.jp, prep="onion-cream")
    assert (kitchen.batches("onion-cream")[-1].use_by, kitchen.batches("onion-cream")[-1].why) == (
        day("2026-11-05"),
        "maker's date",
    )


def test_of_two_open_packs_both_are_named_for_nobody_says_which(kitchen):
    codes = [open_goods(kitchen.file, kitchen.jp, "cream", lot).batches[0] for lot in ("A", "B")]
    done(kitchen.file, kitchen.jp, prep="onion-cream")
    assert used(kitchen) == [(codes[0], 0), (codes[1], 0)]
    assert [kitchen.batch(code).left for code in codes] == [1_000_000, 1_000_000]


def test_what_is_held_back_or_past_is_not_named(kitchen):
    (blocked,) = open_goods(kitchen.file, kitchen.jp, "cream", "A").batches
    block(kitchen.file, kitchen.jp, blocked, "smells")
    open_goods(kitchen.file, kitchen.jp, "cream", "B")
    kitchen.clock.at = day("2026-11-03")
    with pytest.raises(Unsure, match=r"smells.*expired.*Did it go in"):
        done(kitchen.file, kitchen.jp, prep="onion-cream")
    assert used(kitchen) == []


def test_goods_are_thrown_away_with_all_their_packs_or_one(kitchen):
    first, second = (open_goods(kitchen.file, kitchen.jp, "cream", lot).batches[0] for lot in ("A", "B"))
    discard(kitchen.file, kitchen.jp, first, None, "spoiled")
    assert [batch.code for batch in kitchen.batches("cream")] == [second]
    with pytest.raises(Refused, match="no batch of Cream is past its use-by"):
        discard(kitchen.file, kitchen.jp, "cream", None, "past-use-by")
    discard(kitchen.file, kitchen.jp, "cream", None, "other")
    assert kitchen.batches("cream") == []
    discard(kitchen.file, kitchen.jp, "cream", 500_000_000, "spoiled")
    assert [row["before"] for row in kitchen.log("discarded")] == ["1", "1", "500 ml"]


def test_past_its_date_it_is_on_the_discard_list(kitchen):
    (code,) = open_goods(kitchen.file, kitchen.jp, "cream").batches
    kitchen.clock.at = day("2026-11-03")
    (line,) = plan(kitchen.state, kitchen.clock.at).closing.discard
    assert (line.batch.code, line.reason, line.cost) == (code, "past-use-by", None)


def test_opening_and_using_are_taken_back(kitchen):
    (code,) = open_goods(kitchen.file, kitchen.jp, "cream").batches
    done(kitchen.file, kitchen.jp, prep="onion-cream")
    undo(kitchen.file, kitchen.jp)
    undo(kitchen.file, kitchen.jp)
    assert kitchen.state.batches == ()
    assert check(kitchen.file) == []
    assert kitchen.select("SELECT state FROM batches WHERE code = ?", code) == [("undone",)]
