"""The line in which a number is typed: what it is, the number, what it was. All else moves while it is typed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, Static

from prepboard.boards.keys import bindings
from prepboard.boards.widgets.row import clean

End = Literal["save", "keep", "down", "up", "leave"]
"""How typing ends: saved with all else, kept as typed (and on to another line), or left as it was."""


class NumberInput(Input):
    """The number itself."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("number")

    def _end(self, how: End) -> None:
        self.post_message(Entry.Ended(how))

    def action_save(self) -> None:
        self._end("save")

    def action_keep(self) -> None:
        self._end("keep")

    def action_keep_down(self) -> None:
        self._end("down")

    def action_keep_up(self) -> None:
        self._end("up")

    def action_leave(self) -> None:
        self._end("leave")


class Entry(Horizontal):
    """Out of sight until a number is typed."""

    DEFAULT_CSS = """
    Entry {
        height: 1;
        display: none;
        &.-typing { display: block; }
        & Static { width: auto; height: 1; }
        & #number-what { padding: 0 1; text-style: bold; }
        & #number-was { padding: 0 1; color: $quiet; width: 1fr; }
        & Input { width: 16; background: $cursor; }
    }
    """

    @dataclass
    class Typed(Message):
        """Something was typed."""

        text: str

    @dataclass
    class Ended(Message):
        """Typing ends."""

        how: End

    def __init__(self) -> None:
        super().__init__()
        self._said = ""

    def compose(self) -> ComposeResult:
        yield Static(id="number-what")
        yield NumberInput(compact=True, select_on_focus=False)
        yield Static(id="number-was")

    @property
    def open(self) -> bool:
        """Whether a number is being typed."""
        return self.has_class("-typing")

    @property
    def input(self) -> NumberInput:
        return self.query_one(NumberInput)

    def begin(self, what: str, text: str, was: str) -> None:
        """Asks for a number: what it is, what is typed so far, and what it was."""
        self.query_one("#number-what", Static).update(Content(clean(what)))
        self.say(was)
        with self.prevent(Input.Changed):
            self.input.value = text
        self.input.cursor_position = len(text)
        self.add_class("-typing")
        self.screen.set_focus(self.input)

    def type(self, sign: str) -> None:
        """One more sign, from a key that was pressed before the line had the focus."""
        self.input.insert_text_at_cursor(sign)

    def say(self, was: str) -> None:
        """What it was, or why what is typed is no number."""
        if was != self._said:  # an update lays the whole screen out again
            self._said = was
            self.query_one("#number-was", Static).update(Content(clean(was)))

    def end(self) -> None:
        self.remove_class("-typing")

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self.post_message(self.Typed(event.value))
