"""Ids of actions: short, never drawn twice, and growing with time.

They stand in every row of the record, so each character counts; and since they grow, what indexes them grows at its end
and its pages are full.
"""

from __future__ import annotations

from datetime import UTC, datetime
from random import SystemRandom

SIGNS = "0123456789abcdefghijklmnopqrstuv"
"""In the order in which SQLite sorts them."""

BEGINS = datetime(2020, 1, 1, tzinfo=UTC)
SECONDS, DRAWN = 6, 7
"""Characters for the second since 2020, enough until 2054 (then they begin anew, and only the index is less full), and
of chance: 35 bits within one second."""

_random = SystemRandom()


def new_id(now: datetime) -> str:
    """An id for an action that begins now."""
    seconds = max(0, int((now - BEGINS).total_seconds()))
    return _written(seconds, SECONDS) + _written(_random.getrandbits(5 * DRAWN), DRAWN)


def _written(number: int, signs: int) -> str:
    return "".join(SIGNS[number >> 5 * place & 31] for place in reversed(range(signs)))
