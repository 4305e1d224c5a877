"""What does not agree between two kitchens is in sight of both until one of them answers for it, however long ago."""

from __future__ import annotations

from datetime import timedelta

import pytest

from prepboard.plan.board import plan
from prepboard.plan.leftovers.vans import coming, proposed, to_answer_for
from prepboard.store.actions.group.hearing import hear_got, hear_sent, hear_settled
from prepboard.store.actions.group.receiving import receive, refuse
from prepboard.store.actions.group.sending import settle
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.health.health import check
from prepboard.store.read.delivery_note import written
from prepboard.store.read.group import OPEN, TRANSFERS
from tests.store.group.conftest import FOUR, LITRE, NINE, InGroup
from tests.store.group.test_shipping import halves

LONG = timedelta(days=40)


def to_settle(kitchen: InGroup) -> list[str]:
    return [one.note for one in to_answer_for(kitchen.state, kitchen.clock.at)]


def to_order(kitchen: InGroup) -> int:
    board = plan(kitchen.state, kitchen.clock.at)
    found = proposed(kitchen.state, board.pars, board.make, kitchen.clock.at)
    return sum(line.amount for one in found for line in one.lines)


@pytest.mark.parametrize("how", ["short", "refused"])
def test_a_difference_is_open_until_it_is_settled_however_long_ago(kitchens, how):
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream()
    note, agreed = central.sends("north", batch), central.sends("north", batch)
    for one in (note, agreed):
        hear_sent(north.file, central.sent(one))
    receive(north.file, north.cook, agreed, FOUR)
    if how == "short":
        receive(north.file, north.cook, note, FOUR, amount=LITRE // 2)
    else:
        refuse(north.file, north.cook, note, "the lid is off", NINE)
    for half in halves(north, "got"):
        hear_got(central.file, half.word)
    kitchens.later(days=LONG.days)
    for one in (central, north):
        assert to_settle(one) == [note]
        assert [kept.note for kept in one.state.transfers] == [note], "what agrees is not read for ever"
    settle(north.file, north.cook, note, "a box fell")
    assert to_settle(north) == []
    (half,) = halves(north, "settled")
    for _twice in range(2):
        hear_settled(central.file, half.word)
    assert to_settle(central) == []
    assert central.select("SELECT settled_by, settled_why FROM transfers WHERE note = ?", note) == [
        ("lm", "a box fell")
    ]
    assert not check(central.file)


def test_a_settlement_that_was_taken_back_is_open_again_in_both(kitchens):
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    receive(north.file, north.cook, written(central.sent(note)), FOUR, amount=LITRE // 2)
    for half in halves(north, "got"):
        hear_got(central.file, half.word)
    settle(central.file, central.cook, note, "a box fell")
    undo(central.file, central.cook)
    said = halves(central, "settled")
    assert [half.word["undone"] for half in said] == [True], "what was said is what is so now"
    hear_settled(north.file, said[0].word)
    assert to_settle(north) == to_settle(central) == [note]
    assert not check(central.file)


def test_a_box_that_nobody_took_in_is_answered_for_after_a_day(kitchens):
    central, north = kitchens.central, kitchens.north
    needed = to_order(north)
    note = central.sends("north", central.makes_cream())
    hear_sent(north.file, central.sent(note))
    assert to_order(north) < needed
    with pytest.raises(Refused, match="nothing to answer for"):
        settle(central.file, central.cook, note, "the van was robbed")
    kitchens.later(days=2)
    assert to_settle(central) == [note]
    assert to_settle(north) == []
    assert [one.note for one in coming(north.state)] == [note]
    assert to_order(north) == needed, "what is lost is ordered anew"
    settle(central.file, central.cook, note, "the van was robbed")
    (half,) = halves(central, "settled")
    hear_settled(north.file, half.word)
    assert to_settle(central) == []
    assert coming(north.state) == ()


def test_what_is_open_is_found_without_reading_what_is_long_over(kitchens):
    north = kitchens.north
    plan_of = " ".join(row[3] for row in north.select(f"EXPLAIN QUERY PLAN {TRANSFERS}", "2026-10-17T00:00:00Z"))
    assert "transfers_open" in plan_of, OPEN
