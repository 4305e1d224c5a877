"""Asks who is working here."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from prepboard.boards.dialogs.dialog import Dialog
from prepboard.boards.row import clean
from prepboard.texts import _


class AskInitials(Dialog[str]):
    """Initials go with every change; `now` are those of whoever worked here so far."""

    def __init__(self, now: str = "") -> None:
        super().__init__()
        self._now = now

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(_("Who is working here? Your initials:")), classes="title")
            yield Input(placeholder=self._now, max_length=8, compact=True)
            yield Static(Content(_("They are kept with every change.   esc leaves it")), classes="quiet")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        self.dismiss(clean(event.value).strip() or self._now or None)
