"""Memory: schedules that were worked out a moment ago, so that a plate or a count within the minute costs none.

What is remembered is named by all that it was worked out from: a kitchen gets the same answer with and without it.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence

from prepboard.book.book import Book
from prepboard.plan.placing.jobs import Booked
from prepboard.plan.state import Placement, State

MOST = 16
"""Schedules that are remembered before the oldest is forgotten."""

Lying = tuple[Booked | None, ...]

_known: dict[Hashable, tuple[Book, Mapping[str, Placement], Lying]] = {}


def remembered(key: Hashable, state: State) -> Lying | None:
    """Where jobs lie that were placed from this, the same placements kept before; None when nobody knows."""
    book, kept, lying = _known.get(key, (None, {}, None))
    return lying if book is state.book and kept == state.placements else None


def remember(key: Hashable, state: State, booked: Sequence[Booked | None]) -> None:
    """Remembers where jobs lie; the book stays alive as long, since its identity is part of the name."""
    while len(_known) >= MOST:
        _known.pop(next(iter(_known)), None)
    _known[key] = state.book, state.placements, tuple(booked)


def forget() -> None:
    """Forgets every schedule."""
    _known.clear()
