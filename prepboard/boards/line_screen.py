"""An open line, on a page of its own that can be read by scrolling."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from prepboard.boards.detail import detail
from prepboard.boards.find import Shown
from prepboard.boards.keys import bindings
from prepboard.boards.messages import HintTapped
from prepboard.boards.plain_line import KeyLine
from prepboard.boards.row import clean
from prepboard.plan.board import Board


class LineScreen(Screen[str]):
    """Answers with "start", "done", or "" for back to the board."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("line")
    CSS_PATH = "line_screen.tcss"

    def __init__(self, board: Board, shown: Shown) -> None:
        super().__init__()
        self._title, self._blocks = detail(board, shown)

    def compose(self) -> ComposeResult:
        yield Static(Content(clean(self._title)), id="line-title")
        with VerticalScroll(id="page"):
            for heading, lines in self._blocks:
                if heading:
                    yield Static(Content(heading), classes="heading")
                yield Static(Content("\n".join(clean(line) for line in lines)), classes="lines")
        yield KeyLine("line", id="keys")

    def on_hint_tapped(self, event: HintTapped) -> None:
        self.call_later(self.run_action, event.action)

    def action_start(self) -> None:
        self.dismiss("start")

    def action_done(self) -> None:
        self.dismiss("done")

    def action_back(self) -> None:
        self.dismiss("")

    @property
    def _page(self) -> VerticalScroll:
        return self.query_one("#page", VerticalScroll)

    def action_down(self) -> None:
        self._page.scroll_down(animate=False)

    def action_up(self) -> None:
        self._page.scroll_up(animate=False)

    def action_page_down(self) -> None:
        self._page.scroll_page_down(animate=False)

    def action_page_up(self) -> None:
        self._page.scroll_page_up(animate=False)
