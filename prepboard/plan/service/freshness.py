"""Freshness: until when food goes onto plates, where its book says that it stays good longer than that.

What is fresh no more counts for no dish; runs, staff and whoever else takes it go on.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from prepboard.book import freshness
from prepboard.book.book import Book
from prepboard.plan.given.state import Batch


def fresh_for(book: Book, prep: str) -> timedelta | None:
    """How long a prep is fresh once it is ready; None: as long as it is good."""
    known = book.preps.get(prep)
    return timedelta(minutes=known.fresh_for) if known is not None and known.fresh_for else None


def fresh_until(book: Book, batch: Batch) -> datetime | None:
    """Until when a batch goes onto plates, its use-by apart; None for one that is always fresh, or frozen still."""
    return (
        None
        if batch.pack
        else freshness.fresh_until(book.preps.get(batch.prep), batch.made_at, batch.store, batch.stays)
    )


def is_fresh(book: Book, batch: Batch, at: datetime) -> bool:
    """Whether a batch goes onto plates at an instant, as far as freshness goes."""
    until = fresh_until(book, batch)
    return until is None or at < until


def plates_until(book: Book, batch: Batch) -> datetime | None:
    """The sooner of its use-by and the end of its freshness."""
    fresh = fresh_until(book, batch)
    return min((at for at in (batch.use_by, fresh) if at is not None), default=None)
