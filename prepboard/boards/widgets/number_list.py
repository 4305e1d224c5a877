"""A list of numbers in columns, which leaves Enter to its board."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from prepboard.boards.keys import bindings
from prepboard.boards.widgets.columns import Column, ColumnRow, Fitted, draw_cells, draw_headings, fit_columns
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.row import Piece, Row


class NumberList(LineList, inherit_bindings=False):
    """A LineList whose rows have columns, where the screen is wide enough for them."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("list", without="open_line")

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._columns: tuple[Column, ...] = ()
        self._fitted = Fitted()

    def show_columns(
        self, columns: Sequence[Column], rows: tuple[ColumnRow, ...], *, empty: str, width: int, fold: bool
    ) -> None:
        """Shows these rows under these columns, on a screen of `width` cells."""
        # One cell less than the screen: headings and rows stand the same whether or not the list scrolls.
        fitted = fit_columns(columns, rows, width - 1)
        if (tuple(columns), fitted) != (self._columns, self._fitted):
            self._columns, self._fitted = tuple(columns), fitted
            self.refresh()
        self.show(rows, empty=empty, fold=fold)

    def headings(self, width: int) -> list[Piece]:
        """The headings as they stand over the rows."""
        return draw_headings(self._columns, self._fitted, width)

    def drawn(self, row: Row, width: int, *, marked: bool) -> tuple[list[Piece], ...]:
        if self.lines == 1 and isinstance(row, ColumnRow):
            return (draw_cells(self._columns, row, self._fitted, width, marked=marked),)
        return super().drawn(row, width, marked=marked)
