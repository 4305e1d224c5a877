"""How lists share the lines of a screen."""

from __future__ import annotations

import pytest

from prepboard.boards.room import share


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
