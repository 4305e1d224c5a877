"""Asks which dish goes out: first letters, or the cursor."""

from __future__ import annotations

import unicodedata

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.dialogs.dialog import Dialog
from prepboard.boards.line_list import LineList
from prepboard.boards.messages import RowOpened
from prepboard.boards.row import Row
from prepboard.texts import _


def starts(letters: str, name: str) -> bool:
    """Whether a word of the name begins with these letters; accents and capitals make no difference."""
    return f" {_folded(letters)}" in f" {_folded(name)}"


_LETTERS = str.maketrans({"œ": "oe", "æ": "ae", "ø": "o", "ł": "l", "đ": "d", "ı": "i", "’": "'"})
"""Letters that no accent can be taken from."""


def _folded(text: str) -> str:
    parts = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    return "".join(sign for sign in parts if not unicodedata.combining(sign))


class AskDish(Dialog[str]):
    """Answers with the dish's id."""

    DEFAULT_CSS = """
    AskDish LineList { height: auto; max-height: 16; margin: 0; }
    """

    def __init__(self, title: str, dishes: tuple[Row, ...]) -> None:
        super().__init__()
        self._title, self._dishes, self._letters = title, dishes, ""

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(self._title), classes="title")
            yield LineList(id="dishes")
            yield Static(Content(""), classes="quiet", id="typed")

    def on_mount(self) -> None:
        self._narrow("")

    def _narrow(self, letters: str) -> None:
        found = tuple(row for row in self._dishes if starts(letters, row.what))
        if not found and letters:
            return
        self._letters = letters
        dishes = self.query_one(LineList)
        dishes.cursor = None
        dishes.show(found, empty=_("No dish is on this service."))
        dishes.move_to(0)
        typed = _("dish: {letters}").format(letters=letters) if letters else _("first letters, or the cursor; Enter")
        self.query_one("#typed", Static).update(Content(f"{typed}    {_('esc leaves it')}"))

    def on_key(self, event: events.Key) -> None:
        """Letters pick the dish; all other keys do what they always do."""
        if event.key == "backspace":
            self._narrow(self._letters[:-1])
        elif event.is_printable and event.character and (self._letters or event.character != " "):
            self._narrow(self._letters + event.character)
        else:
            return
        event.prevent_default().stop()

    def on_row_opened(self, event: RowOpened) -> None:
        event.stop()
        self.dismiss(event.row.key)
