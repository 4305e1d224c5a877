"""What a board says around its lists: whose it is and when it is above them, and answers below."""

from __future__ import annotations

from abc import abstractmethod
from time import monotonic
from typing import TYPE_CHECKING

from prepboard.boards.pages.batches_by_code import BatchesByCode
from prepboard.boards.rows.station_view import Title, out_lines, title_lines
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.boards.widgets.row import Piece, Tone, clean
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.frame.live import NotLive


class Answering(BatchesByCode):
    """Title and answers. A board of its own gives `title_of`."""

    not_live: NotLive | None
    _title: PlainLine

    def __init__(self) -> None:
        super().__init__()
        self.told_at = 0.0
        """When something was last answered, on the machine's own clock."""
        self._said: Piece = ("", "plain")

    @abstractmethod
    def title_of(self, board: Board) -> Title:
        """The board's title."""

    def says_86(self, board: Board) -> bool:
        """Whether the title says what is 86 and what is low, as it does where no list says it."""
        return False

    def show_title(self) -> None:
        """Writes the title line: on two lines where one is too short for it."""
        line = self._title
        if self.board is None:
            line.say((f" {self.not_live.why if self.not_live else ''}", "late"))
            return
        shown = self.title_of(self.board)
        stale = ""
        if self.not_live:
            voice = Voice(self.board.state.book, self.file.clock.now())
            stale = _("not live since {time}").format(time=voice.time(self.not_live.since))
            self.tell(self.not_live.why, "late")
        board = self.board if self.says_86(self.board) else None
        out = [(left.dish, left.eighty_six, left.low) for left in board.left] if board else []
        line.show(
            (shown, stale, out),
            lambda width: [*title_lines(shown, stale, width), *(out_lines(board, width) if board else [])],
        )

    def tell(self, text: str, tone: Tone = "plain", *, news: bool = False) -> None:
        """Answers in the line at the bottom; what is too long for one line takes up to three.

        What is not saved stands above it until it is. `news` may be written over at once.
        """
        self._said, self.told_at = (clean(text), tone), 0.0 if news else monotonic()
        for screen in self.app.screen_stack:
            for line in screen.query("#answer").results(PlainLine):
                self.show_answer(line)

    def answered_just_now(self, seconds: float) -> bool:
        """Whether an answer stands there that may not have been read yet."""
        return bool(self._said[0]) and monotonic() - self.told_at < seconds

    def show_answer(self, line: PlainLine) -> None:
        """Puts the last answer, and what is not saved, onto a line."""
        said, unsaved = self._said, clean(self.desk.unsaved)
        line.show((said, unsaved), lambda width: _answer_lines(said, unsaved, width))


def _answer_lines(said: Piece, unsaved: str, width: int) -> list[list[Piece]]:
    text, tone = said
    above: list[list[Piece]] = [[(f" {line}", "late")] for line in wrap(unsaved, width - 2)[:3]] if unsaved else []
    if above and not text:
        return above
    return [*above, *([(f" {line}", tone)] for line in wrap(text, width - 2)[:3])]
