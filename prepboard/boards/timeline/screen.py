"""The timeline: what each bench and each oven does and when, as a picture. It lives on while it is open."""

from __future__ import annotations

from functools import cache
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll

from prepboard.boards.keys import bindings
from prepboard.boards.pages.host import Host
from prepboard.boards.pages.page import Page
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.rows.station_view import clock_text
from prepboard.boards.timeline.rows import HOURS, drawn, page_of
from prepboard.boards.timeline.view import legend, legend_lines
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.row import filled
from prepboard.plan.board import Board
from prepboard.texts import _

SPANS = (4, 8, HOURS, 24, 48)
"""Hours that a page can show."""


class TimelineScreen(Page):
    """Opened from a board, for the stations of that board; it acts on nothing."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("timeline")
    CSS_PATH = "screen.tcss"
    groups = ("timeline",)

    def __init__(self, host: Host, stations: tuple[str, ...]) -> None:
        super().__init__(host)
        self._stations = stations
        self._later, self._hours = 0, HOURS

    def compose(self) -> ComposeResult:
        yield PlainLine(id="timeline-title")
        with VerticalScroll(id="page"):
            yield PlainLine(id="timeline")
        yield PlainLine(id="legend")
        yield KeyLine("timeline", id="keys")

    def on_mount(self) -> None:
        self.query_one("#page").focus()
        if self.host.board:
            self.show(self.host.board)

    def show(self, board: Board) -> None:
        """Draws it anew; where it is scrolled to stays."""
        stations = self._stations or tuple(board.state.book.stations)
        hours, later = self._hours, self._later
        names = " + ".join(voice_of(board).station(station).upper() for station in stations[:3])
        more = _(" and {n} more").format(n=len(stations) - 3) if len(stations) > 3 else ""
        title = self.query_one("#timeline-title", PlainLine)
        title.say((f" {_('TIMELINE')}  {names}{more}   {clock_text(voice_of(board), board.now)}", "strong"))
        self.query_one("#legend", PlainLine).show(
            legend(), lambda width: [filled([(line, "dim")], width) for line in legend_lines(width)]
        )
        self.query_one("#timeline", PlainLine).show(
            (board, hours, later),
            cache(lambda width: drawn(board, stations, page_of(board.now, width, hours=hours, later=later), width)),
        )

    def _again(self) -> None:
        if self.host.board:
            self.show(self.host.board)

    def on_resize(self, event: events.Resize) -> None:
        self._again()

    # --- keys --------------------------------------------------------------------------------------------

    def action_later(self) -> None:
        self._later += max(1, self._hours // 4)
        self._again()

    def action_earlier(self) -> None:
        self._later -= max(1, self._hours // 4)
        self._again()

    def action_now(self) -> None:
        self._later = 0
        self._again()

    def action_closer(self) -> None:
        self._zoom(-1)

    def action_further(self) -> None:
        self._zoom(1)

    def _zoom(self, by: int) -> None:
        self._hours = SPANS[min(len(SPANS) - 1, max(0, SPANS.index(self._hours) + by))]
        self._again()
