"""Ids of actions: short, never drawn twice, and growing with time.

They stand in every row of the record, so each character counts; and since they grow, what indexes them grows at its end
and its pages are full.
"""

from __future__ import annotations

from datetime import datetime
from random import SystemRandom

SIGNS = "0123456789abcdefghijklmnopqrstuv"
"""In the order in which SQLite sorts them."""

SECONDS, DRAWN = 7, 8
"""Characters for the second, enough until the year 3058, and of chance: 40 bits within one second."""

_random = SystemRandom()


def new_id(now: datetime) -> str:
    """An id for an action that begins now."""
    seconds = max(0, int(now.timestamp()))
    return _written(seconds, SECONDS) + _written(_random.getrandbits(5 * DRAWN), DRAWN)


def _written(number: int, signs: int) -> str:
    return "".join(SIGNS[number >> 5 * place & 31] for place in reversed(range(signs)))
