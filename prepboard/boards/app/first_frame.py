"""What is in sight while the kitchen's file is opened: the frame of a board, at once.

Whatever a board needs beyond Textual itself (the store, the plan, its own rows) is loaded behind the frame: nothing
that this module or `app.py` imports may import it.
"""

from __future__ import annotations

import gc
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from textual.app import ComposeResult
from textual.screen import Screen

from prepboard.boards.app.hanging_up import end_with_the_terminal
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.frame.board_screen import BoardScreen

OpenBoard = Callable[[], "BoardScreen"]
"""Opens what a board needs and makes its screen; raises what a person is to be told."""


class Frame(Struct, frozen=True):
    """What is known of a board before its file is open: whose it is, and which."""

    title: str
    board_name: str
    shared_keys: tuple[str, ...] = ("board",)
    """The groups of keys in its footer beside its own."""
    without: frozenset[str] = frozenset()
    """Actions that its footer leaves out."""

    @property
    def sheets(self) -> list[str]:
        """The style sheets that will be needed: Textual reads all there are once more when another comes later."""
        return ["frame/board_screen.tcss", f"{self.board_name}/board.tcss", "pages/page.tcss"]


class Opening(Screen[None]):
    """Shows whose board this will be, then gives way to it."""

    DEFAULT_CSS = """
    Opening { background: $background; color: $foreground; }
    Opening PlainLine { margin-bottom: 1; }
    Opening KeyLine { dock: bottom; margin: 0; }
    """

    def __init__(self, frame: Frame, open_board: OpenBoard) -> None:
        super().__init__()
        self._frame, self._open_board = frame, open_board
        self.css_path = [Path(__file__).parents[1] / sheet for sheet in frame.sheets]
        self.fault: Exception | None = None
        """Why the board could not be opened."""

    def compose(self) -> ComposeResult:
        yield PlainLine(id="whose")
        yield PlainLine(id="reading")
        yield KeyLine(self._frame.board_name, *self._frame.shared_keys, without=self._frame.without)

    def on_mount(self) -> None:
        end_with_the_terminal()
        self.query_one("#whose", PlainLine).say((f" {self._frame.title}", "strong"))
        self.query_one("#reading", PlainLine).say((_(" Reading the kitchen's file."), "dim"))
        # As a worker of its own, so that a key pressed meanwhile is answered.
        self.call_after_refresh(lambda: self.run_worker(self._open()))

    def on_key(self) -> None:
        """A key acts on what is in sight, and nothing is yet: it says so, and does nothing later."""
        said = _(" Reading the kitchen's file; press again in a moment.")
        self.query_one("#reading", PlainLine).say((said, "strong"))

    def on_key_line_hint_tapped(self) -> None:
        self.on_key()

    async def _open(self) -> None:
        try:
            board = self._open_board()
            await board.look_first()
        except Exception as fault:
            # Said on the terminal once the screen is given back.
            self.fault = fault
            self.app.exit()
        else:
            await self.app.push_screen(board)
            board.call_after_refresh(_settle)


def _settle() -> None:
    """The board stands: what was loaded stays, and is looked through no more; from here on garbage is collected."""
    gc.collect()
    gc.freeze()
    gc.enable()
