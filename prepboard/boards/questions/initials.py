"""Asks who is working here: initials typed, or tapped."""

from __future__ import annotations

from collections.abc import Sequence

from textual.widget import Widget

from prepboard.boards.questions.pad import LETTERS, Pad
from prepboard.boards.questions.typed import AskTyped
from prepboard.boards.widgets.row import clean
from prepboard.texts import _


class AskInitials(AskTyped[str]):
    """Initials go with every change; `now` are those of whoever worked here so far, `known` those of the house."""

    def __init__(self, now: str = "", known: Sequence[str] = ()) -> None:
        self._now, self._known = now, [clean(name) for name in known]
        super().__init__(
            _("Who is working here? Your initials:"),
            self._initials,
            offered=now,
            notes=[_("They are kept with every change. They say who it was; they are no lock without a PIN.")],
            signs=LETTERS,
            longest=8,
        )

    def _initials(self, text: str) -> str:
        said = clean(text).strip() or self._now
        if not said:
            raise ValueError(_("Type your initials, or tap them."))
        return said

    def compose_more(self) -> list[Widget]:
        return [Pad(self._known, back=False, id="known")] if self._known else []

    def take_sign(self, event: Pad.SignTapped) -> None:
        """Known initials are an answer; letters are typed."""
        if event.pad == "known":
            self.dismiss(event.sign)
        else:
            super().take_sign(event)
