"""Asks once more, where an amount is far from what was planned."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.dialogs.dialog import Dialog
from prepboard.boards.keys import bindings
from prepboard.texts import _


class Sure(Dialog[bool]):
    """True for yes."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("sure")

    def __init__(self, question: str) -> None:
        super().__init__()
        self._question = question

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(self._question), classes="title")
            yield Static(Content(_("y  yes, it is right        esc  no, leave it")))

    def action_yes(self) -> None:
        self.dismiss(True)
