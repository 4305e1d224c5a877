"""The bell of a station's board: when it rings for what is due."""

from __future__ import annotations

from prepboard.boards.rows.due_rows import due, in_words, open_now
from prepboard.boards.rows.due_rows import rung as rung_by_now
from prepboard.boards.station.news import Told
from prepboard.plan.board import Board

A_BEAT = 0.4
"""Seconds between the two strokes for a probe."""


class Bell:
    """Rings, and says for what."""

    def __init__(self, station: Told) -> None:
        self._station = station
        self._rung: dict[str, int] | None = None
        """How often it has rung for what is due; None before anything was looked at."""

    def ring(self, board: Board) -> None:
        """Says what has just fallen due, and rings for it if the kitchen wants that: at once, and after 5 and 15
        minutes, until somebody goes on; twice for a probe. Outside of its bench's hours nothing rings."""
        now = {one.key: one for one in due(board, self._station.stations)}
        rung = {key: rung_by_now(board, one) for key, one in now.items()}
        fresh = [one for key, one in now.items() if self._rung is not None and rung[key] > self._rung.get(key, 0)]
        self._rung = rung
        if not fresh:
            return
        self._station.answers.tell(in_words(board, fresh), "strong")
        if board.state.book.kitchen.bell and any(open_now(board, station) for station in self._station.stations):
            self._station.app.bell()
            if any(one.is_probe for one in fresh):
                self._station.set_timer(A_BEAT, self._station.app.bell)
