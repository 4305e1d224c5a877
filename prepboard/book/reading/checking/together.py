"""Which preps come out of the same runs, in which order a plan goes through them, and rings among them.

Preps that share a run form a group. Group by group, the plan works from plates down: a group stands after every
prep whose runs use any of it, ties by book order. That order exists only when no group needs itself, however far
around; `takes_if_there` is never planned for and so is no part of a ring.
"""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Iterable, Mapping
from itertools import pairwise

from msgspec import Struct

from prepboard.texts import _

_LONGEST_TOLD = 16
"""Preps of a ring that are printed."""


class Recipe(Struct, frozen=True):
    """Ids only: what one run gives (the prep that owns the recipe first) and what it takes."""

    gives: tuple[str, ...]
    takes: tuple[str, ...]


class Ring(Struct, frozen=True):
    """Recipes that need each other; `told` reads "sauce -> stock -> sauce"."""

    owner: str
    item: str
    """What `owner` takes that leads round to itself."""
    told: str


def groups_of(preps: Iterable[str], recipes: Mapping[str, Recipe]) -> list[tuple[str, ...]]:
    """Preps by shared runs, members and groups in book order."""
    leader = {prep: prep for prep in preps}

    def find(prep: str) -> str:
        while leader[prep] != prep:
            leader[prep] = leader[leader[prep]]
            prep = leader[prep]
        return prep

    order = {prep: place for place, prep in enumerate(leader)}
    for recipe in recipes.values():
        for other in recipe.gives[1:]:
            first, second = sorted((find(recipe.gives[0]), find(other)), key=order.__getitem__)
            leader[second] = first
    members: dict[str, list[str]] = {}
    for prep in leader:
        members.setdefault(find(prep), []).append(prep)
    return [tuple(group) for group in members.values()]


def _needed_by_groups(
    groups: list[tuple[str, ...]], recipes: Mapping[str, Recipe]
) -> tuple[dict[str, int], list[set[int]]]:
    """The group of each prep, and for each group the groups that its runs take from."""
    place = {prep: number for number, group in enumerate(groups) for prep in group}
    takes: list[set[int]] = [set() for _group in groups]
    for owner, recipe in recipes.items():
        takes[place[owner]].update(place[item] for item in recipe.takes if item in place)
    return place, takes


def planning_order(groups: list[tuple[str, ...]], recipes: Mapping[str, Recipe]) -> tuple[tuple[str, ...], ...]:
    """The groups, plates first. Groups in a ring, and what they need, are left out."""
    _place, takes = _needed_by_groups(groups, recipes)
    waiting_for = [0] * len(groups)
    for needed in takes:
        for group in needed:
            waiting_for[group] += 1
    ready = [group for group, count in enumerate(waiting_for) if not count]
    ordered = []
    while ready:
        group = heapq.heappop(ready)
        ordered.append(groups[group])
        for taken in takes[group]:
            waiting_for[taken] -= 1
            if not waiting_for[taken]:
                heapq.heappush(ready, taken)
    return tuple(ordered)


def rings(groups: list[tuple[str, ...]], recipes: Mapping[str, Recipe]) -> list[Ring]:
    """One shortest ring for each set of groups that need each other, in book order."""
    place, takes = _needed_by_groups(groups, recipes)
    left = _in_rings(takes)
    found = []
    while left:
        start = min(left)
        way = _way_round(start, takes, left)
        if way is None:  # it only leads into a ring, or hangs between two
            left.discard(start)
            continue
        found.append(_tell(way, place, recipes))
        left -= _tied_to(start, takes, left)
    return found


def _in_rings(takes: list[set[int]]) -> set[int]:
    """Groups that remain when those that nobody left takes from, and those that take nothing, are peeled away."""
    left = set(range(len(takes)))
    taken_by: list[set[int]] = [set() for _group in takes]
    for group, needed in enumerate(takes):
        for other in needed:
            taken_by[other].add(group)
    for forward, backward in ((takes, taken_by), (taken_by, takes)):
        count = [len(forward[group] & left) for group in range(len(takes))]
        loose = [group for group in left if not count[group]]
        while loose:
            group = loose.pop()
            left.discard(group)
            for other in backward[group]:
                count[other] -= 1
                if other in left and not count[other]:
                    loose.append(other)
    return left


def _reach(start: int, edges: Mapping[int, Iterable[int]]) -> dict[int, int]:
    """Every group that can be reached from `start`, with the group before it on a shortest way."""
    before: dict[int, int] = {}
    todo = deque([start])
    while todo:
        group = todo.popleft()
        for other in sorted(edges[group]):
            if other not in before:
                before[other] = group
                todo.append(other)
    return before


def _way_round(start: int, takes: list[set[int]], left: set[int]) -> list[int] | None:
    """The groups of a shortest ring through `start`, which stands at both ends."""
    before = _reach(start, {group: takes[group] & left for group in left})
    if start not in before:
        return None
    way = [start, before[start]]
    while way[-1] != start:
        way.append(before[way[-1]])
    return way[::-1]


def _tied_to(start: int, takes: list[set[int]], left: set[int]) -> set[int]:
    """Every group that needs `start` and is needed by it."""
    forward: dict[int, set[int]] = {group: takes[group] & left for group in left}
    backward: dict[int, set[int]] = {group: set() for group in left}
    for group, taken in forward.items():
        for other in taken:
            backward[other].add(group)
    return set(_reach(start, forward)) & set(_reach(start, backward)) | {start}


def _tell(way: list[int], place: Mapping[str, int], recipes: Mapping[str, Recipe]) -> Ring:
    """The ring in words: each prep whose recipe takes the next; one that only comes along says with what."""
    hops = []
    for group, following in pairwise(way):
        hops.append(
            next(
                (owner, item)
                for owner, recipe in recipes.items()
                if place[owner] == group
                for item in recipe.takes
                if place.get(item) == following
            )
        )
    told = [hops[0][0]]
    for number, (_owner, item) in enumerate(hops):
        maker = hops[(number + 1) % len(hops)][0]
        if item != maker:
            told.append(_("{item} (comes with {maker})").format(item=item, maker=maker))
        else:
            told.append(item)
    if len(told) > _LONGEST_TOLD:
        told[_LONGEST_TOLD // 2 : -_LONGEST_TOLD // 2] = ["…"]
    return Ring(*hops[0], " -> ".join(told))
