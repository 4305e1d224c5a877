"""Freshness: until when food goes onto plates, where its book says that it stays good longer than that."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from prepboard.book.book import Prep
from prepboard.book.safety.stays import Stay


def fresh_until(prep: Prep | None, made_at: datetime, store: str, stays: Sequence[Stay]) -> datetime | None:
    """Until when a batch goes onto plates, its use-by apart, from when it is ready or, taken out of the freezer, thawed
    on; None for one that is fresh as long as it is good, or frozen still."""
    if prep is None or not prep.fresh_for or store == "frozen":
        return None
    ready = made_at
    if len(stays) > 1 and stays[-2].store == "frozen":
        ready = max(made_at, stays[-1].since + timedelta(minutes=prep.thaw))
    return ready + timedelta(minutes=prep.fresh_for)
