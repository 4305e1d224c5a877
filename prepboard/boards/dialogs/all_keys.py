"""The `?` screen: every key of this board."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.dialogs.dialog import Dialog
from prepboard.boards.keys import GROUPS, of, shown
from prepboard.paper.layout import Row, table, wrap
from prepboard.texts import _

WIDTH = 90
"""Cells at most; the style sheet below says the same."""

EVERYWHERE = ("list", "board", "line", "dialog")
"""Keys that are there whatever the board."""

ALONE = ("wall",)
"""Boards that have no keys but their own."""


class AllKeys(Dialog[str]):
    """Lists the keys of one board, and those that all have."""

    DEFAULT_CSS = """
    AllKeys > #question { width: 90; }
    """

    def __init__(self, board: str) -> None:
        super().__init__()
        self._board = board

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="question"):
            yield Static(Content.assemble(*_listed(self._board, min(self.app.size.width, WIDTH) - 6)))

    def key_question_mark(self) -> None:
        self.dismiss(None)


def _listed(board: str, width: int) -> list[tuple[str, str] | str]:
    parts: list[tuple[str, str] | str] = []
    for group, title in GROUPS:
        if group in ((board,) if board in ALONE else (board, *EVERYWHERE)):
            rows = [Row((shown(key), _(key.help))) for key in of(group)]
            parts += [(f"{_(title)}\n", "bold"), "\n".join(table(rows, "<<", width)), "\n\n"]
    tap = _("A line can be tapped, and tapped again to open it. ctrl+p finds all of this by name.")
    return [*parts, "\n".join(wrap(tap, width))]
