"""Asks which of two numbers counts: what was typed here, or what somebody else set meanwhile."""

from __future__ import annotations

from typing import ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.keys import bindings
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.widgets.row import clean
from prepboard.texts import _


class MineOrTheirs(Dialog[Literal["mine", "theirs"]]):
    """`what` names the number; both values are in words."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("clash")

    def __init__(self, what: str, mine: str, theirs: str) -> None:
        super().__init__()
        self._what, self._mine, self._theirs = (clean(text) for text in (what, mine, theirs))

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(_("{what} was changed meanwhile.").format(what=self._what)), classes="title")
            yield Static(Content(_("m  mine: {number}").format(number=self._mine)))
            yield Static(Content(_("t  theirs: {number}").format(number=self._theirs)))
            yield Static(Content(_("esc  back to the board, nothing is saved")), classes="quiet")

    def action_mine(self) -> None:
        self.dismiss("mine")

    def action_theirs(self) -> None:
        self.dismiss("theirs")
