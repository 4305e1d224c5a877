"""Lists: aligned while they fit, one under another where they do not, never wider than the terminal."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from prepboard.paper.text.layout import Row, ends, section, table, wrap
from prepboard.paper.text.plain import wide

ROWS = [
    Row(("14:10", "Onion soubise", "2.4 l", "late 12 min", "Dinner")),
    Row(("Sun 09:00", "Chive oil", "500 ml", "in 18 h 38", "Lunch"), ("100 ml over",)),
]


def test_columns_are_aligned_and_amounts_stand_at_the_right() -> None:
    assert table(ROWS, "<<><<", 80) == [
        "  14:10      Onion soubise   2.4 l  late 12 min  Dinner",
        "  Sun 09:00  Chive oil      500 ml  in 18 h 38   Lunch",
        "             100 ml over",
    ]


def test_a_long_last_column_wraps_under_itself() -> None:
    lines = table([Row(("14:10", "Jus", "for the long dinner and the late lunch"))], "<<<", 37)
    assert lines == ["  14:10  Jus  for the long dinner and", "              the late lunch"]


def test_on_a_narrow_terminal_a_row_becomes_two_lines() -> None:
    assert table(ROWS[:1], "<<><<", 40) == [
        "  14:10  Onion soubise",
        "         2.4 l  late 12 min  Dinner",
    ]


@given(
    st.lists(st.tuples(*(st.text("ab c牛", max_size=30) for _ in range(4))), min_size=1, max_size=5),
    st.integers(24, 120),
)
def test_no_line_is_wider_than_asked(cells: list[tuple[str, ...]], width: int) -> None:
    lines = table([Row(row, ("a note that is rather long for a narrow terminal",)) for row in cells], "<<><", width)
    assert all(wide(line) <= width for line in lines)


@given(st.text("abc de牛", max_size=80), st.integers(4, 40))
def test_wrapping_loses_no_letter(text: str, width: int) -> None:
    assert "".join("".join(wrap(text, width)).split()) == "".join(text.split())


def test_a_title_uses_both_ends_or_several_lines() -> None:
    assert ends("SAUCE", "14:22", "Dinner 18:00", 40) == [" SAUCE        14:22        Dinner 18:00"]
    assert ends("SAUCE", "14:22", "Dinner 18:00", 20) == [" SAUCE", " 14:22", " Dinner 18:00"]


def test_an_empty_section_says_so() -> None:
    assert section("PULL", [], "Nothing to pull.", 40) == ["", " PULL", "  Nothing to pull."]
