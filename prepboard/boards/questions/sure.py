"""Asks once more: an amount far from what was planned, several lines at once, or a change to be taken back."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.widgets import Static

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.widgets.row import clean
from prepboard.texts import _


class Sure(Dialog[bool], keys="sure"):
    """An amount that is far from what was planned."""

    def action_yes(self) -> None:
        self.dismiss(True)


class AskAll(Dialog[bool], keys="several"):
    """Several lines that are to be done at once."""

    def __init__(self, title: str, lines: Sequence[str]) -> None:
        super().__init__(title, _in_lines(lines))

    def action_yes(self) -> None:
        self.dismiss(True)


class AskTakeBack(Dialog[bool], keys="take back"):
    """What undo would take back."""

    def __init__(self, change: str) -> None:
        super().__init__(_("Undo this?"), _in_lines([change]))
        self.change = change

    def action_yes(self) -> None:
        self.dismiss(True)


def _in_lines(lines: Sequence[str]) -> Static:
    return Static(Content("\n".join(map(clean, lines))))
