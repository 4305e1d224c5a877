"""A line to make, to be read: its recipe for this run, and why this much."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.rows.find import Shown
from prepboard.boards.rows.line_page import detail
from prepboard.boards.widgets.hanging import Hanging
from prepboard.boards.widgets.row import clean
from prepboard.plan.board import Board


class Look(Dialog[str]):
    """Closed with escape; nothing can be done from here."""

    DEFAULT_CSS = """
    Look > #question { width: 90; }
    """

    def __init__(self, board: Board, shown: Shown) -> None:
        super().__init__()
        self._title, self._blocks = detail(board, shown)

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="question"):
            yield Static(Content(clean(self._title)), classes="title")
            yield Static(Hanging(self._blocks))
