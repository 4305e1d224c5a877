"""What a board says around its lists: whose it is and when it is above them, and answers below."""

from __future__ import annotations

from time import monotonic
from typing import TYPE_CHECKING

from textual.screen import Screen

from prepboard.boards.acts.desk import Desk
from prepboard.boards.rows.station_view import Title, out_lines, title_lines
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.boards.widgets.row import Piece, Tone, clean
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.frame.live import NotLive


class Answers:
    """The last answer of a board, on its own line and on that of every page above it."""

    def __init__(self, board: Screen[None], desk: Desk) -> None:
        self._board, self._desk = board, desk
        self.told_at = 0.0
        """When something was last answered, on the machine's own clock."""
        self.said: Piece = ("", "plain")

    def tell(self, text: str, tone: Tone = "plain", *, news: bool = False) -> None:
        """Answers in the line at the bottom; what is too long for one line takes up to three.

        What is not saved stands above it until it is. `news` may be written over at once.
        """
        self.said, self.told_at = (clean(text), tone), 0.0 if news else monotonic()
        for screen in self._board.app.screen_stack:
            line = screen.query_one_optional("#answer", PlainLine)
            if line is not None:
                self.show(line)

    def just_now(self, seconds: float) -> bool:
        """Whether an answer stands there that may not have been read yet."""
        return bool(self.said[0]) and monotonic() - self.told_at < seconds

    def show(self, line: PlainLine) -> None:
        """Puts the last answer, and what is not saved, onto a line."""
        said, unsaved = self.said, clean(self._desk.unsaved)
        line.show((said, unsaved), lambda width: _answer_lines(said, unsaved, width))


def _answer_lines(said: Piece, unsaved: str, width: int) -> list[list[Piece]]:
    text, tone = said
    above: list[list[Piece]] = [[(f" {line}", "late")] for line in wrap(unsaved, width - 2)[:3]] if unsaved else []
    if above and not text:
        return above
    return [*above, *([(f" {line}", tone)] for line in wrap(text, width - 2)[:3])]


def stale_words(board: Board, not_live: NotLive | None) -> str:
    """Since when the figures of a board are no longer live; "" while they are."""
    if not_live is None:
        return ""
    return _("not live since {time}").format(time=Voice(board.state.book, board.now).time(not_live.since))


def write_title(line: PlainLine, shown: Title, stale: str, board: Board | None) -> None:
    """Writes a title: on two lines where one is too short for it; with a board, what is 86 and low below it."""
    out = [(left.dish, left.eighty_six, left.low) for left in board.left] if board else []
    line.show(
        (shown, stale, out),
        lambda width: [*title_lines(shown, stale, width), *(out_lines(board, width) if board else [])],
    )
