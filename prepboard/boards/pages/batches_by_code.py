"""Batches on every board: opened by the code on their label, their story, and their labels as text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from textual.app import App

from prepboard.boards.acts.vans import note_meant, receive
from prepboard.boards.pages.host import Host
from prepboard.boards.questions.scanned import batch_of
from prepboard.boards.widgets.row import Row, clean
from prepboard.plan.shown.lines import Expiring
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.past.batch_story import BatchStory


class Board(Host, Protocol):
    """A board from which batches are opened."""

    @property
    def app(self) -> App[object]: ...

    def open_line(self, row: Row) -> None:
        """Opens the page of a row."""


class BatchesByCode:
    """What a board does with a batch's code."""

    def __init__(self, board: Board) -> None:
        self._board = board

    def story_of(self, shown: object) -> BatchStory | None:
        """Where a batch came from and went; None for what is no batch, and while the file cannot be read."""
        from prepboard.store.file.faults import StoreFault
        from prepboard.store.past.batch_story import story_of

        if not isinstance(shown, Expiring):
            return None
        try:
            return story_of(self._board.file, shown.batch.code)
        except StoreFault:
            return None

    def open(self, text: str) -> bool:
        """Opens the page of the batch that a code names, or asks for what a delivery note says that came; says so and
        answers False where there is neither."""
        board = self._board
        if board.board and (note := note_meant(board.board, text)):
            board.ask(receive(board.desk, board.board, note))
            return True
        code = batch_of(board.board, text) if board.board else ""
        run = (
            next((one for one in board.board.under_way if one.run == text.strip().upper()), None)
            if board.board
            else None
        )
        if run:
            board.open_line(Row(f"run {run.run}", what=run.run))
            return True
        if not code:
            board.tell(_("No batch {code} has anything left.").format(code=clean(text)), "strong")
            return False
        board.open_line(Row(code, what=code))
        return True

    async def find(self) -> None:
        """Asks for a code, and opens its batch."""
        from prepboard.boards.questions.typed import AskText

        code = await self._board.app.push_screen_wait(AskText(_("Which batch? Its code, as on the label:")))
        if code:
            self.open(code)

    def show_labels(self, codes: Sequence[str]) -> None:
        """Shows the labels of these batches, else of what was last made at this board."""
        from prepboard.boards.pages.label_page import LabelPage

        board = self._board
        if codes or board.desk.made:
            board.app.push_screen(LabelPage(board, codes or board.desk.made))
        else:
            board.tell(_("Pick a batch first."))
