"""Groups of preps that come out of the same runs, the order of planning, and rings."""

from __future__ import annotations

from conftest import drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st
from lately import networkx

from prepboard.book.reading.checking.together import Recipe, groups_of, planning_order, rings


def prep(id_: str, more: str = "") -> str:
    return f'[preps.{id_}]\nname = "{id_}"\nkeeps = "3 days"\nmakes = "1 kg"\n{more}\n'


def test_the_order_goes_from_plates_down_ties_by_the_book(book):
    read = book(
        prep("stock")
        + prep("glaze", 'uses = { stock = "1 kg" }')
        + prep("purée".replace("é", "e"), 'uses = { stock = "1 kg" }')
        + prep("sauce", 'uses = { glaze = "1 kg" }')
    )
    assert read.together == (("puree",), ("sauce",), ("glaze",), ("stock",), ("soubise",))


def test_outputs_of_one_run_go_together_after_everything_that_uses_any_of_them(book):
    read = book(
        prep("braise", 'also_makes = { liquor = "1 l" }')
        + '[preps.liquor]\nname = "Liquor"\nkeeps = "3 days"\n'
        + prep("press", 'uses = { braise = "1 kg" }')
        + prep("jus", 'uses = { liquor = "1 l" }')
    )
    assert read.together.index(("braise", "liquor")) > read.together.index(("jus",))
    assert read.together.index(("braise", "liquor")) > read.together.index(("press",))


def test_a_ring_is_printed_as_a_ring(fault):
    found = fault(
        prep("sauce", 'uses = { stock = "1 kg" }')
        + prep("stock", 'uses = { glaze = "1 kg" }')
        + prep("glaze", 'uses = { sauce = "1 kg" }')
    )
    assert "sauce -> stock -> glaze -> sauce" in found.said
    assert (found.line, found.key) == (5, "preps.sauce.uses.stock")


def test_a_prep_that_needs_itself_is_a_ring(fault):
    assert "leaven -> leaven" in fault(prep("leaven", 'uses = { leaven = "100 g" }')).said


def test_a_ring_through_what_comes_along_says_with_what_it_comes(fault):
    found = fault(
        prep("braise", 'also_makes = { liquor = "1 l" }\nuses = { stock = "1 kg" }')
        + '[preps.liquor]\nname = "Liquor"\nkeeps = "3 days"\n'
        + prep("stock", 'uses = { liquor = "1 l" }')
    )
    assert "braise -> stock -> liquor (comes with braise)" in found.said


def test_what_is_taken_only_if_there_is_no_part_of_a_ring(book):
    read = book(
        prep("stock", 'takes_if_there = { second-stock = "1 kg" }') + prep("second-stock", 'uses = { stock = "1 kg" }')
    )
    assert read.together[:2] == (("second-stock",), ("stock",))


def test_every_ring_is_told_once(faults):
    found = faults(
        prep("a", 'uses = { b = "1 kg" }')
        + prep("b", 'uses = { a = "1 kg" }')
        + prep("between", 'uses = { a = "1 kg" }')
        + prep("c", 'uses = { d = "1 kg", between = "1 kg" }')
        + prep("d", 'uses = { c = "1 kg" }')
    )
    assert [fault.said.split("ring: ")[1].split(";")[0] for fault in found] == ["a -> b -> a", "c -> d -> c"]


RECIPES = st.lists(
    st.tuples(st.lists(st.integers(0, 11), max_size=3), st.lists(st.integers(0, 11), max_size=3)),
    min_size=12,
    max_size=12,
)


@given(RECIPES)
@settings(max_examples=drawn_of(150), deadline=None)
def test_order_and_rings_agree_with_networkx(drawn):
    """Condensation and topological order of the graph of groups, by networkx."""
    preps = [f"p{number}" for number in range(12)]
    recipes = {
        preps[owner]: Recipe(
            (preps[owner], *(preps[n] for n in sorted(set(gives)) if n != owner)),
            tuple(preps[n] for n in sorted(set(takes))),
        )
        for owner, (gives, takes) in enumerate(drawn)
        if gives or takes
    }
    shared = networkx.Graph()
    shared.add_nodes_from(preps)
    shared.add_edges_from((owner, other) for owner, recipe in recipes.items() for other in recipe.gives)
    groups = groups_of(preps, recipes)
    assert sorted(map(sorted, groups)) == sorted(map(sorted, networkx.connected_components(shared)))

    place = {prep: number for number, group in enumerate(groups) for prep in group}
    needs = networkx.DiGraph()
    needs.add_nodes_from(range(len(groups)))
    needs.add_edges_from((place[owner], place[item]) for owner, recipe in recipes.items() for item in recipe.takes)
    circles = [
        part
        for part in networkx.strongly_connected_components(needs)
        if len(part) > 1 or needs.has_edge(*(2 * [*part]))
    ]
    found = rings(groups, recipes)
    told = [next(n for n, part in enumerate(circles) if place[ring.owner] in part) for ring in found]
    assert sorted(told) == list(range(len(circles)))
    if not circles:
        order = [place[group[0]] for group in planning_order(groups, recipes)]
        assert order == list(networkx.lexicographical_topological_sort(needs))
