"""What one kitchen holds back is held back in every kitchen that has any of it, hop by hop, by each one's own trace."""

from __future__ import annotations

from uuid import uuid4

import pytest

from prepboard.store.actions.food.holding import unblock
from prepboard.store.actions.food.making import How, done
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.hearing import hear_hold, hear_lifted, hear_seen, hear_sent
from prepboard.store.actions.group.holds import acknowledge
from prepboard.store.actions.group.receiving import receive
from prepboard.store.file.who import Refused, Who
from prepboard.store.group.shipping import held_elsewhere
from prepboard.store.health.health import check
from prepboard.store.past.tracing import trace
from prepboard.store.read.delivery_note import written
from prepboard.store.read.halves import Held, Lifted, Seen
from prepboard.texts import told
from tests.store.group.conftest import FOUR, LITRE, InGroup, held


def may(kitchen: InGroup, code: str) -> bool:
    return kitchen.batch(code).answer(kitchen.clock.at).may


@pytest.fixture
def in_north(kitchens):
    """(their code, the note, our code) of a litre of onion cream of lot L77 that came to the north."""
    batch = kitchens.central.makes_cream("L77")
    note = kitchens.central.sends("north", batch, 1.5)
    (ours,) = receive(kitchens.north.file, kitchens.north.cook, written(kitchens.central.sent(note)), FOUR).batches
    return batch, note, ours


def test_a_hold_reaches_what_came_and_what_was_made_of_it(kitchens, in_north):
    north, (theirs, _note, ours) = kitchens.north, in_north
    (soup,) = done(north.file, north.cook, prep="soup").batches
    hold = held(kitchens.central, theirs)
    hear_hold(north.file, hold)
    assert not may(north, ours)
    assert not may(north, soup)
    assert "held back by Central kitchen: glass" in told(north.batch(soup).blocked)
    assert [one.here for one in north.state.holds] == [(ours,)]
    hear_lifted(north.file, Lifted(hold.id, north.later(minutes=5), "dk", "it was none"))
    assert may(north, ours)
    assert may(north, soup)
    assert not check(north.file)


def test_hold_and_receipt_in_either_order_end_held_back(kitchens):
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream()
    note = central.sends("north", batch)
    hear_hold(north.file, held(central, batch))
    did = receive(north.file, north.cook, written(central.sent(note)), FOUR)
    assert "held back by Central kitchen: glass" in did.text
    assert not may(north, did.batches[0])
    assert not check(north.file)


def test_a_lot_that_went_in_elsewhere_is_found_here(kitchens, in_north):
    north = kitchens.north
    hear_hold(north.file, held(kitchens.central, goods="cream", lot="l 77"))
    assert not may(north, in_north[2])
    # What comes later of that lot, too; another lot not.
    note = kitchens.central.sends("north", in_north[0])
    (later,) = receive(north.file, north.cook, written(kitchens.central.sent(note)), FOUR).batches
    assert not may(north, later)


def test_a_lot_that_is_not_in_it_holds_nothing_back(kitchens, in_north):
    hear_hold(kitchens.north.file, held(kitchens.central, goods="cream", lot="L78"))
    assert may(kitchens.north, in_north[2])


def test_an_unknown_lot_counts_as_that_one(kitchens, in_north):
    """Nobody wrote down which shallots went in."""
    hear_hold(kitchens.north.file, held(kitchens.central, goods="shallot", lot="S1"))
    assert not may(kitchens.north, in_north[2])
    assert "its lot is not known" in told(kitchens.north.batch(in_north[2]).blocked)


def test_a_withdrawal_by_ones_own_sous_chef_finds_the_lot_in_what_came(kitchens, in_north):
    north = kitchens.north
    did = withdraw(north.file, north.sous, "L77", "rats", sure=True)
    assert in_north[2] in did.batches
    assert not may(north, in_north[2])


def test_only_who_holds_it_back_lets_it_go(kitchens, in_north):
    north = kitchens.north
    hear_hold(north.file, held(kitchens.central, in_north[0]))
    with pytest.raises(Refused, match="held back by Central kitchen: glass; only they let it go"):
        unblock(north.file, north.sous, in_north[2], "looks fine")
    assert not may(north, in_north[2])


def test_who_has_seen_to_it_is_kept(kitchens, in_north):
    north = kitchens.north
    hold = held(kitchens.central, in_north[0])
    hear_hold(north.file, hold)
    with pytest.raises(Refused, match="initials"):
        acknowledge(north.file, Who("", "sauce"), hold.id)
    acknowledge(north.file, north.cook, hold.id)
    with pytest.raises(Refused, match="lm has seen to it already"):
        acknowledge(north.file, north.sous, hold.id)
    (kept,) = north.state.holds
    assert (kept.seen_by, kept.seen_at) == ("lm", north.clock.at)
    hear_seen(kitchens.central.file, Seen(hold.id, "north", north.clock.at, "lm"))
    assert kitchens.central.select("SELECT before, after FROM log WHERE did = 'seen to'") == [("North Quay", "lm")]


