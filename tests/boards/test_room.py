"""How lists share the lines of a screen."""

from __future__ import annotations

import pytest

from prepboard.boards.widgets.room import in_service, of_lists, share


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
WANTED = [12, 1, 8, 9]


@pytest.mark.parametrize(
    ("room", "lines", "shares"),
    [
        (13, ONE, [8, 1, 2, 2]),
        (13, TWO, [6, 1, 4, 2]),
        (12, TWO, [6, 1, 4, 1]),
        (16, TWO, [6, 1, 4, 4]),
    ],
    ids=["one line a row", "two lines a row", "half of one", "no half of two"],
)
def test_before_service_what_is_to_be_made_has_most_room(room: int, lines: list[int], shares: list[int]) -> None:
    assert of_lists(room, WANTED, lines, beside=False) == shares


@pytest.mark.parametrize(
    ("room", "lines", "shares"),
    [
        (13, ONE, [1, 1, 2, 9]),
        (30, ONE, [12, 1, 8, 9]),
        (40, ONE, [22, 1, 8, 9]),
        (8, ONE, [1, 1, 1, 5]),
        (18, TWO, [2, 1, 6, 9]),
    ],
    ids=["room for the dishes", "room for all", "more than that", "hardly any", "two lines a row"],
)
def test_in_service_the_dishes_have_it_but_for_a_row_of_each_other_list(
    room: int, lines: list[int], shares: list[int]
) -> None:
    given = in_service(room, WANTED, lines, beside=False)
    assert given == shares
    assert sum(given) == room


def test_lists_beside_one_another_have_the_same_lines_and_all_the_rest() -> None:
    assert of_lists(30, WANTED, ONE, beside=True) == [12, 1, 17, 17]
    assert in_service(30, WANTED, ONE, beside=True) == [20, 1, 9, 9]
