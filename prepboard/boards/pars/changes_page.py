"""All that a change would do, one thing a line, to be read; before a service is added, to be agreed to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.keys import bindings
from prepboard.boards.pages.line_read import Look
from prepboard.boards.pars.saving_words import Line
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import Row, clean
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import MakeLine, UnderWay
from prepboard.texts import _

Opens = tuple[Line, MakeLine | UnderWay | None]
"""What would change, and the line or the run that it is about."""


class Changes(Dialog[bool]):
    """True once somebody agreed; without anything to agree to it is only read, and Enter opens what a line is about."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("changes")

    DEFAULT_CSS = """
    Changes > #question { width: 100; }
    Changes LineList { height: auto; max-height: 14; margin: 0; }
    """

    def __init__(self, title: str, board: Board, lines: Sequence[Opens], *, agree: bool) -> None:
        super().__init__()
        self._title, self._board, self._lines, self._agree = title, board, lines, agree

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(clean(self._title)), classes="title")
            yield LineList(id="changes")
            yield Static(Content(""), classes="quiet", id="whole")
            yield KeyLine(*(("changes", "dialog") if self._agree else ("dialog",)))

    def on_mount(self) -> None:
        rows = tuple(Row(str(at), what=text, tone=tone) for at, ((text, tone), _opens) in enumerate(self._lines))
        list_ = self.query_one(LineList)
        list_.show(rows, empty="")
        list_.move_to(0)
        list_.focus()

    def on_line_list_cursor_moved(self, event: LineList.CursorMoved) -> None:
        """All of a line that the list may have to cut, and whether there is more to it."""
        (text, _tone), opens = self._lines[int(event.row.key)]
        more = _("Space opens it.") if self._agree else _("Enter opens it.")
        self.query_one("#whole", Static).update(Content("\n".join([clean(text), *([more] if opens else [])])))

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        event.stop()
        self.action_yes()

    def action_open_it(self) -> None:
        row = self.query_one(LineList).row
        _line, opens = self._lines[int(row.key)] if row else (None, None)
        if opens is not None:
            self.app.push_screen(Look(self._board, opens))

    def action_yes(self) -> None:
        if self._agree:
            self.dismiss(True)
        else:
            self.action_open_it()
