"""Waste of the last weeks, opened from the close: a plot of its money, and what it was, as a page to read."""

from __future__ import annotations

import asyncio
from datetime import timedelta
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.keys import bindings
from prepboard.boards.pages.host import Host
from prepboard.boards.pages.page import Page
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import clean
from prepboard.paper.records.waste import waste
from prepboard.plan.board import Board
from prepboard.plan.leftovers.waste import Per
from prepboard.plan.leftovers.waste_report import Report, report_of
from prepboard.texts import _

SPANS: dict[Per, timedelta] = {"day": timedelta(days=13), "week": timedelta(weeks=8), "month": timedelta(days=330)}
"""How far back each looks."""


class WastePage(Page):
    """The page; `station` is whose waste it is, empty for the whole kitchen."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("waste")
    groups = ("waste",)

    def __init__(self, host: Host, station: str) -> None:
        super().__init__(host)
        self._station = station
        self._per: Per = "day"
        self._report: Report | str | None = None
        """What was read last, or why it could not be."""

    def compose(self) -> ComposeResult:
        yield Static(id="line-title")
        with VerticalScroll(id="page"):
            yield Static(id="text")
        yield KeyLine("waste", id="keys")

    def on_mount(self) -> None:
        self._show()
        self.query_one("#page").focus()

    def on_resize(self, event: events.Resize) -> None:
        self._put()

    def _show(self) -> None:
        """Reads what was thrown away, in a thread: years of it keep no key waiting."""
        self.run_worker(self._read(), group="waste", exclusive=True)

    async def _read(self) -> None:
        from prepboard.store.file.faults import StoreFault

        board = self.host.board
        if board is None:
            return
        self._title(board)
        try:
            self._report = await asyncio.to_thread(self._reported, board, self._per)
        except StoreFault as fault:
            self._report = str(fault)
        self._put()

    def _reported(self, board: Board, per: Per) -> Report:
        from prepboard.store.past.waste import past_waste

        days = board.state.book.kitchen.days
        since = days.opens(days.business_day(board.now - SPANS[per]))
        until = board.now + timedelta(seconds=1)
        past = past_waste(self.host.file, since, until)
        return report_of(board.state.book, past, since, until, per, self._station)

    def _put(self) -> None:
        board, report = self.host.board, self._report
        if board is None or report is None:
            return
        text = [report] if isinstance(report, str) else waste(report, voice_of(board), self.app.size.width - 3)
        self.query_one("#text", Static).update(Content("\n".join(clean(line) for line in text).lstrip("\n")))

    def _title(self, board: Board) -> None:
        whose = voice_of(board).station(self._station) if self._station else board.state.book.kitchen.name
        titles = {
            "day": _("{whose}: waste by day"),
            "week": _("{whose}: waste by week"),
            "month": _("{whose}: waste by month"),
        }
        self.query_one("#line-title", Static).update(Content(clean(titles[self._per].format(whose=whose))))

    def action_by_day(self) -> None:
        self._per = "day"
        self._show()

    def action_by_week(self) -> None:
        self._per = "week"
        self._show()

    def action_by_month(self) -> None:
        self._per = "month"
        self._show()
