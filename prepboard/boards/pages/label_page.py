"""A batch's label as text, on a page of its own: to be copied onto the box where no printer stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.keys import bindings
from prepboard.boards.pages.host import Host
from prepboard.boards.pages.page import Page
from prepboard.boards.widgets.plain_line import KeyLine
from prepboard.boards.widgets.row import clean
from prepboard.paper.records.label import WIDTHS, as_text, labels
from prepboard.paper.text.saying import Voice
from prepboard.texts import _, some

if TYPE_CHECKING:
    from collections.abc import Sequence

    from prepboard.plan.board import Board


class LabelPage(Page):
    """The labels of one or several batches, as they stand when it is opened."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("label")
    groups = ("label",)

    def __init__(self, host: Host, codes: Sequence[str]) -> None:
        super().__init__(host)
        self._codes = codes

    def compose(self) -> ComposeResult:
        yield Static(id="line-title")
        with VerticalScroll(id="page"):
            yield Static(id="text")
        yield KeyLine("label", id="keys")

    def on_mount(self) -> None:
        board = self.host.board
        if board:
            texts = label_texts(board, self._codes)
            title = some("Label: write it on the box", "{n} labels: write them on the boxes", len(texts))
            self.query_one("#line-title", Static).update(Content(title))
            shown = "\n\n".join(texts) or _("Nothing is left of that batch.")
            self.query_one("#text", Static).update(Content(shown))
        self.query_one("#page").focus()


def label_texts(board: Board, codes: Sequence[str]) -> list[str]:
    """The labels of these batches, as the command prints them; what has nothing left has none."""
    batches = {batch.code: batch for batch in board.state.batches}
    found = [batches[code] for code in codes if code in batches]
    texts = [as_text(label, WIDTHS[0]) for batch in found for label in labels(batch, Voice.of(board))]
    return ["\n".join(clean(line) for line in text.splitlines()) for text in texts]
