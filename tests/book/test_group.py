"""The group in a book: which kitchens there are, which vans go between them, and what is made where."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_texts
from prepboard.book.safety.allergens import carried
from prepboard.book.vans import loading, to_order, trip_on
from tests.store.group.conftest import GROUP


def book(kitchen: str = "north", text: str = GROUP):
    return read_texts({"kitchen.toml": f'name = "{kitchen}"\nthis_kitchen = "{kitchen}"\n{text}'})


def faults(text: str, kitchen: str = "north") -> str:
    with pytest.raises(Faults) as found:
        book(kitchen, text)
    return str(found.value)


def test_one_book_is_a_recipe_where_it_is_made_and_an_order_elsewhere():
    here, there = book("central").preps["onion-cream"], book("north").preps["onion-cream"]
    assert (here.comes_from, here.made_by) == ("", ("onion-cream",))
    assert (there.comes_from, there.made_by, there.outputs, there.uses) == ("central", (), {}, ())
    assert there.measure.unit == "l"
    assert carried(book("north"), "onion-cream") == ("milk",), "what its recipe says of allergens stays"


def test_the_stations_and_ovens_of_another_kitchen_need_not_be_there():
    elsewhere = """
[preps.terrine]
name = "Terrine"
keeps = "5 days"
makes = "3 kg"
station = "cold-room"
comes_from = "central"
steps = [{ do = "Bake", at = "150 C", equipment = "steam-oven", wait = "1 h" }]
"""
    assert book("north", GROUP + elsewhere).preps["terrine"].steps == ()
    assert "no station is called 'cold-room'" in faults(GROUP + elsewhere, "central")


def test_a_van_is_a_service_where_it_leaves_from_and_nowhere_else():
    assert "early" in book("central").services
    assert "early" not in book("north").services


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ('letter = "N"', 'letter = "C"', "is the letter of central already"),
        ('letter = "N"', 'letter = "north"', "one capital letter or two"),
        ('letter = "N"', "", "needs a `letter`"),
        ('to = ["north", "south"]', 'to = ["north", "east"]', "no kitchen of the group is called 'east'"),
        ('to = ["north", "south"]', 'to = ["north", "central"]', "is where it leaves from"),
        ('leaves = "06:30"', "", "a van needs `leaves`"),
        ('comes_from = "central"', 'comes_from = "east"', "no kitchen of the group is called 'east'"),
        ("[vans.early]", "[vans.dinner]", "is a service already"),
    ],
)
def test_what_cannot_be_is_a_fault(was, now, said):
    assert said in faults(GROUP.replace(was, now))


def test_a_group_says_which_of_its_kitchens_this_is():
    with pytest.raises(Faults, match="this_kitchen"):
        read_texts({"kitchen.toml": GROUP})


def test_when_a_van_closes_leaves_and_arrives():
    found = book("north")
    trip = trip_on(found, found.vans["early"], date(2026, 11, 1))
    assert trip.closes == datetime(2026, 10, 31, 18, 0, tzinfo=UTC), "the last 18:00 before it leaves"
    assert trip.leaves == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    assert trip.arrives == datetime(2026, 11, 1, 7, 15, tzinfo=UTC)
    before, after = datetime(2026, 10, 31, 17, 59, tzinfo=UTC), datetime(2026, 10, 31, 18, 0, tzinfo=UTC)
    assert to_order(found, "central", "north", before)[0].day == date(2026, 11, 1)
    assert to_order(found, "central", "north", after)[0].day == date(2026, 11, 2), "at closing time it is closed"
    late = datetime(2026, 11, 1, 6, 50, tzinfo=UTC)
    assert loading(found, "central", "south", late).day == date(2026, 11, 1), "it is still being loaded"
    assert loading(found, "central", "south", datetime(2026, 11, 1, 7, 1, tzinfo=UTC)).day == date(2026, 11, 2)


def test_a_van_goes_on_its_weekdays():
    found = book("north", GROUP.replace('leaves = "06:30"', 'leaves = "06:30"\ndays = ["mon", "thu"]'))
    assert trip_on(found, found.vans["early"], date(2026, 11, 1)) is None
    assert loading(found, "central", "north", datetime(2026, 11, 1, tzinfo=UTC)).day == date(2026, 11, 2)
