"""What can be done with a line of the sous chef's board, in words, each with its key: nobody has to know a letter."""

from __future__ import annotations

from collections.abc import Mapping

from prepboard.boards.key_signs import shown
from prepboard.boards.keys import Key, of
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.which import Choices
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.row import Row, clean
from prepboard.texts import _, meant

SERVICE = ("by_hand", "free", "move", "off", "percent", "mix", "today", "add", "note", "special", "order")
MENUS: Mapping[str, tuple[str, ...]] = {
    "covers": SERVICE,
    "cancelled": SERVICE,
    "par": ("by_hand", "free", "look", "standing", "weekday", "give", "portion", "chart", "percent"),
    "standing par": ("by_hand", "free", "look", "give"),
    "mix": ("by_hand", "free", "count", "off", "chart", "new_recipe"),
    "given": ("look", "give"),
    "hands": ("by_hand", "free"),
    "staying": ("by_hand", "free"),
    "equipment": ("by_hand", "free"),
    "missing": ("by_hand", "free"),
}
"""Kinds of number -> what can be done with a line of it, the likeliest first."""


def menu(kind: str) -> tuple[Row, ...]:
    """The rows of the menu for a line of this kind; none for a kind that nothing can be done with."""
    keys = {key.action: key for key in of("pars")}
    return tuple(_row(keys[action]) for action in MENUS.get(kind, ()))


def _row(key: Key) -> Row:
    return Row(key.action, when=_sign(key), what=meant("key", key.label), words=_(key.help))


def _sign(key: Key) -> str:
    """What is pressed in the menu."""
    return key.keys if key.menu else shown(key)


class Menu(Dialog[str], keys="answer"):
    """What now? Answers with the action chosen."""

    DEFAULT_CSS = """
    Menu > #question { width: 110; }
    """

    def __init__(self, what: str, kind: str) -> None:
        rows = menu(kind)
        self._signs = {row.when: row.key for row in rows}
        title = _("{what}: what now?").format(what=what)
        super().__init__(title, Choices(rows, said=self._said, sign=self._take_sign))

    def on_line_list_cursor_moved(self, event: LineList.CursorMoved) -> None:
        self.query_one(Choices).say()

    def _said(self, _letters: str) -> str:
        """What the line under the cursor does, in full: a narrow list has to cut it."""
        row = self.query_one(Choices).here
        return clean(row.words) if row else ""

    def _take_sign(self, sign: str) -> bool:
        """The key that stands beside a line takes it; no letter picks a row."""
        action = self._signs.get(sign)
        if action:
            self.dismiss(action)
        return True
