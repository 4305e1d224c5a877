"""What the program says in one kitchen is read in another in the language of whoever reads there."""

from __future__ import annotations

import pytest

from prepboard.boards.rows import van_rows
from prepboard.plan.board import plan
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.hearing import hear_got, hear_hold, hear_sent
from prepboard.store.actions.group.receiving import NotTaken, receive
from prepboard.store.read.delivery_note import written
from prepboard.texts import speaking, told
from tests.store.group.conftest import FOUR, NINE, InGroup
from tests.store.group.test_shipping import halves


def rows(kitchen: InGroup) -> str:
    return " ".join(row.words for row in van_rows.rows(plan(kitchen.state, kitchen.clock.at)))


def test_why_something_is_held_back(kitchens):
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream("L9"))
    (ours,) = receive(north.file, north.cook, written(central.sent(note)), FOUR).batches
    with speaking("es"):
        withdraw(central.file, central.sous, "cream", "vidrio", lot="L9", sure=True)
    for half in halves(central, "hold"):
        hear_hold(north.file, half.word)
    blocked = north.batch(ours).blocked
    assert "withdrawn: vidrio" in told(blocked)
    assert "withdrawn: vidrio" in rows(north)
    with speaking("es"):
        assert "retirado: vidrio" in told(north.batch(ours).blocked).lower()
        assert "withdrawn" not in rows(north)


def test_why_something_was_not_taken_in(kitchens):
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    hear_sent(north.file, central.sent(note))
    with speaking("es"), pytest.raises(NotTaken, match="sonda"):
        receive(north.file, north.cook, note, NINE)
    for half in halves(north, "got"):
        hear_got(central.file, half.word)
    assert "probe another box of it" in rows(central)
    with speaking("es"):
        assert "probe another" not in rows(central)
