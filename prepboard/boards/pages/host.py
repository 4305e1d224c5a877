"""What a page asks of the board that opened it."""

from __future__ import annotations

from collections.abc import Coroutine, Sequence
from typing import TYPE_CHECKING, Any, Protocol

from textual.screen import Screen

from prepboard.boards.acts.desk import Desk
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.boards.widgets.row import Row, Tone
from prepboard.plan.board import Board
from prepboard.plan.given.state import HandOver
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import MakeLine, UnderWay

if TYPE_CHECKING:
    from prepboard.store.file.who import Did
    from prepboard.store.kitchen_file import KitchenFile
    from prepboard.store.past.batch_story import BatchStory

Doable = MakeLine | UnderWay | HandOver | TaskLine
"""What can be started or marked done."""


class Host(Protocol):
    """A live board, as its pages see it; they never ask for more."""

    board: Board | None
    desk: Desk
    file: KitchenFile

    def tell(self, text: str, tone: Tone = "plain", *, news: bool = False) -> None:
        """Answers in the line at the bottom."""

    def ask(self, work: Coroutine[Any, Any, object] | None) -> None:
        """Lets something run that may ask back and may take its time."""

    def show_answer(self, line: PlainLine) -> None:
        """Shows what was last answered in another line too."""

    def say_went(self, row: Row) -> None:
        """Says what happened to a line that is gone."""

    def story_of(self, shown: object) -> BatchStory | None:
        """Where a batch came from and went; None for what is no batch."""

    def do(self, wish: str, line: Doable) -> Coroutine[Any, Any, Did | None] | None:
        """What a wish ("start", "done") does to a line."""

    def show_labels(self, codes: Sequence[str]) -> None:
        """Shows the labels of these batches, else of what was last made at this board."""

    async def all_keys(self, screen: Screen[Any], *groups: str) -> None:
        """The `?` screen for a page; a key chosen there is done on it."""

    def action_undo(self) -> None:
        """Takes the last change back."""


class StationHost(Host, Protocol):
    """A board that is for some stations."""

    stations: tuple[str, ...]
