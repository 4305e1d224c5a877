"""Batches on every board: opened by the code on their label, their story, and their labels as text."""

from __future__ import annotations

from collections.abc import Coroutine, Sequence
from typing import TYPE_CHECKING, Any

from textual.screen import Screen

from prepboard.boards.questions.scanned import batch_of
from prepboard.boards.widgets.row import Row, Tone, clean
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import Expiring
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.kitchen_file import KitchenFile
    from prepboard.store.past.batch_story import BatchStory


class BatchesByCode(Screen[None]):
    """What a board does with a batch's code; the frame around it is the board's."""

    board: Board | None
    desk: Desk
    file: KitchenFile

    def tell(self, text: str, tone: Tone = "plain", *, news: bool = False) -> None:
        """Answers in the line at the bottom."""
        raise NotImplementedError

    def ask(self, work: Coroutine[Any, Any, object] | None) -> None:
        """Lets something run that may ask back."""
        raise NotImplementedError

    def open_line(self, row: Row) -> None:
        """Opens the page of a row."""
        raise NotImplementedError

    def story_of(self, shown: object) -> BatchStory | None:
        """Where a batch came from and went; None for what is no batch, and while the file cannot be read."""
        from prepboard.store.file.faults import StoreFault
        from prepboard.store.past.batch_story import story_of

        if not isinstance(shown, Expiring):
            return None
        try:
            return story_of(self.file, shown.batch.code)
        except StoreFault:
            return None

    def open_batch(self, text: str) -> bool:
        """Opens the page of the batch that a code names; says so and answers False where there is none."""
        code = batch_of(self.board, text) if self.board else ""
        if not code:
            self.tell(_("There is no batch {code} with something left.").format(code=clean(text)), "strong")
            return False
        self.open_line(Row(code, what=code))
        return True

    def action_label(self) -> None:
        self.show_labels(())

    def action_find_batch(self) -> None:
        self.ask(self._find_batch())

    async def _find_batch(self) -> None:
        from prepboard.boards.questions.typed import AskText

        code = await self.app.push_screen_wait(AskText(_("Which batch? Its code, as on the label:")))
        if code:
            self.open_batch(code)

    def show_labels(self, codes: Sequence[str]) -> None:
        """Shows the labels of these batches, else of what was last made at this board."""
        from prepboard.boards.pages.label_page import LabelPage

        if codes or self.desk.made:
            self.app.push_screen(LabelPage(self, codes or self.desk.made))
        else:
            self.tell(_("That is for a batch; go to one, or mark a line done first."))
