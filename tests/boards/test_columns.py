"""Columns: what matters least becomes brief, then goes; every line is exactly as wide as the screen."""

from __future__ import annotations

from rich.cells import cell_len

from prepboard.boards.widgets.columns import Cell, Column, ColumnRow, draw_cells, draw_headings, fit_columns

COLUMNS = (
    Column("prep"),
    Column("par", right=True),
    Column("basis", gives=2),
    Column("expected", right=True, gives=1),
    Column("to make", gives=3, stays=True),
)
ROWS = (
    ColumnRow(
        "a",
        cells=(
            Cell("Guinea fowl breasts, salted and dried"),
            Cell("42 each"),
            Cell("mix, guess, 95 in 100", "mix"),
            Cell("35 each"),
            Cell("1 recipe, 16 each, by 14:31", "16 each by 14:31"),
        ),
    ),
    ColumnRow("b", cells=(Cell("Purée 大根"), Cell("1.2 kg"), Cell("by hand", "by hand"), Cell("1 kg"), Cell("", ""))),
)


def shown(width: int) -> str:
    fitted = fit_columns(COLUMNS, ROWS, width)
    lines = [draw_headings(COLUMNS, fitted, width), *(draw_cells(COLUMNS, row, fitted, width) for row in ROWS)]
    texts = ["".join(text for text, _tone in line) for line in lines]
    assert {cell_len(text) for text in texts} == {width}
    return "\n".join(texts)


def test_with_room_everything_is_said_in_full() -> None:
    said = shown(130)
    for word in ("prep", "basis", "mix, guess, 95 in 100", "35 each", "1 recipe, 16 each, by 14:31"):
        assert word in said


def test_what_gives_first_becomes_brief_first_and_then_goes() -> None:
    assert "mix, guess" not in shown(90)
    assert "1 recipe, 16 each, by 14:31" in shown(90)
    narrow = shown(60)
    assert "expected" not in narrow
    assert "16 each by 14:31" in narrow
    assert "42 each" in narrow


def test_names_give_way_before_columns_go() -> None:
    said = shown(70)
    assert "Guinea fowl breas" in said
    assert "… " in said
    assert "expected" in said


def test_every_line_is_as_wide_as_the_screen() -> None:
    for width in range(20, 140, 7):
        shown(width)


def test_a_column_that_no_row_fills_takes_no_room() -> None:
    columns = (*COLUMNS, Column("moved", right=True))
    rows = tuple(ColumnRow(row.key, cells=(*row.cells, Cell())) for row in ROWS)
    assert fit_columns(columns, rows, 130).widths[-1] == 0
