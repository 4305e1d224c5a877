"""Vans: what comes from other kitchens, to be taken in; what goes to them; what to order; what they hold back."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType

from prepboard.boards.acts import sending, vans
from prepboard.boards.keys import bindings
from prepboard.boards.pages.host import Host
from prepboard.boards.pages.page import Page
from prepboard.boards.rows import van_rows
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.row import Tone
from prepboard.paper.text.layout import wrap
from prepboard.plan.board import Board
from prepboard.plan.given.group import Hold, Order, Transfer
from prepboard.plan.leftovers.vans import ToSend
from prepboard.texts import _

NARROW = 60
"""Columns below which a row takes two lines, as on every board."""


class VansPage(Page):
    """The list; it lives on while it is open."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("vans")
    groups = ("vans", "list")

    def __init__(self, host: Host) -> None:
        super().__init__(host)

    def compose(self) -> ComposeResult:
        yield PlainLine(id="line-title")
        yield LineList(id="page")
        yield PlainLine(id="whole")
        yield PlainLine(id="answer")
        yield KeyLine("vans", id="keys")

    def on_mount(self) -> None:
        if self.host.board:
            self.show(self.host.board)
        self.host.show_answer(self.query_one("#answer", PlainLine))
        self.query_one(LineList).focus()

    def show(self, board: Board) -> None:
        """Shows how it stands now."""
        self.query_one("#line-title", PlainLine).say((_("VANS"), "strong"))
        rows = van_rows.rows(board)
        nothing = _("Nothing comes, and nothing is to be sent or ordered.")
        if not board.state.book.kitchen.member:
            nothing = _("This kitchen is in no group: the book names no other kitchens.")
        self.query_one(LineList).show(rows, empty=nothing, fold=bool(rows) and self.app.size.width < NARROW)

        self.call_after_refresh(self._show_whole)

    def _show_whole(self) -> None:
        """Of the row under the cursor, where its line is too short for it, all that it says."""
        if not self.is_attached:
            return
        shown = self.query_one("#page", LineList)
        row, width = shown.row, shown.size.width
        drawn = shown.drawn(row, width, marked=False) if row and width else ()
        cut = row is not None and any("…" in text for line in drawn for text, _tone in line)
        said = van_rows.whole(row) if row and cut else ""
        tone: Tone = row.tone if row else "plain"
        self.query_one("#whole", PlainLine).show(
            (said, tone), lambda width: [[(f" {line}", tone)] for line in wrap(said, width - 2)] if said else []
        )

    def on_line_list_cursor_moved(self, event: LineList.CursorMoved) -> None:
        event.stop()
        self._show_whole()

    def on_resize(self, event: events.Resize) -> None:
        if self.host.board:
            self.show(self.host.board)

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        event.stop()
        board, desk = self.host.board, self.host.desk
        meant = van_rows.asked_by(board, event.row.key) if board else None
        if event.row.key.startswith("told "):
            self.host.tell(_("Somebody in that kitchen looks for it, and says so with Enter on their board."))
        elif board is None or meant is None:
            self.host.tell(_("That is loaded. To send more: h on the batch."))
        elif isinstance(meant, Hold):
            self.host.ask(vans.see_to(desk, board, meant))
        elif isinstance(meant, Order):
            self.host.ask(vans.answer(desk, board, meant))
        elif isinstance(meant, ToSend):
            self.host.ask(sending.load(desk, board, meant))
        elif not isinstance(meant, Transfer):
            self.host.ask(vans.order(desk, board, meant))
        elif meant.receiver == _here(board) and meant.state in ("on the van", "refused"):
            self.host.ask(vans.receive(desk, board, meant.note))
        else:
            self.host.ask(vans.settle(desk, board, meant))

    def action_open_line(self) -> None:
        self.query_one(LineList).action_open_line()

    def action_undo(self) -> None:
        self.host.action_undo()


def _here(board: Board) -> str:
    return board.state.book.kitchen.member
