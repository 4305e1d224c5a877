"""A question that is answered by typing, or by tapping signs; what cannot be read is said, and may be corrected."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, Static

from prepboard.boards.keys import bindings
from prepboard.boards.questions.dialog import Answer, Dialog
from prepboard.boards.questions.pad import BACK, LETTERS, Pad
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import clean
from prepboard.texts import _


class AskTyped(Dialog[Answer]):
    """`read` makes the answer of what was typed, or raises a ValueError in words; `offered` stands there in grey,
    `typed` as if it had been typed."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("answer")

    def __init__(
        self,
        title: str,
        read: Callable[[str], Answer],
        *,
        offered: str = "",
        notes: Sequence[str] = (),
        signs: Sequence[str] = LETTERS,
        longest: int = 80,
        typed: str = "",
    ) -> None:
        super().__init__()
        self._typed = typed
        self._title, self._read, self._offered = title, read, offered
        self._notes, self._signs, self._longest = [note for note in notes if note], signs, longest

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(clean(self._title)), classes="title")
            yield Input(
                self._typed,
                placeholder=clean(self._offered),
                max_length=self._longest,
                select_on_focus=False,
                compact=True,
            )
            yield Static(Content(""), classes="fault")
            yield from self.compose_more()
            yield Static(Content("\n".join(map(clean, self._notes))), classes="notes")
            yield Pad(self._signs, id="signs")
            yield KeyLine("answer", "dialog")

    def compose_more(self) -> list[Widget]:
        """What else this question shows, between what is typed and the notes."""
        return []

    def on_pad_sign_tapped(self, event: Pad.SignTapped) -> None:
        event.stop()
        self.take_sign(event)

    def take_sign(self, event: Pad.SignTapped) -> None:
        """Types the sign that was tapped."""
        typed = self.query_one(Input)
        if event.sign == BACK:
            typed.action_delete_left()
        else:
            typed.insert_text_at_cursor(event.sign)
        typed.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Takes what was typed, or says what is wrong with it."""
        event.stop()
        self.action_take()

    def action_take(self) -> None:
        try:
            answer = self._read(self.query_one(Input).value.strip())
        except ValueError as fault:
            self.query_one(".fault", Static).update(Content(clean(str(fault))))
        else:
            self.dismiss(answer)


class AskText(AskTyped[str]):
    """Asks for a few words; nothing is no answer."""

    def __init__(self, title: str, *, notes: Sequence[str] = (), longest: int = 80) -> None:
        super().__init__(title, _some_words, notes=notes, signs=[*LETTERS, "-"], longest=longest)


def _some_words(text: str) -> str:
    said = clean(text).strip()
    if not said:
        raise ValueError(_("Write a word or two, or leave it with esc."))
    return said
