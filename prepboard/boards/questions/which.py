"""Asks which one of several: first letters, the cursor, or a tap."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from textual import events
from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.questions.dialog import Dialog, Part
from prepboard.boards.widgets.letters import starts
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.row import Row, clean
from prepboard.texts import _

CODE = re.compile("[A-Z0-9]{3,6}")
"""What a code of a batch or a run looks like."""


def letters_typed(letters: str) -> str:
    """What is said below the rows while these letters are typed."""
    return _("typed: {letters}").format(letters=letters) if letters else _("first letters, or the cursor")


class Choices(Part):
    """Rows, of which one is chosen.

    `answer` says what a row stands for (its key, if nothing else is said), `said` what is said below the rows while
    letters are typed. `sign` looks at each sign before it picks a row, and answers whether it is used up by that;
    without `by_letters` nothing else picks one.
    """

    DEFAULT_CSS = """
    Choices LineList { height: auto; max-height: 16; margin: 0; }
    """

    def __init__(
        self,
        rows: Sequence[Row],
        *,
        answer: Callable[[Row], object] = lambda row: row.key,
        said: Callable[[str], str] = letters_typed,
        sign: Callable[[str], bool] = lambda _sign: False,
        by_letters: bool = True,
        empty: str = "",
        first: str = "",
    ) -> None:
        super().__init__()
        self.rows, self.letters, self.first = tuple(rows), "", first
        self.answer, self._said, self._sign, self._by_letters = answer, said, sign, by_letters
        self._empty = empty or _("There is nothing to choose from.")

    def compose(self) -> ComposeResult:
        yield LineList(id="choices", one_tap=True)
        yield Static(Content(""), classes="quiet", id="typed")

    def on_mount(self) -> None:
        self.narrow("")

    @property
    def here(self) -> Row | None:
        """The row under the cursor."""
        return self.query_one(LineList).row

    def narrow(self, letters: str) -> None:
        """Leaves the rows whose name begins with these letters, or whose code does. Where nothing does the list is
        empty, and Enter takes nothing: what was typed is never taken for something else."""
        found = tuple(row for row in self.rows if starts(letters, row.what) or _has_code(row, letters))
        self.letters = letters
        list_ = self.query_one(LineList)
        list_.cursor = None
        nothing = _("Nothing here begins with “{letters}”; backspace takes a letter back.")
        list_.show(found, empty=nothing.format(letters=clean(letters)) if letters else self._empty)
        list_.move_to(next((at for at, row in enumerate(found) if row.key == self.first), 0))
        self.say()

    def say(self) -> None:
        """Says below the rows what was typed."""
        self.query_one("#typed", Static).update(Content(self._said(self.letters)))

    def on_key(self, event: events.Key) -> None:
        """Letters pick the row; all other keys do what they always do."""
        if event.key == "backspace":
            self.take_back()
        elif not (event.is_printable and event.character and self._is_taken(event.character)):
            return
        event.prevent_default().stop()

    def _is_taken(self, sign: str) -> bool:
        if sign == " " and not self.letters:
            return False
        if self._sign(sign):
            return True
        if self._by_letters:
            self.narrow(self.letters + sign)
        return self._by_letters

    def take_back(self) -> None:
        """Takes back the sign that was typed last."""
        if not self._sign("backspace"):
            self.narrow(self.letters[:-1])

    def take(self) -> None:
        self.query_one(LineList).action_open_line()

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        event.stop()
        self.screen.dismiss(self.answer(event.row))


def _has_code(row: Row, letters: str) -> bool:
    """Whether a row is of a batch or a run whose code begins so."""
    code = row.key.rpartition(" ")[2]
    return bool(letters) and CODE.fullmatch(code) is not None and code.startswith(letters.strip().upper())


class AskWhich(Dialog[str], keys="answer"):
    """Answers with the key of the row."""

    def __init__(self, title: str, rows: Sequence[Row], *, empty: str = "", first: str = "") -> None:
        super().__init__(title, Choices(rows, empty=empty, first=first))
