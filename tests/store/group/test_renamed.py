"""A prep that the book calls otherwise now is the same one in orders, on vans and on notes that were printed before."""

from __future__ import annotations

from prepboard.book.reading.reader import read_texts
from prepboard.plan.board import plan
from prepboard.plan.leftovers.vans import coming, loads
from prepboard.store.actions.group.hearing import hear_order, hear_sent
from prepboard.store.actions.group.receiving import receive
from prepboard.store.actions.loading import load_texts
from prepboard.store.health.health import check
from prepboard.store.read.delivery_note import written
from tests.store.group.conftest import FOUR, GROUP, LITRE, InGroup
from tests.store.group.test_orders import SUNDAY, ask, orders_of

RENAMED = (
    GROUP.replace("[preps.onion-cream]", '[preps.cream-of-onion]\nwas = "onion-cream"')
    .replace("{ onion-cream", "{ cream-of-onion")
    .replace(', onion-cream = "20 ml"', ', cream-of-onion = "20 ml"')
)


def rename(kitchen: InGroup) -> None:
    name = kitchen.file.newest_book().kitchen.member
    texts = {"kitchen.toml": f'name = "{name}"\nthis_kitchen = "{name}"\n{RENAMED}'}
    load_texts(kitchen.file, kitchen.sous, read_texts(texts), texts)


def test_open_orders_and_what_is_loaded_follow_the_new_id(kitchens):
    central, north = kitchens.central, kitchens.north
    ask(north, 3)
    for one in orders_of(north):
        hear_order(central.file, one)
    note = central.sends("north", central.makes_cream(), 1)
    for one in (central, north):
        rename(one)
        assert [order.prep for order in one.state.orders] == ["cream-of-onion"]
    (load,) = loads(central.state, central.clock.at)
    (line,) = load.lines
    assert (line.prep, line.ordered, line.sent) == ("cream-of-onion", 3 * LITRE, LITRE)
    par = next(one.par for one in plan(central.state, central.clock.at).pars if one.service == "early")
    assert par == 2 * LITRE
    hear_sent(north.file, central.sent(note))
    assert [one.prep for one in coming(north.state)] == ["cream-of-onion"]
    for one in (central, north):
        assert not check(one.file)


def test_an_order_and_a_note_of_before_are_of_the_same_prep(kitchens):
    central, north = kitchens.central, kitchens.north
    ask(north, 3)
    orders = orders_of(north)
    paper = written(central.sent(central.sends("north", central.makes_cream())))
    heard = central.sends("north", central.batches("onion-cream")[0].code)
    hear_sent(north.file, central.sent(heard))
    for one in (central, north):
        rename(one)
    for one in orders:
        hear_order(central.file, one)
    assert [(one.prep, one.day) for one in central.state.orders] == [("cream-of-onion", SUNDAY)]
    receive(north.file, north.cook, paper, FOUR)
    receive(north.file, north.cook, heard, FOUR)
    assert north.left("cream-of-onion") == 2 * LITRE
    assert north.left("onion-cream") == 0
    for one in (central, north):
        assert not check(one.file)
