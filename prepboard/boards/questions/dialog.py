"""What all questions have in common: a few lines of text, one thing to answer, its keys, and escape."""

from __future__ import annotations

from typing import Any, ClassVar, Generic, TypeVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Static

from prepboard.boards.keys import bindings
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import clean

Answer = TypeVar("Answer")


class Part(Vertical):
    """What a question is answered with. It ends the question that it stands in with the answer."""

    DEFAULT_CSS = """
    Part { width: 100%; height: auto; }
    """

    def take(self) -> None:
        """Takes what is typed, offered or under the cursor."""
        raise NotImplementedError


class Dialog(ModalScreen[Answer | None], Generic[Answer]):
    """A question: its title, the parts that it is made of, its keys. Its answer is None when it was left with escape.

    A question of its own names the group of its `keys` beside those of all; one without title and parts composes
    itself.
    """

    keys: ClassVar[str] = ""
    BINDINGS: ClassVar[list[BindingType]] = bindings("dialog")
    DEFAULT_CSS = """
    Dialog {
        align: center middle;
        background: $background;
        & > #question {
            width: 64;
            max-width: 100%;
            height: auto;
            max-height: 100%;
            padding: 0 2;
            background: $surface;
            border: solid $quiet;
            scrollbar-size-vertical: 1;
        }
        & Static { width: 100%; height: auto; }
        & .title { text-style: bold; margin-bottom: 1; }
        & .quiet { color: $quiet; margin-top: 1; }
        & .fault { color: $late; height: auto; }
        & Input { background: $cursor; }
        & Pad { margin-top: 1; }
        & KeyLine { margin-top: 1; }
    }
    """

    def __init_subclass__(cls, *, keys: str = "", **how: Any) -> None:
        if keys:
            cls.keys, cls.BINDINGS = keys, bindings(keys)
        super().__init_subclass__(**how)

    def __init__(self, title: str = "", *parts: Widget) -> None:
        super().__init__()
        self.asks, self.parts = title, parts

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(clean(self.asks)), classes="title")
            yield from self.parts
            yield KeyLine(*filter(None, (self.keys, "dialog")))

    def on_mount(self) -> None:
        presses = getattr(self.app, "presses", None)
        if presses is not None:
            self.call_after_refresh(presses.stands)

    def on_key_line_hint_tapped(self, event: KeyLine.HintTapped) -> None:
        event.stop()
        self.call_later(self.run_action, event.action)

    def action_take(self) -> None:
        for part in self.query(Part):
            part.take()

    def action_cancel(self) -> None:
        self.dismiss(None)
