"""Codes of batches and notes that are typed as fast as a scanner types: capital letters and digits, the hyphen behind a
kitchen's letter, and Enter at their end."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prepboard.plan.board import Board

BETWEEN = 0.6
"""Seconds that may pass between two characters of a code; who types by hand has time to."""

SHORTEST = 3
"""Characters of the shortest code."""


def batch_of(board: Board, text: str) -> str:
    """The code of the batch that a text names; "" for what is no batch with something left."""
    from prepboard.plan.given.called import batch_called  # The first frame does without.

    found = batch_called(board.state, text)
    return found.code if found else ""


class Scanned:
    """Keeps the characters that may become a code. No key of a board is a capital letter, so none is taken away."""

    def __init__(self, *, ticks: Callable[[], float] = monotonic) -> None:
        self._ticks = ticks
        self._typed, self._at = "", 0.0

    def takes(self, character: str) -> bool:
        """Whether this character begins a code or goes on with one; a digit never begins one."""
        if not self._going_on():
            self._typed = ""
        goes_on = bool(self._typed) and (character.isdigit() or character == "-")
        if not character.isascii() or not (character.isupper() or goes_on):
            self._typed = ""
            return False
        self._typed, self._at = self._typed + character, self._ticks()
        return True

    @property
    def alone(self) -> bool:
        """Whether a capital came and nothing followed it: no scanner, but a hand, with caps lock on."""
        return len(self._typed) == 1 and not self._going_on()

    def ends(self) -> str:
        """The code, when Enter follows it closely; else ""."""
        code = self._typed if self._going_on() and len(self._typed) >= SHORTEST else ""
        self._typed = ""
        return code

    def _going_on(self) -> bool:
        return bool(self._typed) and self._ticks() - self._at <= BETWEEN
