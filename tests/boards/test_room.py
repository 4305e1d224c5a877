"""How lists share the lines of a screen."""

from __future__ import annotations

import pytest

from prepboard.boards.widgets.room import of_lists, share


@pytest.mark.parametrize(
    ("room", "wanted", "shares"),
    [
        (40, [6, 2, 3, 3], [6, 2, 3, 3]),
        (15, [20, 6, 8, 8], [9, 2, 2, 2]),
        (15, [4, 9, 8, 8], [4, 7, 2, 2]),
        (7, [20, 6, 8, 8], [3, 2, 1, 1]),
        (1, [20, 6, 8, 8], [1, 1, 1, 1]),
    ],
    ids=["all there is", "the first gets most", "what it leaves goes on", "the last give way", "hardly any"],
)
def test_the_list_at_the_top_gets_most_of_the_room(room: int, wanted: list[int], shares: list[int]) -> None:
    assert share(room, wanted, [3, 2, 2, 2]) == shares


ONE, TWO = [1, 1, 1, 1], [2, 2, 2, 2]


@pytest.mark.parametrize(
    ("room", "lines", "served", "shares"),
    [
        (13, ONE, False, [8, 1, 2, 2]),
        (13, ONE, True, [5, 1, 2, 5]),
        (30, ONE, True, [12, 1, 8, 9]),
        (12, TWO, True, [4, 1, 2, 4]),
        (13, TWO, True, [4, 1, 2, 6]),
        (14, TWO, True, [4, 1, 2, 6]),
        (13, TWO, False, [6, 1, 4, 2]),
        (12, TWO, False, [6, 1, 4, 1]),
        (16, TWO, False, [6, 1, 4, 4]),
    ],
    ids=[
        "before service",
        "in service",
        "room for all",
        "two lines a row in service",
        "one line more",
        "no half row",
        "two lines a row before",
        "half of one",
        "no half of two",
    ],
)
def test_dishes_have_room_while_they_go_out(room: int, lines: list[int], served: bool, shares: list[int]) -> None:
    assert of_lists(room, [12, 1, 8, 9], lines, beside=False, served=served) == shares


def test_lists_beside_one_another_have_the_same_lines_and_all_the_rest() -> None:
    assert of_lists(30, [12, 1, 8, 9], ONE, beside=True, served=True) == [12, 1, 17, 17]
