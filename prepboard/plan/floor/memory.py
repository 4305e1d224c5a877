"""Memory: schedules that were worked out a moment ago, so that a plate or a count within the minute costs none.

What is remembered is named by all that it was worked out from: a kitchen gets the same answer with and without it.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from threading import RLock
from typing import Any

from prepboard.book.book import Book
from prepboard.plan.given.state import Placement, State

MOST = 16
"""Schedules that are remembered before the oldest is forgotten."""

planning = RLock()
"""Held by whoever plans: one plan at a time, so that what is remembered between plans has one owner."""

_known: dict[Hashable, tuple[Book, Mapping[str, Placement], Any]] = {}


def remembered(key: Hashable, state: State) -> Any:
    """What was worked out from this book, the same placements kept before; None when nobody knows."""
    book, kept, found = _known.get(key, (None, {}, None))
    return found if book is state.book and kept == state.placements else None


def remember(key: Hashable, state: State, found: object) -> None:
    """Remembers what nobody changes any more; the book stays alive as long."""
    while len(_known) >= MOST:
        _known.pop(next(iter(_known)), None)
    _known[key] = state.book, state.placements, found


def forget() -> None:
    """Forgets every schedule."""
    _known.clear()
