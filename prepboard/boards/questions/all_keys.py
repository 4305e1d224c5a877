"""The `?` screen: what the focused thing is, and every key of this board; a key chosen here is pressed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.keys import bindings, of, shown
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import Row, clean
from prepboard.texts import _


class AllKeys(Dialog[str]):
    """Answers with the action of the key that was chosen."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("answer")
    DEFAULT_CSS = """
    AllKeys > #question { width: 110; }
    AllKeys LineList { height: auto; max-height: 55vh; }
    """

    def __init__(self, groups: Sequence[str], heading: str = "", about: str = "") -> None:
        super().__init__()
        # Where a board uses a key for itself, what that key does elsewhere is not here.
        own = {key.keys for key in of(*groups[:1])}
        keys = [key for key in of(*groups) if key.board == groups[0] or key.keys not in own]
        self._keys = {key.action: key for key in reversed(keys)}
        self._order = [key.action for key in keys]
        self._heading, self._about = heading, about

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            if self._heading:
                yield Static(Content(clean(self._heading)), classes="title", id="focused")
                yield Static(Content(clean(self._about)), id="about")
            yield LineList(id="all-keys", one_tap=True)
            yield Static(Content(""), classes="quiet", id="help")
            yield KeyLine("answer", "dialog")

    def on_mount(self) -> None:
        keys = [self._keys[action] for action in dict.fromkeys(self._order)]
        rows = tuple(Row(key.action, when=shown(key), what=_(key.label), words=_(key.help)) for key in keys)
        list_ = self.query_one(LineList)
        list_.show(rows, empty="")
        list_.move_to(0)
        list_.focus()

    def on_line_list_cursor_moved(self, event: LineList.CursorMoved) -> None:
        """Says what the key under the cursor does, in full: the list may have to cut it."""
        help = _(self._keys[event.row.key].help)
        tap = _("Enter or a tap presses it. ctrl+p finds all of this by name.")
        self.query_one("#help", Static).update(Content(f"{shown(self._keys[event.row.key])}: {help}.\n{tap}"))

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        event.stop()
        self.dismiss(event.row.key)

    def action_take(self) -> None:
        self.query_one(LineList).action_open_line()

    def key_question_mark(self) -> None:
        self.dismiss(None)
