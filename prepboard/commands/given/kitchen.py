"""The kitchen that a command works on: its file, open, with one snapshot of it."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from prepboard.book.book import Book
    from prepboard.plan.board import Board
    from prepboard.plan.given.state import State
    from prepboard.store.file.who import Who
    from prepboard.store.kitchen_file import KitchenFile


class Kitchen(Struct, dict=True):
    """A kitchen's file, open, with one snapshot of it."""

    file: KitchenFile
    state: State
    now: datetime
    who: Who

    @property
    def book(self) -> Book:
        return self.state.book

    @cached_property
    def board(self) -> Board:
        from prepboard.plan.board import plan

        board = plan(self.state, self.now)
        self._keep_learned(board)
        return board

    def _keep_learned(self, board: Board) -> None:
        """Keeps what closed services taught; a file that cannot be written to still shows."""
        if not board.new_learned:
            return
        # A list that teaches nothing loads no action.
        from prepboard.store.actions.history import keep_learned
        from prepboard.store.file.faults import StoreFault

        with suppress(StoreFault):
            keep_learned(self.file, board.state.version, *board.new_learned)
