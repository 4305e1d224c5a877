"""The `?` screen: what the focused thing is, and every key of this board; a key chosen here is pressed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.key_signs import shown
from prepboard.boards.keys import bindings, of
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import Row, clean
from prepboard.paper.text.layout import wrap
from prepboard.texts import _, meant

WIDEST, NARROW = 110, 60
AROUND = 5
"""Lines of the frame, of the keys below and of what lies between."""


def _tap() -> str:
    return _("Enter or a tap presses it. ctrl+p finds all of this by name.")


class AllKeys(Dialog[str]):
    """Answers with the action of the key that was chosen."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("answer")
    DEFAULT_CSS = """
    AllKeys > #question { width: 110; }
    AllKeys LineList { height: auto; }
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
        self._draw()
        list_ = self.query_one(LineList)
        list_.move_to(0)
        list_.focus()

    def on_resize(self) -> None:
        self._draw()

    def _draw(self) -> None:
        """What a key does stands below the list, whole, in every size; beside the keys only where there is room."""
        width = min(self.app.size.width, WIDEST) - 6
        narrow = self.app.size.width < NARROW
        keys = [self._keys[action] for action in dict.fromkeys(self._order)]
        rows = tuple(
            Row(key.action, when=shown(key), what=meant("key", key.label), words="" if narrow else _(key.help))
            for key in keys
        )
        list_ = self.query_one(LineList)
        list_.show(rows, empty="")
        above = len(wrap(self._heading, width)) + 1 + len(wrap(self._about, width)) if self._heading else 0
        below = max(len(wrap(f"{shown(key)}: {_(key.help)}.", width)) for key in keys) + len(wrap(_tap(), width))
        list_.styles.max_height = max(3, self.app.size.height - above - below - AROUND)

    def on_line_list_cursor_moved(self, event: LineList.CursorMoved) -> None:
        """Says what the key under the cursor does, in full: the list may have to cut it."""
        help = _(self._keys[event.row.key].help)
        self.query_one("#help", Static).update(Content(f"{shown(self._keys[event.row.key])}: {help}.\n{_tap()}"))

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        event.stop()
        self.dismiss(event.row.key)

    def action_take(self) -> None:
        self.query_one(LineList).action_open_line()

    def key_question_mark(self) -> None:
        self.dismiss(None)
