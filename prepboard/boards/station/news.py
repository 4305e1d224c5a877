"""What the others did, on a station's board: said, and marked for a moment."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic
from typing import TYPE_CHECKING, Protocol

from msgspec import Struct
from textual.app import App
from textual.timer import Timer

from prepboard.boards.acts.desk import Desk
from prepboard.boards.frame import news
from prepboard.boards.frame.answers import Answers
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.plan.board import Board

if TYPE_CHECKING:
    from prepboard.store.past.happened import Happened

A_MOMENT = 6.0
"""Seconds for which a change by someone else is marked, and for which an answer is not written over by theirs."""


class Fresh(Struct, frozen=True):
    """What others did a moment ago, and the rows as they were before."""

    before: list[Row]
    others: list[Happened]
    since: float


class Told(Protocol):
    """A bench's board, as far as its news and its bell ask for it."""

    stations: tuple[str, ...]
    desk: Desk
    answers: Answers

    @property
    def app(self) -> App[object]: ...

    def set_timer(self, delay: float, callback: Callable[[], None]) -> Timer: ...

    def show_marks(self) -> None:
        """Marks the rows that others just changed."""


class StationNews:
    """Tells and marks; the lists are the station's."""

    def __init__(self, station: Told) -> None:
        self._station = station
        self.changed: frozenset[str] = frozenset()
        """Keys of the lines that others just changed."""
        self._news = news.News(station.desk)
        self._fresh: Fresh | None = None
        self._moment: Timer | None = None

    def say(self, board: Board, before: list[Row], after: list[Row]) -> None:
        """Marks for a moment what others changed here, and says who did it.

        What they did and what the plan makes of it come one shortly after the other: both are marked.
        """
        others = self._news.look()
        if others:
            self._fresh = Fresh(before, others, monotonic())
        elif self._fresh and monotonic() - self._fresh.since > A_MOMENT:
            self._fresh = None
        if self._fresh is None:
            return
        changed = news.changed_keys(self._fresh.before, after)
        went = {row.key for row in self._fresh.before} - {row.key for row in after}
        if not (changed | went) - self.changed:
            return
        self.changed = changed
        self._station.show_marks()
        if self._moment:
            self._moment.stop()
        self._moment = self._station.set_timer(A_MOMENT, self._moment_over)
        if not self._station.answers.just_now(A_MOMENT):
            self._station.answers.tell(news.in_words(voice_of(board), self._fresh.others), news=True)

    def _moment_over(self) -> None:
        self._fresh = None
        self.changed = frozenset()
        self._station.show_marks()
