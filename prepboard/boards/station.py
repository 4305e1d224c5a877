"""The station's board: what to make next, what is under way, what goes off soon, what is left."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePath
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Container, Vertical
from textual.widget import Widget

from prepboard.boards import doing
from prepboard.boards.board_screen import NARROW, ROOMY, WIDE, BoardScreen
from prepboard.boards.find import Shown, find
from prepboard.boards.keys import bindings
from prepboard.boards.line_list import LineList
from prepboard.boards.messages import CursorLeft, RowOpened, RowWent
from prepboard.boards.plain_line import PlainLine
from prepboard.boards.room import share
from prepboard.boards.row import aligned, measure
from prepboard.boards.rows import lines_to_make, runs_under_way
from prepboard.boards.station_view import Section, Title, title, view
from prepboard.plan.board import Board
from prepboard.plan.lines import MakeLine, UnderWay
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.file import KitchenFile

NAMES = ("to-make", "under-way", "goes-off", "left")
"""The lists from top to bottom; the first two are the upper ones, the last two the pair below."""


class StationScreen(BoardScreen):
    """The board of one bench, or of several on a slow night."""

    board_name = "station"
    BINDINGS: ClassVar[list[BindingType]] = bindings("station")
    AUTO_FOCUS = "#to-make"
    CSS_PATH: ClassVar[list[str | PurePath]] = ["board_screen.tcss", "station.tcss"]

    def __init__(self, file: KitchenFile, stations: tuple[str, ...], by: str = "") -> None:
        super().__init__(file, stations[0], by)
        self.stations = stations
        self._sections: tuple[Section, ...] = ()
        self._touched: set[str] = set()
        """Keys of lines that this station acted on: it needs not be told that they went."""

    def compose_lists(self) -> Iterator[Widget]:
        for name in NAMES[:2]:
            yield _section(name)
        yield Container(*(_section(name) for name in NAMES[2:]), id="pair")

    def title_of(self, board: Board) -> Title:
        return title(board, self.stations, self.desk.by, clock_by_hand=self.file.clock.set_by_hand)

    # --- showing -----------------------------------------------------------------------------------------

    def show(self, board: Board) -> None:
        """Puts a board onto the four lists; what did not change is left alone."""
        self._sections = view(board, self.stations).sections
        self._put(self.app.size.width, self.app.size.height)

    def on_resize(self, event: events.Resize) -> None:
        if self._sections:
            self.show_title()
            self._put(event.size.width, event.size.height)

    def _put(self, width: int, height: int) -> None:
        upper = self._sections[:2]
        # On a narrow screen the upper lists fold; the lower ones too, if everything can still be seen then.
        folded = sum(2 * len(section.rows) or 1 for section in self._sections)
        roomy = folded <= self._room(width, height)
        for section in self._sections:
            need = measure(section.rows)
            if section in upper and section.rows:
                for other in upper:
                    need = aligned(need, measure(other.rows))
            fold = width < NARROW and (section in upper or roomy)
            self.list_of(section.name).show(section.rows, empty=section.empty, widths=need, fold=fold)
            heading = self.query_one(f"#{section.name}-heading", PlainLine)
            heading.say_heading(section.heading, section.aside)
        self._share_room(width, height)

    def _room(self, width: int, height: int) -> int:
        """Lines for rows: what frame, headings and blank lines leave."""
        headings = (1 if width < NARROW else 2) * (3 if width >= WIDE else 4)
        frame = self.query_one("#title", PlainLine).lines_at(width) + 2
        return height - frame - (2 if height >= ROOMY else 0) - headings

    def _share_room(self, width: int, height: int) -> None:
        lists = [self.list_of(name) for name in NAMES]
        wanted = [list_.wanted for list_ in lists]
        least = [3 * lists[0].lines, 2 * lists[1].lines, 2, 2]
        room = self._room(width, height)
        if width >= WIDE:
            shares = share(room, [*wanted[:2], max(wanted[2:])], least[:3])
            shares.append(shares[2])
        else:
            shares = share(room, wanted, least)
        for list_, lines in zip(lists, shares, strict=True):
            list_.styles.height = lines

    def list_of(self, name: str) -> LineList:
        return self.query_one(f"#{name}", LineList)

    # --- the cursor --------------------------------------------------------------------------------------

    @property
    def here(self) -> tuple[str, Shown] | None:
        """The key of the row under the cursor, and what it stands for."""
        focused = self.focused
        if self.board is None or not isinstance(focused, LineList) or focused.row is None:
            return None
        shown = find(self.board, focused.row.key)
        return (focused.row.key, shown) if shown else None

    def on_cursor_left(self, event: CursorLeft) -> None:
        """Up and down go on into the next list that has something."""
        at = NAMES.index(str(event.list.id))
        beyond = NAMES[at + 1 :] if event.direction > 0 else NAMES[:at][::-1]
        for list_ in map(self.list_of, beyond):
            if list_.rows:
                list_.focus(scroll_visible=False)
                list_.move_to(0 if event.direction > 0 else len(list_.rows) - 1)
                return

    def on_row_went(self, event: RowWent) -> None:
        """Says which line went, unless this station made it go."""
        if event.row.key in self._touched:
            self._touched.discard(event.row.key)
        elif event.list.has_focus:
            self.tell(_("{what} is no longer in this list.").format(what=event.row.what), "strong")

    def on_row_opened(self, event: RowOpened) -> None:
        if self.board is None:
            return
        shown = find(self.board, event.row.key)
        if shown is not None:
            self.ask(self._open(self.board, event.row.key, shown))

    async def _open(self, board: Board, key: str, shown: Shown) -> None:
        from prepboard.boards.line_screen import LineScreen

        wish = await self.app.push_screen_wait(LineScreen(board, shown))
        if wish and isinstance(shown, MakeLine | UnderWay):
            self._do(wish, key, shown)

    # --- keys --------------------------------------------------------------------------------------------

    def action_start(self) -> None:
        if self.board is None:
            return
        first = next(iter(lines_to_make(self.board, self.stations)), None)
        self._do_here("start", first, _("Nothing to make."))

    def action_done(self) -> None:
        if self.board is None:
            return
        first = next(iter(runs_under_way(self.board, self.stations)), None)
        self._do_here("done", first, _("Nothing is under way."))

    def action_plate(self) -> None:
        if self.board is not None:
            self.ask(doing.plate(self.desk, self.board))

    def _do_here(self, wish: str, else_: MakeLine | UnderWay | None, nothing: str) -> None:
        """Does it with the line under the cursor, or with `else_` where the cursor is on none yet."""
        if self.here is None:
            if else_ is None:
                self.tell(nothing)
            else:
                self._do(wish, "", else_)
            return
        key, shown = self.here
        if isinstance(shown, MakeLine | UnderWay):
            self._do(wish, key, shown)
        else:
            self.tell(_("That is for a line to make or under way; go up to one of those."))

    def _do(self, wish: str, key: str, line: MakeLine | UnderWay) -> None:
        board = self.board
        if board is None:
            return
        self._touched = {key}
        self.ask(doing.start(self.desk, line) if wish == "start" else doing.done(self.desk, board, line))


def _section(name: str) -> Widget:
    return Vertical(PlainLine(id=f"{name}-heading"), LineList(id=name), classes="section")
