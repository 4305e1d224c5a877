"""Allergens for the floor, to be read on any board: tonight's dishes and what is on their plates."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.keys import bindings
from prepboard.boards.pages.page import Page
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import clean
from prepboard.paper.lists.allergens import to_read
from prepboard.paper.text.saying import Voice
from prepboard.texts import _

WIDEST = 110
"""Cells that are read in one go."""


class AllergensPage(Page):
    """As it stands when it is opened; `prepboard show allergens` prints the same."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("allergens")
    groups = ("allergens",)

    def compose(self) -> ComposeResult:
        yield Static(id="line-title")
        with VerticalScroll(id="page"):
            yield Static(id="text")
        yield KeyLine("allergens", id="keys")

    def on_mount(self) -> None:
        board = self.host.board
        if board:
            self.query_one("#line-title", Static).update(Content(_("Allergens: tonight's dishes")))
            width = max(24, min(self.app.size.width, WIDEST) - 4)
            lines = to_read(board.state, Voice.of(board), width)
            self.query_one("#text", Static).update(Content("\n".join(clean(line) for line in lines).strip("\n")))
        self.query_one("#page").focus()
