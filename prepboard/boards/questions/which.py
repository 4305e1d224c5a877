"""Asks which one of several: first letters, the cursor, or a tap."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.keys import bindings
from prepboard.boards.questions.dialog import Answer, Dialog
from prepboard.boards.widgets.letters import starts
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import Row, clean
from prepboard.texts import _

CODE = re.compile("[A-Z0-9]{3,6}")
"""What a code of a batch or a run looks like."""


class Which(Dialog[Answer]):
    """Rows, of which one is chosen; `chosen` says what the answer is."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("answer")
    DEFAULT_CSS = """
    Which LineList { height: auto; max-height: 16; margin: 0; }
    """

    def __init__(self, title: str, choices: Sequence[Row], *, empty: str = "", first: str = "") -> None:
        super().__init__()
        self._title, self._choices, self._letters = title, tuple(choices), ""
        self._empty, self._first = empty or _("There is nothing to choose from."), first

    def chosen(self, row: Row) -> Answer:
        """What the row stands for."""
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(clean(self._title)), classes="title")
            yield LineList(id="choices", one_tap=True)
            yield Static(Content(""), classes="quiet", id="typed")
            yield KeyLine("answer", "dialog")

    def on_mount(self) -> None:
        self.narrow("")

    def typed(self, letters: str) -> str:
        """What is said below the rows while these letters are typed."""
        return _("typed: {letters}").format(letters=letters) if letters else _("first letters, or the cursor")

    def narrow(self, letters: str) -> None:
        """Leaves the rows whose name begins with these letters, or whose code does. Where nothing does the list is
        empty, and Enter takes nothing: what was typed is never taken for something else."""
        found = tuple(row for row in self._choices if starts(letters, row.what) or _has_code(row, letters))
        self._letters = letters
        list_ = self.query_one(LineList)
        list_.cursor = None
        nothing = _("Nothing here begins with “{letters}”; backspace takes a letter back.")
        list_.show(found, empty=nothing.format(letters=clean(letters)) if letters else self._empty)
        list_.move_to(next((at for at, row in enumerate(found) if row.key == self._first), 0))
        self.say_typed()

    def say_typed(self) -> None:
        self.query_one("#typed", Static).update(Content(self.typed(self._letters)))

    def take_sign(self, sign: str) -> bool:
        """Looks at a sign before it picks a row; True when it is used up by that."""
        return False

    def on_key(self, event: events.Key) -> None:
        """Letters pick the row; all other keys do what they always do."""
        if event.key == "backspace":
            self.take_back()
        elif event.is_printable and event.character and (self._letters or event.character != " "):
            if not self.take_sign(event.character):
                self.narrow(self._letters + event.character)
        else:
            return
        event.prevent_default().stop()

    def take_back(self) -> None:
        self.narrow(self._letters[:-1])

    def action_take(self) -> None:
        self.query_one(LineList).action_open_line()

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        event.stop()
        self.dismiss(self.chosen(event.row))


def _has_code(row: Row, letters: str) -> bool:
    """Whether a row is of a batch or a run whose code begins so."""
    code = row.key.rpartition(" ")[2]
    return bool(letters) and CODE.fullmatch(code) is not None and code.startswith(letters.strip().upper())


class AskWhich(Which[str]):
    """Answers with the key of the row."""

    def chosen(self, row: Row) -> str:
        return row.key
