"""What can be done with a line of the sous chef's board, in words, each with its key: nobody has to know a letter."""

from __future__ import annotations

from collections.abc import Mapping

from prepboard.boards.keys import Key, of, shown
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.widgets.row import Row
from prepboard.texts import _

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
    return Row(key.action, when=_sign(key), what=_(key.label), words=_(key.help))


def _sign(key: Key) -> str:
    """What is pressed in the menu."""
    return key.keys if key.menu else shown(key)


class Menu(AskWhich):
    """What now? Answers with the action chosen."""

    DEFAULT_CSS = """
    Menu > #question { width: 110; }
    """

    def __init__(self, what: str, kind: str) -> None:
        super().__init__(_("{what}: what now?").format(what=what), menu(kind))
        self._signs = {row.when: row.key for row in menu(kind)}

    def typed(self, letters: str) -> str:
        return _("the key beside a line, or the cursor")

    def take_sign(self, sign: str) -> bool:
        """The key that stands beside a line takes it."""
        action = self._signs.get(sign)
        if action:
            self.dismiss(action)
        return True
