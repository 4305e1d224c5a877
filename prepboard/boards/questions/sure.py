"""Asks once more: an amount far from what was planned, several lines at once, or a change to be taken back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.keys import bindings
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import clean
from prepboard.texts import _


class Question(Dialog[bool]):
    """True for yes; `keys` names the group of keys that say so."""

    keys: ClassVar[str]

    def __init__(self, question: str, lines: Sequence[str] = ()) -> None:
        super().__init__()
        self._question, self._lines = question, lines

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(clean(self._question)), classes="title")
            if self._lines:
                yield Static(Content("\n".join(map(clean, self._lines))))
            yield KeyLine(self.keys, "dialog")

    def action_yes(self) -> None:
        self.dismiss(True)


class Sure(Question):
    """An amount that is far from what was planned."""

    keys = "sure"
    BINDINGS: ClassVar[list[BindingType]] = bindings("sure")


class AskAll(Question):
    """Several lines that are to be done at once."""

    keys = "several"
    BINDINGS: ClassVar[list[BindingType]] = bindings("several")


class AskTakeBack(Question):
    """What undo would take back."""

    keys = "take back"
    BINDINGS: ClassVar[list[BindingType]] = bindings("take back")

    def __init__(self, change: str) -> None:
        super().__init__(_("Undo this?"), [change])
