"""Rows of several columns under headings, and how they fit: what matters least becomes brief, then goes. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace
from rich.cells import cell_len

from prepboard.boards.widgets.row import MARGIN, Piece, Row, Tone, clean, filled, fit, mark
from prepboard.plan.given.numbers import Number

NAME_FIRST, NAME_LEAST, NAME_LAST = 24, 18, 10
"""Cells down to which the first column gives way before others become brief, before others go, and after that."""

WIDE = 110
"""On a screen of so many columns others go before a name gives way any further: its place is not a heading's."""


class Cell(Struct, frozen=True):
    """What stands in one column; `brief` where there is little room."""

    text: str = ""
    brief: str | None = None
    tone: Tone = "plain"

    def said(self, *, brief: bool) -> str:
        return clean(self.brief if brief and self.brief is not None else self.text)


class Column(Struct, frozen=True):
    """`gives` is the place in the order in which columns become brief, and then go, 1 the first; 0 never does. One
    that `stays` becomes brief and no more."""

    heading: str
    right: bool = False
    gives: int = 0
    stays: bool = False


class ColumnRow(Row, frozen=True):
    """A row with cells for its columns; what it has as a `Row` is for screens on which it folds."""

    cells: tuple[Cell, ...] = ()
    number: Number | None = None
    """The number that is typed on this row."""


class Fitted(Struct, frozen=True):
    """The cells that each column takes (0: it is left out), and whether it is brief."""

    widths: tuple[int, ...] = ()
    brief: tuple[bool, ...] = ()


def fit_columns(columns: Sequence[Column], rows: Sequence[ColumnRow], width: int) -> Fitted:
    """How the columns fit into `width` cells; a column that no row has anything for takes none."""
    places = range(len(columns))
    fitted = Fitted(tuple(_need(columns, rows, at, brief=False) for at in places), (False,) * len(columns))
    fitted = _squeezed(fitted, 0, NAME_FIRST, width)
    giving = sorted((at for at in places if columns[at].gives), key=lambda at: columns[at].gives)
    for at in giving:
        if _taken(fitted, width) > width:
            briefs = tuple(brief or place == at for place, brief in enumerate(fitted.brief))
            fitted = replace(_narrowed(fitted, at, _need(columns, rows, at, brief=True)), brief=briefs)
    fitted = _squeezed(fitted, 0, NAME_FIRST if width >= WIDE else NAME_LEAST, width)
    for at in giving:
        if _taken(fitted, width) > width and not columns[at].stays:
            fitted = _narrowed(fitted, at, 0)
    fitted = _squeezed(fitted, 0, NAME_LAST, width)
    return _squeezed(fitted, len(columns) - 1, 0, width)


def _need(columns: Sequence[Column], rows: Sequence[ColumnRow], at: int, *, brief: bool) -> int:
    most = max((cell_len(row.cells[at].said(brief=brief)) for row in rows), default=0)
    return max(most, cell_len(columns[at].heading)) if most else 0


def _narrowed(fitted: Fitted, at: int, cells: int) -> Fitted:
    return replace(fitted, widths=tuple(cells if place == at else old for place, old in enumerate(fitted.widths)))


def _squeezed(fitted: Fitted, at: int, least: int, width: int) -> Fitted:
    over = _taken(fitted, width) - width
    if over <= 0 or not fitted.widths:
        return fitted
    return _narrowed(fitted, at, max(min(least, fitted.widths[at]), fitted.widths[at] - over))


def _gap(width: int) -> int:
    return 3 if width >= 150 else 2


def _taken(fitted: Fitted, width: int) -> int:
    shown = [cells for cells in fitted.widths if cells]
    return MARGIN + sum(shown) + _gap(width) * (len(shown) - 1) + 1


def draw_headings(columns: Sequence[Column], fitted: Fitted, width: int) -> list[Piece]:
    """The headings over their columns."""
    texts: list[Piece] = [(column.heading, "dim") for column in columns]
    return _line(columns, fitted, texts, width, marked=False)


def draw_cells(
    columns: Sequence[Column], row: ColumnRow, fitted: Fitted, width: int, *, marked: bool = False
) -> list[Piece]:
    """The row on one line of exactly `width` cells."""
    texts = [(cell.said(brief=brief), cell.tone) for cell, brief in zip(row.cells, fitted.brief, strict=True)]
    return _line(columns, fitted, texts, width, marked=marked)


def _line(
    columns: Sequence[Column], fitted: Fitted, texts: Sequence[Piece], width: int, *, marked: bool
) -> list[Piece]:
    pieces: list[Piece] = [(mark(marked), "strong")]
    for column, cells, (text, tone) in zip(columns, fitted.widths, texts, strict=True):
        if cells:
            pieces += [(fit(text, cells, right=column.right), tone), (" " * _gap(width), "plain")]
    return filled(pieces[:-1], width)
