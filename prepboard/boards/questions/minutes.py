"""Asks in how many minutes: one digit is enough."""

from __future__ import annotations

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.which import Choices
from prepboard.boards.widgets.row import Row
from prepboard.texts import _

MINUTES = (1, 3, 5, 10, 15, 20, 30, 60, 90)
"""What the digits 1 to 9 stand for."""


class AskMinutes(Dialog[int], keys="answer"):
    """Answers with minutes: a digit, the cursor or a tap."""

    def __init__(self, title: str) -> None:
        rows = [Row(str(at), when=str(at), what=_("{n} min").format(n=n)) for at, n in enumerate(MINUTES, 1)]
        super().__init__(title, Choices(rows, answer=_minutes, said=by_digits, sign=self._take_sign, by_letters=False))

    def _take_sign(self, sign: str) -> bool:
        """A digit is the answer."""
        if sign not in "123456789":
            return False
        self.dismiss(MINUTES[int(sign) - 1])
        return True


def _minutes(row: Row) -> int:
    return MINUTES[int(row.key) - 1]


def by_digits(_letters: str) -> str:
    """What is said below rows that digits stand for."""
    return _("a digit, or the cursor")
