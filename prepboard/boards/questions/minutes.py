"""Asks in how many minutes: one digit is enough."""

from __future__ import annotations

from textual import events

from prepboard.boards.questions.which import Which
from prepboard.boards.widgets.row import Row
from prepboard.texts import _

MINUTES = (1, 3, 5, 10, 15, 20, 30, 60, 90)
"""What the digits 1 to 9 stand for."""


class AskMinutes(Which[int]):
    """Answers with minutes: a digit, the cursor or a tap."""

    def __init__(self, title: str) -> None:
        rows = [Row(str(at), when=str(at), what=_("{n} min").format(n=n)) for at, n in enumerate(MINUTES, 1)]
        super().__init__(title, rows)

    def typed(self, letters: str) -> str:
        return _("a digit, or the cursor")

    def chosen(self, row: Row) -> int:
        return MINUTES[int(row.key) - 1]

    def on_key(self, event: events.Key) -> None:
        """A digit is the answer."""
        if event.character and event.character in "123456789":
            event.prevent_default().stop()
            self.dismiss(MINUTES[int(event.character) - 1])
