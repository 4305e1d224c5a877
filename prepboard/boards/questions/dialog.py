"""What all questions have in common: a few lines of text, one thing to answer, its keys, and escape."""

from __future__ import annotations

from typing import ClassVar, Generic, TypeVar

from textual.binding import BindingType
from textual.screen import ModalScreen

from prepboard.boards.keys import bindings
from prepboard.boards.widgets.plain_line import KeyLine

Answer = TypeVar("Answer")


class Dialog(ModalScreen[Answer | None], Generic[Answer]):
    """A question; its answer is None when it was left with escape."""

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

    def on_mount(self) -> None:
        presses = getattr(self.app, "presses", None)
        if presses is not None:
            self.call_after_refresh(presses.stands)

    def on_key_line_hint_tapped(self, event: KeyLine.HintTapped) -> None:
        event.stop()
        self.call_later(self.run_action, event.action)

    def action_cancel(self) -> None:
        self.dismiss(None)
