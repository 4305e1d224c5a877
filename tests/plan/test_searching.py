"""Searching orders: never a plan that is not allowed, and on what can be tried out in full the shortest there is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice, product
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st
from lately import networkx as nx
from packing import Packing

from prepboard.plan.solver.searching import moved, search

Asked = tuple[list[int], list[tuple[int, int]], tuple[int, int], list[list[int]]]


@st.composite
def asked(draw: st.DrawFn, most: int = 5) -> Asked:
    """(lengths, amounts, what is there, users) of a few things."""
    count = draw(st.integers(1, most))
    there = draw(st.integers(1, 6)), draw(st.integers(1, 6))
    lengths = draw(st.lists(st.integers(0, 5), min_size=count, max_size=count))
    amounts = [(draw(st.integers(0, there[0])), draw(st.integers(0, there[1]))) for _ in range(count)]
    users = [[user for user in range(giver + 1, count) if draw(st.booleans())] for giver in range(count)]
    return lengths, amounts, there, users


def allowed(asked: Asked, begins: Sequence[int]) -> bool:
    lengths, amounts, there, users = asked
    ends = [begin + length for begin, length in zip(begins, lengths, strict=True)]
    in_turn = all(begins[user] >= ends[giver] for giver, takers in enumerate(users) for user in takers)
    return in_turn and all(
        sum(amount[kind] for amount, begin, end in zip(amounts, begins, ends, strict=True) if begin <= at < end) <= most
        for at in range(max(ends))
        for kind, most in enumerate(there)
    )


def span(asked: Asked, begins: Sequence[int]) -> int:
    return max(begin + length for begin, length in zip(begins, asked[0], strict=True))


def found(asked: Asked, tries: int) -> tuple[int, list[int]]:
    packing = Packing(*asked)
    *_, best = islice(search(packing, Random(1)), tries)
    return best.cost, packing.begins(best)


def every(asked: Asked, longest: int) -> Iterator[tuple[int, ...]]:
    """All begins, legal or not, with which everything is over by then."""
    return product(*(range(longest - length + 1) for length in asked[0]))


@settings(max_examples=40, deadline=None)
@given(asked(most=12))
def test_nothing_is_packed_where_it_may_not_be(asked):
    cost, begins = found(asked, 12)
    assert allowed(asked, begins)
    assert span(asked, begins) == cost


@settings(max_examples=25, deadline=None)
@given(asked(most=4))
def test_of_a_few_things_no_begins_at_all_are_over_sooner(asked):
    cost, _ = found(asked, 40)
    assert not any(allowed(asked, begins) for begins in every(asked, cost - 1))


def test_where_enough_is_there_all_takes_as_long_as_the_longest_chain():
    """The longest chain by networkx."""
    chance = Random(3)
    lengths = [chance.randint(1, 9) for _ in range(20)]
    users = [sorted(chance.sample(range(giver + 1, 20), min(2, 19 - giver))) for giver in range(20)]
    graph = nx.DiGraph()
    for giver, takers in enumerate(users):
        graph.add_edge(("begin", giver), ("end", giver), weight=lengths[giver])
        graph.add_edges_from((("end", giver), ("begin", user), {"weight": 0}) for user in takers)
    cost, _ = found((lengths, [(1, 0)] * 20, (20, 20), users), 1)
    assert cost == nx.dag_longest_path_length(graph)


@given(st.integers(0, 10**6))
def test_what_is_moved_stays_between_what_it_takes_and_what_takes_it(seed):
    users = [[2, 3], [3], [4], [5], [], []]
    givers = [[giver for giver, takers in enumerate(users) if one in takers] for one in range(6)]
    order = moved([0, 1, 2, 3, 4, 5], givers, users, Random(seed))
    assert sorted(order) == [0, 1, 2, 3, 4, 5]
    assert all(order.index(giver) < order.index(user) for giver, takers in enumerate(users) for user in takers)


def test_the_same_chance_finds_the_same():
    packing = Packing([3, 2, 4, 1, 5], [(1,), (2,), (1,), (2,), (1,)], (2,), [[2], [3], [], [], []])
    first, second = ([best.order for best in islice(search(packing, Random(5)), 30)] for _ in range(2))
    assert first == second
