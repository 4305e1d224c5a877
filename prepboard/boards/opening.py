"""What is in sight while the kitchen's file is opened: the frame of a board, at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.app import ComposeResult
from textual.screen import Screen

from prepboard.boards.plain_line import KeyLine, PlainLine
from prepboard.texts import _

OpenBoard = Callable[[], Screen[Any]]
"""Opens what a board needs and makes its screen; raises what a person is to be told."""


class Opening(Screen[None]):
    """Shows whose board this will be, then gives way to it. Keys that are pressed meanwhile go to the board."""

    DEFAULT_CSS = """
    Opening { background: $background; color: $foreground; }
    Opening PlainLine { margin-bottom: 1; }
    Opening KeyLine { dock: bottom; margin: 0; }
    """

    def __init__(self, title: str, board_name: str, open_board: OpenBoard) -> None:
        super().__init__()
        self._title, self._board_name, self._open_board = title, board_name, open_board
        self.fault: Exception | None = None
        """Why the board could not be opened."""

    def compose(self) -> ComposeResult:
        yield PlainLine(id="whose")
        yield PlainLine(id="reading")
        yield KeyLine(self._board_name, "board")

    def on_mount(self) -> None:
        self.query_one("#whose", PlainLine).say((f" {self._title}", "strong"))
        self.query_one("#reading", PlainLine).say((_(" Reading the kitchen's file."), "dim"))
        self.call_after_refresh(self._open)

    async def _open(self) -> None:
        try:
            board = self._open_board()
        except Exception as fault:
            # Said on the terminal once the screen is given back.
            self.fault = fault
            self.app.exit()
        else:
            await self.app.push_screen(board)
