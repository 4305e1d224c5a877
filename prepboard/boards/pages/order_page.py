"""The order list, to be read: goods short for the days ahead, by supplier, with the last moment."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import clean
from prepboard.paper.lists.ordering import order
from prepboard.plan.board import Board
from prepboard.plan.leftovers.ordering import order_list, until_day
from prepboard.store.kitchen_file import KitchenFile

DAYS = 2
WIDTH = 110
"""Cells at most; the style sheet below says the same."""


class OrderPage(Dialog[str]):
    """Closed with escape; `prepboard order` prints the same."""

    DEFAULT_CSS = """
    OrderPage > #question { width: 110; }
    OrderPage VerticalScroll { height: auto; max-height: 90%; }
    """

    def __init__(self, file: KitchenFile, board: Board) -> None:
        super().__init__()
        self._file, self._board = file, board

    def compose(self) -> ComposeResult:
        from prepboard.store.past.shelf import on_the_shelf

        board = self._board
        there, until = on_the_shelf(self._file, board.state.book), until_day(board.state, board.now, DAYS)
        lines = order_list(board.state, board.now, board.make, until, there)
        width = min(self.app.size.width, WIDTH) - 8
        with VerticalScroll(id="question"):
            yield Static(Content("\n".join(clean(line) for line in order(lines, self._board, width))))
            yield KeyLine("dialog")
