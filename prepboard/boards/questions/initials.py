"""Asks who is working here: initials typed, or tapped."""

from __future__ import annotations

from collections.abc import Sequence

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.typed import Typed
from prepboard.boards.widgets.row import clean
from prepboard.texts import _


class AskInitials(Dialog[str], keys="answer"):
    """Initials go with every change; `now` are those of whoever worked here so far, `known` those of the house."""

    def __init__(self, now: str = "", known: Sequence[str] = ()) -> None:
        self._now = now
        notes = [_("They are kept with every change. They say who it was; they are no lock without a PIN.")]
        typed = Typed(self._initials, offered=now, notes=notes, whole=known, longest=8)
        super().__init__(_("Who is working here? Your initials:"), typed)

    def _initials(self, text: str) -> str:
        said = clean(text).strip() or self._now
        if not said:
            raise ValueError(_("Type your initials, or tap them."))
        return said
