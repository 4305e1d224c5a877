"""What a station's board says by itself: what the others did, and what is due."""

from __future__ import annotations

from time import monotonic
from typing import TYPE_CHECKING

from msgspec import Struct
from textual.timer import Timer

from prepboard.boards.frame import news
from prepboard.boards.rows.lists import runs_under_way, voice_of
from prepboard.boards.rows.station_view import Section
from prepboard.boards.station.keys import StationKeys
from prepboard.boards.widgets.row import Row
from prepboard.plan.board import Board

if TYPE_CHECKING:
    from prepboard.store.kitchen_file import KitchenFile
    from prepboard.store.past.happened import Happened

A_MOMENT = 6.0
"""Seconds for which a change by someone else is marked, and for which an answer is not written over by theirs."""


class Fresh(Struct, frozen=True):
    """What others did a moment ago, and the rows as they were before."""

    before: list[Row]
    others: list[Happened]
    since: float


class StationNews(StationKeys):
    """Tells and marks; the lists are the station's."""

    def __init__(self, file: KitchenFile, stations: tuple[str, ...], by: str = "") -> None:
        super().__init__(file, stations, by)
        self.sections: tuple[Section, ...] = ()
        self.changed: frozenset[str] = frozenset()
        """Keys of the lines that others just changed."""
        self._news = news.News(self.desk)
        self._fresh: Fresh | None = None
        self._moment: Timer | None = None
        self._due: dict[tuple[str, int], object] | None = None

    def say_news(self, board: Board, before: list[Row]) -> None:
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
        after = [row for section in self.sections for row in section.rows]
        changed = news.changed_keys(self._fresh.before, after)
        went = {row.key for row in self._fresh.before} - {row.key for row in after}
        if not (changed | went) - self.changed:
            return
        self.changed = changed
        self.show_marks()
        if self._moment:
            self._moment.stop()
        self._moment = self.set_timer(A_MOMENT, self._moment_over)
        if not self.answered_just_now(A_MOMENT):
            self.tell(news.in_words(voice_of(board), self._fresh.others), news=True)

    def _moment_over(self) -> None:
        self._fresh = None
        self.changed = frozenset()
        self.show_marks()

    def ring(self, board: Board) -> None:
        """Says which steps have just become due, and rings once if the kitchen wants that."""
        due = news.due(board, runs_under_way(board, self.stations))
        fresh = [run for key, run in due.items() if self._due is not None and key not in self._due]
        self._due = dict(due)
        if fresh:
            self.tell(news.due_in_words(board, fresh), "strong")
            if board.state.book.kitchen.bell:
                self.app.bell()
