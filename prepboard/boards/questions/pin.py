"""Asks for a PIN: what is typed is not shown."""

from __future__ import annotations

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.typed import Typed
from prepboard.store.file.pins import LONGEST
from prepboard.texts import _


class AskPin(Dialog[str], keys="answer"):
    """The PIN of whoever these initials are; `wrong` says what was wrong with the last one."""

    def __init__(self, by: str, wrong: str = "") -> None:
        notes = [_("It is asked for until somebody else works here, or nobody presses for half an hour.")]
        typed = Typed(_digits, notes=notes, signs=[*"1234567890"], longest=LONGEST, hidden=True, wrong=wrong)
        super().__init__(_("{who}: your PIN").format(who=by), typed)


def _digits(text: str) -> str:
    if not text.isdigit():
        raise ValueError(_("Type the digits of your PIN, or leave it with esc."))
    return text
