"""Orders by van: what an outlet asks for is what the kitchen that makes it plans for, all of them together."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from prepboard.plan.board import plan
from prepboard.plan.given.group import Ordered
from prepboard.plan.leftovers.vans import proposed
from prepboard.plan.service.on_vans import on_vans
from prepboard.store.actions.group.hearing import hear_answer, hear_hold, hear_order, hear_sent
from prepboard.store.actions.group.orders import answer_order, order
from prepboard.store.actions.group.receiving import receive
from prepboard.store.actions.group.sending import take_back
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.health.health import check
from prepboard.store.read.halves import Answered
from prepboard.texts import told
from tests.store.group.conftest import FOUR, LITRE, InGroup, held

SUNDAY = date(2026, 11, 1)


def orders_of(kitchen: InGroup) -> list[Ordered]:
    """What an outlet's orders say to the kitchen that makes it."""
    return [
        Ordered(
            one.id, one.van, one.day, one.kitchen, one.maker, one.prep, one.amount, one.unit, one.at, one.by, one.late
        )
        for one in kitchen.state.orders
    ]


def ask(kitchen: InGroup, litres: int) -> None:
    order(kitchen.file, kitchen.cook, "early", SUNDAY, {"onion-cream": litres * LITRE})


def par(kitchen: InGroup) -> int:
    return next((one.par for one in plan(kitchen.state, kitchen.clock.at).pars if one.service == "early"), 0)


def test_orders_of_all_kitchens_are_one_par_of_the_van(kitchens):
    central = kitchens.central
    ask(kitchens.north, 3)
    ask(kitchens.south, 2)
    for one in (*orders_of(kitchens.north), *orders_of(kitchens.south), *orders_of(kitchens.north)):
        hear_order(central.file, one)
    assert par(central) == 5 * LITRE
    made = [line for line in plan(central.state, central.clock.at).make if line.prep == "onion-cream"]
    assert datetime(2026, 11, 1, 6, 30, tzinfo=UTC) in {line.ready_by for line in made}
    # What leaves by that van is no longer asked for; what comes back is, again.
    batch = central.makes_cream()
    note = central.sends("north", batch, 2)
    assert par(central) == 3 * LITRE
    take_back(central.file, central.cook, note)
    assert par(central) == 5 * LITRE
    assert not check(central.file)


def test_more_than_was_ordered_takes_nothing_from_the_others(kitchens):
    central = kitchens.central
    ask(kitchens.north, 1)
    ask(kitchens.south, 2)
    for one in (*orders_of(kitchens.north), *orders_of(kitchens.south)):
        hear_order(central.file, one)
    central.sends("north", central.makes_cream(), 3)
    assert par(central) == 2 * LITRE
    undo(central.file, central.cook)
    assert par(central) == 3 * LITRE


def test_after_the_van_closed_it_is_answered(kitchens):
    """It closes at 18:00, the evening before."""
    central, south = kitchens.central, kitchens.south
    kitchens.later(hours=5)
    with pytest.raises(Refused, match="nothing is ordered"):
        order(south.file, south.cook, "early", SUNDAY, {})
    did = order(south.file, south.cook, "early", SUNDAY, {"onion-cream": LITRE})
    assert "it closed 18:00, so Central kitchen answers" in did.text
    (one,) = orders_of(south)
    hear_order(central.file, one)
    assert par(central) == 0
    answer_order(central.file, central.cook, one.id, True)
    assert par(central) == LITRE
    with pytest.raises(Refused, match="lm has answered that already"):
        answer_order(central.file, central.cook, one.id, False, "none left")
    hear_answer(south.file, Answered(one.id, "yes", central.clock.at, "lm"))
    assert [mine.answer for mine in south.state.orders] == ["yes"]


def test_ordered_in_time_but_heard_too_late_is_answered_too(kitchens):
    """The line was down: nobody could plan for it."""
    ask(kitchens.south, 1)
    kitchens.later(hours=5)
    hear_order(kitchens.central.file, orders_of(kitchens.south)[0])
    assert [one.late for one in kitchens.central.state.orders] == [True]
    assert par(kitchens.central) == 0


def test_what_does_not_come_by_that_van_is_refused(kitchens):
    north = kitchens.north
    with pytest.raises(Refused, match="Onion soup does not come by Early van"):
        order(north.file, north.cook, "early", SUNDAY, {"soup": LITRE})
    with pytest.raises(Refused, match="no van late goes 2026-11-01"):
        order(north.file, north.cook, "late", SUNDAY, {"onion-cream": LITRE})
    with pytest.raises(Refused, match="does not come here"):
        order(kitchens.central.file, north.cook, "early", SUNDAY, {"onion-cream": LITRE})
    kitchens.later(hours=17)
    with pytest.raises(Refused, match="Early van has left"):
        order(north.file, north.cook, "early", SUNDAY, {"onion-cream": LITRE})


def test_nothing_is_made_here_of_what_comes_from_elsewhere(kitchens):
    north = kitchens.north
    made = {line.prep for line in plan(north.state, north.clock.at).make}
    assert "soup" in made
    assert "onion-cream" not in made
    assert next(one.short for one in plan(north.state, north.clock.at).pars if one.prep == "onion-cream") > 0


def test_what_is_on_the_van_or_ordered_is_not_proposed_again(kitchens):
    central, north = kitchens.central, kitchens.north

    def asked() -> list[int]:
        board = plan(north.state, north.clock.at)
        return [line.amount for one in proposed(board.state, board.pars, board.make, board.now) for line in one.lines]

    def short() -> int:
        board = plan(north.state, north.clock.at)
        return sum(one.short for one in board.pars if one.prep == "onion-cream")

    (first,), before = asked(), short()
    note = central.sends("north", central.makes_cream(), 0.5)
    hear_sent(north.file, central.sent(note))
    (less,) = asked()
    assert less == pytest.approx(first - LITRE // 2, abs=first // 50), "a run does with a fiftieth less"
    assert short() == before - LITRE // 2, "it counts from when the van arrives"
    order(north.file, north.cook, "early", SUNDAY, {"onion-cream": less})
    assert asked() == []
    receive(north.file, north.cook, note, FOUR)
    assert short() == before - LITRE // 2


def test_what_is_on_the_van_counts_from_its_arrival_and_not_when_it_is_held_back(kitchens):
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream("L9")
    note = central.sends("north", batch)
    hear_sent(north.file, central.sent(note))
    # On Sunday at 06:00 the van is on the road until 07:15.
    kitchens.later(hours=16)
    ((one, there),) = on_vans(north.state, north.clock.at)
    assert (one.note, there) == (note, datetime(2026, 11, 1, 7, 15, tzinfo=UTC))
    par = next(one for one in plan(north.state, north.clock.at).pars if one.prep == "onion-cream")
    assert (par.on_hand, par.under_way, par.short) == (0, LITRE, 0)
    hear_hold(north.file, held(central, goods="cream", lot="L9"))
    assert list(on_vans(north.state, north.clock.at)) == []
    assert told(north.transfer(note).held) == "held back by Central kitchen: glass"
    par = next(one for one in plan(north.state, north.clock.at).pars if one.prep == "onion-cream")
    assert par.short == par.par


def test_a_batch_that_is_held_back_says_so_while_it_is_on_the_van(kitchens):
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream()
    note = central.sends("north", batch)
    hear_sent(north.file, central.sent(note))
    hear_hold(north.file, held(central, batch))
    assert told(north.transfer(note).held) == "glass"
