"""A question that is answered by typing, or by tapping signs; what cannot be read is said, and may be corrected."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Input, Static

from prepboard.boards.questions.dialog import Answer, Dialog, Part
from prepboard.boards.questions.pad import BACK, LETTERS, Pad
from prepboard.boards.widgets.row import clean
from prepboard.texts import _


class Typed(Part):
    """The line in which it is typed, and the signs to be tapped below it.

    `read` makes the answer of what was typed, or raises a ValueError in words; `offered` stands there in grey,
    `typed` as if it had been typed; `whole` are answers of their own to be tapped; what is `hidden` is not shown;
    `wrong` says what was wrong the last time.
    """

    def __init__(
        self,
        read: Callable[[str], object],
        *,
        offered: str = "",
        typed: str = "",
        notes: Sequence[str] = (),
        signs: Sequence[str] = LETTERS,
        whole: Sequence[str] = (),
        longest: int = 80,
        hidden: bool = False,
        wrong: str = "",
    ) -> None:
        super().__init__()
        self.read, self._offered, self._typed, self._hidden, self._wrong = read, offered, typed, hidden, wrong
        self.notes, self._signs, self._longest = [note for note in notes if note], signs, longest
        self._whole = [clean(one) for one in whole]

    def compose(self) -> ComposeResult:
        yield Input(
            self._typed,
            placeholder=clean(self._offered),
            max_length=self._longest,
            password=self._hidden,
            select_on_focus=False,
            compact=True,
        )
        yield Static(Content(clean(self._wrong)), classes="fault")
        if self._whole:
            yield Pad(self._whole, back=False, id="whole")
        yield Static(Content("\n".join(map(clean, self.notes))), classes="notes")
        yield Pad(self._signs, id="signs")

    def on_pad_sign_tapped(self, event: Pad.SignTapped) -> None:
        """Types the sign that was tapped; an answer of its own is taken."""
        event.stop()
        typed = self.query_one(Input)
        if event.pad == "whole":
            self.screen.dismiss(event.sign)
            return
        if event.sign == BACK:
            typed.action_delete_left()
        else:
            typed.insert_text_at_cursor(event.sign)
        typed.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.take()

    def take(self) -> None:
        """Takes what was typed, or says what is wrong with it."""
        try:
            answer = self.read(self.query_one(Input).value.strip())
        except ValueError as fault:
            self.query_one(".fault", Static).update(Content(clean(str(fault))))
        else:
            self.screen.dismiss(answer)


class AskTyped(Dialog[Answer], keys="answer"):
    """A question of which the one who asks knows how the answer is read."""

    def __init__(
        self,
        title: str,
        read: Callable[[str], Answer],
        *,
        notes: Sequence[str] = (),
        signs: Sequence[str] = LETTERS,
        longest: int = 80,
    ) -> None:
        super().__init__(title, Typed(read, notes=notes, signs=signs, longest=longest))


class AskText(Dialog[str], keys="answer"):
    """Asks for a few words; nothing is no answer."""

    def __init__(self, title: str, *, notes: Sequence[str] = (), longest: int = 80) -> None:
        super().__init__(title, Typed(_some_words, notes=notes, signs=[*LETTERS, "-"], longest=longest))


def _some_words(text: str) -> str:
    said = clean(text).strip()
    if not said:
        raise ValueError(_("Write a word or two, or leave it with esc."))
    return said