def test_the_same_hold_twice_is_one_and_a_new_one_after_lifting_counts(kitchens, in_north):
    north, ours = kitchens.north, in_north[2]
    hold = held(kitchens.central, in_north[0])
    hear_hold(north.file, hold)
    hear_hold(north.file, hold)
    assert north.select("SELECT count(*) FROM withdrawals") == [(1,)]
    lifted = Lifted(hold.id, north.later(minutes=5), "dk")
    hear_lifted(north.file, lifted)
    # Late and out of order: what was told before it was let go of changes nothing.
    hear_hold(north.file, Held(hold.id, "central", "glass", hold.at, "dk", in_north[0]))
    assert may(north, ours)
    hear_hold(north.file, Held(hold.id, "central", "glass after all", north.later(minutes=5), "dk", in_north[0]))
    assert not may(north, ours)
    hear_lifted(north.file, lifted)
    assert not may(north, ours)


def test_hop_by_hop_each_kitchen_tells_those_that_it_sent_to(kitchens, in_north):
    """The north makes soup of it and sends the soup south: who told the north need not know of that."""
    north, south, (theirs, _note, _ours) = kitchens.north, kitchens.south, in_north
    (soup,) = done(north.file, north.cook, prep="soup", how=How()).batches
    note = north.sends("south", soup, 0.5)
    (in_south,) = receive(south.file, south.cook, written(north.sent(note)), FOUR).batches
    assert held_elsewhere(north.file) == []
    hear_hold(north.file, held(kitchens.central, theirs))
    (telling,) = held_elsewhere(north.file)
    assert (telling.word["receiver"], telling.word["code"], telling.word["sender"]) == ("south", soup, "north")
    hear_hold(south.file, telling.word)
    assert not may(south, in_south)
    assert "glass" in told(south.batch(in_south).blocked)
    (lot,) = [lot for goods, lot in south.transfer(note).lots if goods == "cream"]
    assert lot == "L77"


def test_the_trace_goes_from_one_kitchen_to_the_next(kitchens, in_north):
    theirs, note, ours = in_north
    went = trace(kitchens.central.file, theirs).went_into
    assert [(one.kind, one.name, one.why, one.amount) for one in went] == [("sent", "north", note, LITRE * 3 // 2)]
    (came,) = trace(kitchens.north.file, ours).made_from
    assert (came.kind, came.name, came.code, came.why) == ("came", "central", theirs, note)
    assert [(one.item, one.lot) for one in came.links] == [("cream", "L77"), ("shallot", "")]


def test_a_hold_of_nothing_that_is_here_waits(kitchens):
    hold = held(kitchens.central, "X2X")
    hear_hold(kitchens.north.file, hold)
    assert [one.here for one in kitchens.north.state.holds] == [()]
    with pytest.raises(Refused, match="not held back here"):
        hear_lifted(kitchens.north.file, Lifted(str(uuid4()), hold.at, "dk"))


def test_a_bad_message_stops_nothing(kitchens):
    """The next one is heard all the same."""
    note = kitchens.central.sends("north", kitchens.central.makes_cream())
    for bad in (Held("no id", "central", "glass", kitchens.north.clock.at, "dk", "X2X"), held(kitchens.central)):
        with pytest.raises(Refused):
            hear_hold(kitchens.north.file, bad)
    hear_sent(kitchens.north.file, kitchens.central.sent(note))
    assert kitchens.north.transfer(note).state == "on the van"


def test_who_has_looked_for_it_is_told_where_it_is_held_back(kitchens, in_north):
    """Of a lot all other kitchens, of a batch those that have some of it; until each has answered."""
    from prepboard.paper.lists.holds import holds_objects, holds_section, seen_text
    from prepboard.paper.text.saying import Voice
    from prepboard.plan.board import plan
    from prepboard.store.group.shipping import finished

    central, north = kitchens.central, kitchens.north
    withdraw(central.file, central.sous, "cream", "glass", lot="L77", sure=True)
    for half in held_elsewhere(central.file):
        hear_hold(north.file, half.word)
    of_lot, of_batch = sorted(central.state.told_holds, key=lambda one: one.code)
    assert (of_lot.not_seen, of_batch.not_seen) == (("north", "south"), ("north",))
    north.later(minutes=8)
    for hold in north.state.holds:
        acknowledge(north.file, north.sous, hold.id)
    for half in (half for one in finished(north.file, 0, 999) for half in one.halves if half.kind == "seen"):
        hear_seen(central.file, half.word)
    of_lot, of_batch = sorted(central.state.told_holds, key=lambda one: one.code)
    voice = Voice.of(plan(central.state, central.clock.at))
    assert seen_text(of_lot, voice) == "not yet: South Hill; seen to: North Quay (dk, 14:08)"
    assert seen_text(of_batch, voice) == "seen to: North Quay (dk, 14:08)"
    of_the_lot = [one for one in holds_objects(central.state, voice) if one["lot"]]
    assert [(one["kitchen"], one["seen_by"]) for one in of_the_lot] == [("north", "dk"), ("south", None)]
    said = holds_section(north.state, Voice.of(plan(north.state, north.clock.at)), 100)
    assert any("seen to by dk, 14:08" in str(line) for line in said)
    assert not check(central.file)
