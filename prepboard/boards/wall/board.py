"""The wall: the whole kitchen at a glance, read from across the room. It acts on nothing and asks for nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePath
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Digits

from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.keys import bindings
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.rows.station_view import Title
from prepboard.boards.wall.pages import Page, pages
from prepboard.boards.wall.view import sections, wall_title
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.still import Stack
from prepboard.plan.board import Board
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.kitchen_file import KitchenFile

LARGE = 30
"""Lines from which the clock is drawn large."""

CLOCK = 18
"""Cells that the large clock takes beside the title."""

STAYS = 12.0
"""Seconds until the next page comes, where there is more than one."""


class WallScreen(BoardScreen, inherit_bindings=False):
    """All stations, for everybody: pages turn by themselves, nothing scrolls."""

    board_name = "wall"
    shared_keys = ()
    BINDINGS: ClassVar[list[BindingType]] = bindings("wall")
    CSS_PATH: ClassVar[list[str | PurePath]] = ["../frame/board_screen.tcss", "board.tcss"]

    def __init__(self, file: KitchenFile) -> None:
        super().__init__(file, "", "")
        self._pages: list[Page] = []
        self._at = 0
        self._out: set[tuple[str, bool]] | None = None
        """What is 86, or low, as far as it was shown; None before anything was."""

    def compose(self) -> ComposeResult:
        self.fit()
        with Horizontal(id="head"):
            yield Digits(id="clock")
            with Stack():
                yield PlainLine(id="title")
                yield PlainLine(id="answer")
        with Stack(id="lists"):
            yield from self.compose_lists()
        yield KeyLine(self.board_name, *self.shared_keys, id="keys")

    def compose_lists(self) -> Iterator[Widget]:
        yield PlainLine(id="wall")

    def on_mount(self) -> None:
        self._turning = self.set_interval(STAYS, self.action_next_page)

    def title_of(self, board: Board) -> Title:
        return wall_title(board, clock_by_hand=self.file.clock.set_by_hand)

    def show(self, board: Board) -> None:
        """Lays the board out anew. The page that is read stays, but for what has just become 86 or low: all see that at
        once."""
        self.query_one("#clock", Digits).update(voice_of(board).wall(board.now))
        self._put(self.app.size.width, self.app.size.height)
        out = {(left.dish, left.eighty_six) for left in board.left if left.eighty_six or left.low}
        if self._out is not None and out - self._out:
            self._turn_to(next((at for at, page in enumerate(self._pages) if "left" in page.shows), 0))
            self._turning.reset()
        self._out = out

    def on_resize(self, event: events.Resize) -> None:
        if self.board is not None:
            self.show_title()
            self._put(event.size.width, event.size.height)

    def _put(self, width: int, height: int) -> None:
        if self.board is None:
            return
        first = "left" if any(sitting.running for sitting in self.board.sittings) else ""
        self._pages = pages(sections(self.board), width, max(4, height - self._frame(height)), first)
        self._turn_to(self._at)

    def _frame(self, height: int) -> int:
        """Lines that head and keys take."""
        beside = self.app.size.width - (CLOCK if height >= LARGE else 0)
        head = self.query_one("#title", PlainLine).lines_at(beside) + 1  # and which page it is
        return max(3, head) + 3 if height >= LARGE else head + 1

    def _turn_to(self, page: int) -> None:
        self._at = page % len(self._pages)
        lines = self._pages[self._at].lines
        self.query_one("#wall", PlainLine).show(lines, lambda width: lines)
        several = len(self._pages) > 1
        said = _("page {n} of {all}, they turn by themselves").format(n=self._at + 1, all=len(self._pages))
        if len(said) + 3 > self.app.size.width - CLOCK:
            said = _("page {n} of {all}").format(n=self._at + 1, all=len(self._pages))
        if self.not_live is None:
            self.tell(said if several else "")

    def action_next_page(self) -> None:
        if self._pages:
            self._turn_to(self._at + 1)
