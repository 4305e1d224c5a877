"""All that a change would do, one thing a line, to be read; before a service is added, to be agreed to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.keys import bindings
from prepboard.boards.pars.saving_words import Line
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import clean


class Changes(Dialog[bool]):
    """True once somebody agreed; without anything to agree to it is only read."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("changes")

    DEFAULT_CSS = """
    Changes > #question { width: 100; }
    Changes VerticalScroll { height: auto; max-height: 20; }
    """

    def __init__(self, title: str, lines: Sequence[Line], *, agree: bool) -> None:
        super().__init__()
        self._title, self._lines, self._agree = title, lines, agree

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(clean(self._title)), classes="title")
            with VerticalScroll():
                yield Static(Content("\n".join(clean(text) for text, _tone in self._lines)))
            yield KeyLine(*(("changes", "dialog") if self._agree else ("dialog",)))

    def action_yes(self) -> None:
        self.dismiss(self._agree)
