"""Needs along recipes against bill-of-material examples of textbooks, and against networkx."""

from __future__ import annotations

from datetime import date

import pytest
from conftest import Kitchen, drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st
from lately import networkx as nx

from prepboard.plan.given.state import Tonight

TODAY = date(2026, 10, 31)

SERVICE = """
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 1
"""


def book(recipes: dict[str, dict[str, int]], *, size: str = "step = 1", batch: int = 1) -> str:
    """Recipes as a book: each makes `batch` each and uses so many each of its parts."""
    text = SERVICE
    for prep, uses in recipes.items():
        inside = ", ".join(f'{part} = "{number} each"' for part, number in uses.items())
        text += f'[preps.{prep}]\nname = "{prep}"\nkeeps = "9 days"\nmakes = "{batch} each"\nsizes = {{ {size} }}\n'
        text += f"uses = {{ {inside} }}\n" if uses else ""
    return text


def made(kitchen, recipes, wanted: dict[str, int], on_hand: dict[str, int] | None = None, **more) -> dict[str, int]:
    """How many of each are planned when so many of some are wanted tonight."""
    small = kitchen(book(recipes, **more))
    small.tonight["dinner", TODAY] = Tonight(pars={prep: n * 1_000_000 for prep, n in wanted.items()})
    for prep, number in (on_hand or {}).items():
        small.on_hand(prep, f"{number} each")
    totals = dict.fromkeys(recipes, 0)
    for line in small.plan().make:
        totals[line.prep] += line.amount // 1_000_000
    return totals


def test_a_hundred_of_a_product_of_five_levels(kitchen):
    """A = 2B + 3C + D, B = 4E + 3F, C = 2H + 3D, H = 5E + 2G; 100 A. Question from quesba.com (bill of material,
    605414), totals worked out by hand: B 200, C 300, D 1000, E 3800, F 600, G 1200, H 600."""
    recipes = {
        "a": {"b": 2, "c": 3, "d": 1},
        "b": {"e": 4, "f": 3},
        "c": {"h": 2, "d": 3},
        "h": {"e": 5, "g": 2},
        **{part: {} for part in "defg"},
    }
    assert made(kitchen, recipes, {"a": 100}) == {
        "a": 100, "b": 200, "c": 300, "h": 600, "d": 1000, "e": 3800, "f": 600, "g": 1200,
    }  # fmt: skip


def test_the_speaker_kit(kitchen):
    """Heizer and Render, Operations Management, the speaker-kit example, from memory: A = 2B + 3C, B = 2D + 2E,
    C = 2E + 2F, F = 2D + G... 50 kits: B 100, C 150, D 800, E 500, F 300, G 300."""
    recipes = {
        "a": {"b": 2, "c": 3},
        "b": {"d": 2, "e": 2},
        "c": {"e": 2, "f": 2},
        "f": {"d": 2, "g": 1},
        **{part: {} for part in "deg"},
    }
    assert made(kitchen, recipes, {"a": 50}) == {"a": 50, "b": 100, "c": 150, "f": 300, "d": 800, "e": 500, "g": 300}


def test_each_level_takes_off_what_it_has_before_the_next_is_asked(kitchen):
    """Ptak and Smith, Orlicky's Material Requirements Planning, 3rd ed., p. 126: 100 trucks; 2, 15, 7 and 46 on
    hand down the chain; net 98, 83, 76, 30. Adding the stocks up first would ask for 54 of the last."""
    recipes = {"truck": {"transmission": 1}, "transmission": {"gearbox": 1}, "gearbox": {"gear": 1}, "gear": {}}
    on_hand = {"truck": 2, "transmission": 15, "gearbox": 7, "gear": 46}
    assert made(kitchen, recipes, {"truck": 100}, on_hand) == {
        "truck": 98, "transmission": 83, "gearbox": 76, "gear": 30,
    }  # fmt: skip


@given(st.data())
@settings(max_examples=drawn_of(60), deadline=None)
def test_explosion_is_the_sum_over_all_paths(data):
    """networkx: the amount of a part is the sum, over every path from the product, of the product of the uses."""
    count = data.draw(st.integers(2, 7))
    names = [f"p{index}" for index in range(count)]
    recipes: dict[str, dict[str, int]] = {name: {} for name in names}
    for index, name in enumerate(names):
        for later in names[index + 1 :]:
            if number := data.draw(st.sampled_from([0, 0, 1, 2, 3])):
                recipes[name][later] = number
    graph = nx.DiGraph()
    graph.add_nodes_from(names)
    graph.add_edges_from((name, part, {"uses": n}) for name, uses in recipes.items() for part, n in uses.items())
    expected = dict.fromkeys(names, 0)
    expected[names[0]] = 7
    for part in nx.topological_sort(graph):
        for user in graph.predecessors(part):
            expected[part] += expected[user] * graph.edges[user, part]["uses"]
    assert made(Kitchen, recipes, {names[0]: 7}) == expected


@pytest.mark.parametrize("batch", [1, 5, 12])
def test_made_is_never_below_the_need_and_less_than_a_recipe_above(kitchen, batch):
    recipes = {"a": {"b": 3}, "b": {}}
    totals = made(kitchen, recipes, {"a": 100}, batch=batch)
    assert 100 <= totals["a"] < 100 + batch
    assert totals["b"] >= 3 * (totals["a"] // batch)
