"""Bring to the line: what this bench fetches for the service, and from where. Opened from its board; rows open."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType

from prepboard.boards.frame.board_screen import NARROW
from prepboard.boards.keys import bindings
from prepboard.boards.pages.host import StationHost
from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.pages.page import Page
from prepboard.boards.rows import bring_rows
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.row import Row
from prepboard.plan.board import Board
from prepboard.texts import _


class BringScreen(Page):
    """The list; it lives on while it is open."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("bring")
    groups = ("bring", "list")

    def __init__(self, station: StationHost) -> None:
        super().__init__(station)
        self.station = station

    def compose(self) -> ComposeResult:
        yield PlainLine(id="line-title")
        yield LineList(id="page")
        yield PlainLine(id="answer")
        yield KeyLine("bring", id="keys")

    def on_mount(self) -> None:
        if self.station.board:
            self.show(self.station.board)
        self.query_one(LineList).focus()

    def show(self, board: Board) -> None:
        """Shows what is to be brought as it stands now."""
        self.query_one("#line-title", PlainLine).say((bring_rows.heading(board), "strong"))
        list_ = self.query_one(LineList)
        rows = bring_rows.rows(board, self.station.stations)
        list_.show(rows, empty=_("Nothing to bring."), fold=bool(rows) and self.app.size.width < NARROW)

    def on_resize(self, event: events.Resize) -> None:
        if self.station.board:
            self.show(self.station.board)

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        """A batch opens as the batch, all else as what is to be brought."""
        event.stop()
        board = self.station.board
        line = bring_rows.to_bring(board).get(event.row.key) if board else None
        if line:
            key = line.batch or event.row.key
            self.app.push_screen(LineScreen(self.station, Row(key, what=event.row.what)))

    def action_open_line(self) -> None:
        self.query_one(LineList).action_open_line()
