"""What dishes sold lately against their pars, to be read."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import clean
from prepboard.paper.sentences.chart import chart
from prepboard.plan.board import Board

WIDTH = 100
"""Cells at most; the style sheet below says the same."""


class Sales(Dialog[str]):
    """Closed with escape; nothing can be done from here."""

    DEFAULT_CSS = """
    Sales > #question { width: 100; }
    """

    def __init__(self, board: Board, dishes: Sequence[str]) -> None:
        super().__init__()
        self._board, self._dishes = board, dishes

    def compose(self) -> ComposeResult:
        voice, width = voice_of(self._board), min(self.app.size.width, WIDTH) - 6
        with VerticalScroll(id="question"):
            for dish in self._dishes:
                board = self._board
                lines = chart(board.learned.get(dish), voice, dish, width, board.pars, board.learned_of_kitchen)
                yield Static(Content("\n".join(clean(line) for line in lines) + "\n"))
