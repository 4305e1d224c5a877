"""Traces both ways, and withdrawing what a lot or a batch reached."""

from __future__ import annotations

import pytest

from prepboard.plan.board import plan
from prepboard.store.actions.food.holding import unblock
from prepboard.store.actions.food.making import done, start
from prepboard.store.actions.food.opened import open_goods
from prepboard.store.actions.food.places import split
from prepboard.store.actions.food.stock import discard, use
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused, Unsure
from prepboard.store.past.tracing import trace
from prepboard.texts import told

LITRE = 1000 * 1_000_000


@pytest.fixture
def made(kitchen):
    """A pack of cream, the onion cream of it, a dip of that; by name."""
    (pack,) = open_goods(kitchen.file, kitchen.jp, "cream", "L12").batches
    (crisp,) = done(kitchen.file, kitchen.jp, prep="onion-crisp").batches
    (cream,) = done(kitchen.file, kitchen.jp, prep="onion-cream").batches
    (dip,) = done(kitchen.file, kitchen.jp, prep="dip").batches
    return {"pack": pack, "crisp": crisp, "cream": cream, "dip": dip}


def test_a_batch_is_followed_to_its_goods_and_their_lots(kitchen, made):
    found = trace(kitchen.file, made["dip"].lower())
    (cream,) = found.made_from
    assert (cream.code, cream.amount) == (made["cream"], 500_000_000)
    pack, crisp = cream.links
    assert (pack.code, pack.item, pack.lot, pack.amount) == (made["pack"], "cream", "L12", None)
    assert (crisp.code, crisp.amount, crisp.links) == (made["crisp"], 10_000_000, ())
    assert found.went_into == ()


def test_goods_of_which_no_pack_was_opened_are_named_without_a_lot(kitchen):
    (stock,) = done(kitchen.file, kitchen.jp, prep="brown-stock").batches
    (bones,) = trace(kitchen.file, stock).made_from
    assert (bones.kind, bones.item, bones.lot) == ("goods", "bones", "")


def test_goods_are_followed_to_plates_services_and_what_was_thrown_away(kitchen):
    (stock,) = done(kitchen.file, kitchen.jp, prep="brown-stock").batches
    done(kitchen.file, kitchen.jp, prep="onion-crisp")
    (jus,) = done(kitchen.file, kitchen.jp, prep="lamb-jus").batches
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", 3)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", 2)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", -1)
    use(kitchen.file, kitchen.jp, jus, 100_000_000, "staff")
    discard(kitchen.file, kitchen.jp, jus, 200_000_000, "spoiled")
    (into,) = trace(kitchen.file, stock).went_into
    assert (into.code, into.amount) == (jus, 2 * LITRE)
    toast, staff, waste = into.links
    assert (toast.kind, toast.item, toast.service, toast.day, toast.plates) == (
        "dish",
        "lamb-toast",
        *kitchen.dinner,
        4,
    )
    assert [(link.kind, link.why, link.amount) for link in (staff, waste)] == [
        ("gone", "staff", 100_000_000),
        ("discarded", "spoiled", 200_000_000),
    ]


def test_a_part_leads_to_the_whole_and_the_whole_to_its_parts(kitchen, made):
    (part,) = split(kitchen.file, kitchen.jp, made["dip"], [LITRE // 2]).batches
    assert [link.code for link in trace(kitchen.file, part).made_from] == [made["dip"]]
    assert [link.code for link in trace(kitchen.file, made["dip"]).went_into] == [part]


def test_what_was_taken_back_is_as_if_it_had_never_been(kitchen, made):
    undo(kitchen.file, kitchen.jp)
    with pytest.raises(Refused, match="there is no batch"):
        trace(kitchen.file, made["dip"])
    assert trace(kitchen.file, made["cream"]).went_into == ()


def test_a_run_under_way_is_on_the_way_too(kitchen):
    (stock,) = done(kitchen.file, kitchen.jp, prep="brown-stock").batches
    run = start(kitchen.file, kitchen.jp, "braised-lamb", 1).run
    (link,) = trace(kitchen.file, stock).went_into
    assert (link.kind, link.code, link.item, link.why) == ("run", run, "braised-lamb", "under way")


def test_withdrawing_asks_with_all_that_it_reached_and_changes_nothing(kitchen, made):
    with pytest.raises(Unsure) as asked:
        withdraw(kitchen.file, kitchen.jp, "l12")
    said = str(asked.value)
    for code in (made["pack"], made["cream"], made["dip"]):
        assert code in said
    assert made["crisp"] not in said
    assert all(not batch.blocked for batch in kitchen.state.batches)


def test_all_that_a_lot_reached_is_held_back_on_a_sous_chefs_word(staffed):
    pack = open_goods(staffed.file, staffed.jp, "cream", "L12").batches[0]
    done(staffed.file, staffed.jp, prep="onion-crisp")
    cream = done(staffed.file, staffed.jp, prep="onion-cream").batches[0]
    (part,) = split(staffed.file, staffed.jp, cream, [LITRE // 4]).batches
    with pytest.raises(Refused, match="only a sous chef"):
        withdraw(staffed.file, staffed.jp, "L12", "recalled", sure=True)
    did = withdraw(staffed.file, staffed.sous, "L12", "glass", sure=True)
    assert set(did.batches) == {pack, cream, part}
    held = {batch.code: told(batch.blocked) for batch in staffed.state.batches}
    assert {held[code] for code in (pack, cream, part)} == {"withdrawn: glass"}
    assert len([code for code, why in held.items() if not why]) == 1, "the crisps are nobody's business"
    assert len(staffed.log("withdrawn")) == 3
    with pytest.raises(Refused, match="withdrawn: glass; it may not be used"):
        open_goods(staffed.file, staffed.jp, "cream", "L12")
    undo(staffed.file, staffed.sous)
    assert all(not batch.blocked for batch in staffed.state.batches)


def test_a_part_withdraws_the_whole_for_it_is_one_food(kitchen, made):
    (part,) = split(kitchen.file, kitchen.jp, made["cream"], [LITRE // 4]).batches
    did = withdraw(kitchen.file, kitchen.sous, part, sure=True)
    assert set(did.batches) == {part, made["cream"], made["dip"]}


def test_what_is_still_being_made_of_it_comes_out_held_back(kitchen):
    (stock,) = done(kitchen.file, kitchen.jp, prep="brown-stock").batches
    run = start(kitchen.file, kitchen.jp, "braised-lamb", 1).run
    did = withdraw(kitchen.file, kitchen.sous, stock, "sour", sure=True)
    assert f"under way: Lamb shoulder, braised {run}" in did.text
    codes = done(kitchen.file, kitchen.jp, run=run).batches
    assert [told(kitchen.batch(code).blocked) for code in codes] == ["withdrawn: sour"] * 2
    discards = plan(kitchen.state, kitchen.clock.at).closing.discard
    assert set(codes) <= {line.batch.code for line in discards}
    with pytest.raises(Refused, match=f"held back with {stock}"):
        unblock(kitchen.file, kitchen.sous, codes[0], "fine")
    unblock(kitchen.file, kitchen.sous, stock, "the stock was fine after all")
    assert [told(kitchen.batch(code).blocked) for code in codes] == ["", ""]


def test_a_lot_that_nobody_opened_is_refused(kitchen):
    with pytest.raises(Refused, match="no batch, no goods and no lot L99"):
        withdraw(kitchen.file, kitchen.sous, "L99", sure=True)
