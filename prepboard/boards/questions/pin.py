"""Asks for a PIN: what is typed is not shown."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Input, Static

from prepboard.boards.questions.typed import AskTyped
from prepboard.boards.widgets.row import clean
from prepboard.store.file.pins import LONGEST
from prepboard.texts import _


class AskPin(AskTyped[str]):
    """The PIN of whoever these initials are; `wrong` says what was wrong with the last one."""

    def __init__(self, by: str, wrong: str = "") -> None:
        self._wrong = wrong
        super().__init__(
            _("{who}: your PIN").format(who=by),
            _digits,
            notes=[_("It is asked for until somebody else works here, or nobody presses for half an hour.")],
            signs=[*"1234567890"],
            longest=LONGEST,
        )

    def on_mount(self) -> None:
        super().on_mount()
        self.query_one(Input).password = True
        if self._wrong:
            self.query_one(".fault", Static).update(Content(clean(self._wrong)))


def _digits(text: str) -> str:
    if not text.isdigit():
        raise ValueError(_("Type the digits of your PIN, or leave it with esc."))
    return text
