"""Signs or short words that can be tapped, for those who have no keyboard within reach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual import events
from textual.message import Message

from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.boards.widgets.row import Piece, clean, fit

BACK = "←"
"""Takes back the last sign."""

DIGITS = "1234567890.:"
LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Pad(PlainLine):
    """Each sign stands in a field as wide as there is room for; a tap sends a SignTapped."""

    @dataclass
    class SignTapped(Message):
        """A tap on a sign; `pad` is this pad's id."""

        sign: str
        pad: str

    def __init__(self, signs: Sequence[str], *, back: bool = True, id: str | None = None) -> None:
        super().__init__(id=id)
        self.signs = [*map(clean, signs), *([BACK] if back else [])]

    def on_mount(self) -> None:
        if self.app.is_web:  # A page has buttons of its own for these signs.
            self.styles.height, self.styles.margin = 0, 0
        self.show(tuple(self.signs), self._lines)

    def _field(self, width: int) -> int:
        widest = max(map(cell_len, self.signs), default=1)
        return max(widest + 1, min(widest + 4, width // max(1, len(self.signs))))

    def _lines(self, width: int) -> list[list[Piece]]:
        field = self._field(width)
        on_a_line = max(1, width // field)
        rows = [self.signs[at : at + on_a_line] for at in range(0, len(self.signs), on_a_line)]
        return [[(fit(sign, field), "strong") for sign in row] for row in rows]

    def on_click(self, event: events.Click) -> None:
        """Tells which sign was tapped."""
        field = self._field(self.size.width)
        on_a_line = max(1, self.size.width // field)
        at = event.y * on_a_line + event.x // field
        if event.x // field < on_a_line and at < len(self.signs):
            self.post_message(self.SignTapped(self.signs[at], self.id or ""))
