"""The wall in service: letters of three lines for what is 86, runs out or is overdue; rows stay in their columns."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from msgspec.structs import replace

from prepboard.boards.wall.large import large, plain_capitals, width_of
from prepboard.boards.wall.pages import pages
from prepboard.boards.wall.urgent import Urgent, large_lines, urgent
from prepboard.boards.wall.view import sections
from prepboard.plan.board import Board

Boards = Callable[..., Board]


def text(lines: list[Any]) -> list[str]:
    return ["".join(piece for piece, _tone in line) for line in lines]


def serving(board: Boards, parts: SimpleNamespace, moment: Any) -> Board:
    shown = board()
    running = parts.sitting("dinner", date(2026, 10, 31), 92, moment("18:00"), moment("22:30"), running=True)
    lamb, celeriac, duck, custard = shown.left
    left = (
        replace(lamb, low=True, plates_left=8, runs_out_at=moment("20:43")),
        celeriac,
        replace(duck, eighty_six=True, taken_off=True, since=moment("19:20")),
        replace(custard, low=True, plates_left=3, runs_out_at=moment("19:40")),
    )
    step = replace(shown.under_way[0], next_at=moment("18:38"), overdue_minutes=22)
    return replace(shown, now=moment("19:00"), sittings=(running,), given_left=left, under_way=(step,))


def test_a_letter_is_three_lines_high_and_every_sign_of_a_name_can_be_drawn() -> None:
    assert large("AB", 20) == ("▄▀▀▄ █▀▀▄ ", "█▀▀█ █▀▀▄ ", "▀  ▀ ▀▀▀  ")
    assert plain_capitals("Crème brûlée, 86’d") == "CREME BRULEE 86 D"
    assert all(width_of(sign) > 3 for sign in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789")
    assert max(map(len, large("Buttermilk roll", 30))) <= 30


def test_86_stands_first_then_what_runs_out_first_then_what_is_overdue(
    board: Boards, parts: SimpleNamespace, moment: Any
) -> None:
    said = [(one.name, one.words) for one in urgent(serving(board, parts, moment))]
    assert said == [
        ("86 Duck leg", "since 19:20"),
        ("Burnt custard", "3, to 19:40"),
        ("Pressed lamb shoulder", "8, to 20:43"),
        ("Lamb shoulder, braised", "overdue 22 min"),
    ]
    assert urgent(board()) == [], "before service there is time to read"


@pytest.mark.parametrize("width", [100, 160, 200])
def test_large_lines_are_as_wide_as_the_wall_and_their_words_are_whole(
    width: int, board: Boards, parts: SimpleNamespace, moment: Any
) -> None:
    for one in urgent(serving(board, parts, moment)):
        lines = text(large_lines(one, width))
        assert {len(line) for line in lines} == {width}
        words, small = large(one.words, width), ("", one.words, "")
        said = [all(line.rstrip().endswith(word.rstrip()) for line, word in zip(lines, way, strict=False))
                for way in (words, small)]  # fmt: skip
        assert any(said)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("New potatoes in butter", "New potatoes in…"),
        ("Braised lamb shoulder with soubise, for two", "Braised lamb…"),
        ("Jus", "Jus"),
    ],
)
def test_a_name_that_is_cut_ends_in_a_sign_for_it(name: str, shown: str) -> None:
    lines = text(large_lines(Urgent("key", name, "overdue 10 min"), 160))
    for line, whole in zip(lines, large(shown, 160), strict=False):
        assert line.startswith(f" {whole.rstrip()}")
        assert not line[len(whole) + 1 : -(width_of("overdue 10 min") + 2)].strip()


@pytest.mark.parametrize(
    ("width", "name"), [(120, "New potatoes in…"), (100, "New potatoes in…"), (160, "New potatoes in…")]
)
def test_of_a_name_more_is_left_than_its_first_word(width: int, name: str) -> None:
    """NEW… and WHITE… say nothing: their words stand in plain letters then."""
    lines = text(large_lines(Urgent("key", "New potatoes in butter", "overdue 10 min"), width))
    for line, whole in zip(lines, large(name, width), strict=False):
        assert line.startswith(f" {whole.rstrip()}  ")
    assert lines[1].rstrip().endswith("overdue 10 min") == (width < 160)
    assert {len(line) for line in lines} == {width}


@pytest.mark.parametrize(
    ("width", "name", "shown"), [(84, "Zander, sorrel", "Zander"), (160, "Bouillabaissegemüse", "Bouillabaissegemüse")]
)
def test_of_a_name_of_one_word_nothing_is_cut_for_the_words(width: int, name: str, shown: str) -> None:
    """ "Z" and "none until 21:08" told nobody what there is none of."""
    lines = text(large_lines(Urgent("key", name, "none until 21:08"), width))
    for line, whole in zip(lines, large(shown, width), strict=False):
        assert line.startswith(f" {whole.rstrip()}  ")
    assert lines[1].rstrip().endswith("  none until 21:08")


@pytest.mark.parametrize("width", [130, 160, 200])
def test_what_stands_at_the_right_keeps_its_column(width: int, board: Boards) -> None:
    """Also beside a blank line or a column that is over."""
    for page in pages(sections(board()), width, 40):
        assert {len(line) for line in text(page.lines)} == {width}
        starts = [line.index("LEFT FOR") for line in text(page.lines) if "LEFT FOR" in line]
        for line in text(page.lines):
            if starts and "GOES OFF" in line:
                assert line.index("GOES OFF") == starts[0]


def test_what_has_just_fallen_due_is_no_longer_in_small_letters(
    board: Boards, parts: SimpleNamespace, moment: Any
) -> None:
    from prepboard.boards.wall.board import _without

    shown = serving(board, parts, moment)
    said = {one.key for one in urgent(shown)}
    rows = [row.key for column in sections(shown) for section in column for row in _without(section, said).rows]
    assert not said & set(rows)
    assert shown.now - shown.under_way[0].next_at == timedelta(minutes=22)
