"""Costs changed in a book's own text: the standard library's parser reads the same book but for that cost."""

from __future__ import annotations

import tomllib
from decimal import Decimal

import pytest

from prepboard.book.reading.goods_lines import new_goods, with_cost

COST = Decimal("4.50")


@pytest.mark.parametrize(
    ("text", "changed"),
    [
        ("[goods.oats]\nunit = 'kg'\ncost = 3 # a sack\n", "[goods.oats]\nunit = 'kg'\ncost = 4.50 # a sack\n"),
        ("[goods.oats] # rolled\nunit = 'kg'\n", "[goods.oats] # rolled\ncost = 4.50\nunit = 'kg'\n"),
        ("[goods]\noats = { unit = 'kg', cost = 3.1 }\n", "[goods]\noats = { unit = 'kg', cost = 4.50 }\n"),
        ("[goods]\noats = { unit = 'kg' } # {x}\n", "[goods]\noats = { unit = 'kg', cost = 4.50 } # {x}\n"),
        ("goods.oats.unit = 'kg'\ngoods.oats.cost = 3\n", "goods.oats.unit = 'kg'\ngoods.oats.cost = 4.50\n"),
    ],
)
def test_only_the_cost_changes(text, changed):
    assert with_cost(text, "oats", COST) == changed


@pytest.mark.parametrize(
    "text",
    [
        "[goods.rye]\nunit = 'kg'\n",
        "[goods]\noats = { unit = 'kg', held_in = { sack = '25 kg' } }\n",
        "goods.oats.unit = 'kg'\n",
        "[goods.oats]\nnote = 'cost = 3'\nunit = 'kg'\ncost = 'x'\n",
    ],
)
def test_what_only_a_person_can_change_is_left_alone(text):
    assert with_cost(text, "oats", COST) is None


def test_new_goods_read_back_as_they_were_given():
    text = new_goods(
        "oats", {"name": 'Oats, "rolled"', "unit": "kg", "cost": COST, "allergens": ["gluten"], "note": ""}
    )
    assert tomllib.loads(text, parse_float=Decimal)["goods"]["oats"] == {
        "name": 'Oats, "rolled"',
        "unit": "kg",
        "cost": COST,
        "allergens": ["gluten"],
    }
