"""The wall: the whole kitchen at a glance, read from across the room. It acts on nothing and asks for nothing."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import PurePath
from typing import TYPE_CHECKING, ClassVar

from msgspec.structs import replace
from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Digits

from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.keys import bindings
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.rows.station_view import Section, Title
from prepboard.boards.wall.pages import Page, pages
from prepboard.boards.wall.urgent import LINES, Urgent, large_lines, urgent
from prepboard.boards.wall.view import sections, wall_title
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.row import Piece
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
        self._large: list[Urgent] = []
        self._at_once = 0
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
            self._turn_to(self._page_of({dish for dish, _off in out - self._out}))
            self._turning.reset()
        self._out = out

    def _page_of(self, dishes: Collection[str]) -> int:
        """The page on which one of these dishes is said: in large letters, else in the list of what is left."""
        for at, one in enumerate(self._large):
            if one.key in dishes:
                return at // self._at_once
        return next((at for at, page in enumerate(self._pages) if "left" in page.shows), 0)

    def on_resize(self, event: events.Resize) -> None:
        if self.board is not None:
            self.show_title()
            self._put(event.size.width, event.size.height)

    def _put(self, width: int, height: int) -> None:
        if self.board is None:
            return
        first = "left" if any(sitting.running for sitting in self.board.sittings) else ""
        room = max(4, height - self._frame(height))
        self._large = urgent(self.board) if height >= LARGE else []
        self._at_once = min(len(self._large), max(1, room // 2 // LINES))
        """Of what is said in large letters, so many stand on each page."""
        said = {one.key for one in self._large}
        columns = [tuple(_without(section, said) for section in column) for column in sections(self.board)]
        self._pages = pages((columns[0], columns[1]), width, room - self._at_once * LINES, first)
        chunks = -(-len(self._large) // self._at_once) if self._at_once else 1
        while len(self._pages) < chunks:
            self._pages.append(self._pages[len(self._pages) % max(1, len(self._pages))])
        self._turn_to(self._at)

    def _large_here(self, page: int) -> list[list[Piece]]:
        """What is said in large letters on a page: the first of it on the first, the rest on those after it."""
        if not self._large:
            return []
        chunks = -(-len(self._large) // self._at_once)
        first = page % chunks * self._at_once
        shown = self._large[first : first + self._at_once]
        return [line for one in shown for line in large_lines(one, self.app.size.width)]

    def _frame(self, height: int) -> int:
        """Lines that head and keys take."""
        beside = self.app.size.width - (CLOCK if height >= LARGE else 0)
        head = self.query_one("#title", PlainLine).lines_at(beside) + 1  # and which page it is
        return max(3, head) + 3 if height >= LARGE else head + 1

    def _turn_to(self, page: int) -> None:
        self._at = page % len(self._pages)
        lines = [*self._large_here(self._at), *self._pages[self._at].lines]
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


def _without(section: Section, said: Collection[str]) -> Section:
    """A section without the rows that stand in large letters already."""
    rows = tuple(row for row in section.rows if row.key not in said)
    empty = _("All of it stands above.") if section.rows and not rows else section.empty
    return replace(section, rows=rows, empty=empty)
