"""Freshness: until when food goes onto plates, where its book says that it stays good longer than that; and
whether it is still frozen."""

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
    return max(made_at, _thawed(prep, stays) or made_at) + timedelta(minutes=prep.fresh_for)


def is_still_frozen(prep: Prep | None, store: str, stays: Sequence[Stay], now: datetime) -> bool:
    """Whether a batch lies frozen, or is out of the freezer for less than its recipe says that it takes to thaw; never
    what is used as it comes out."""
    if prep is None or not prep.thaw:
        return False
    thawed = _thawed(prep, stays)
    return store == "frozen" or (thawed is not None and now < thawed)


def _thawed(prep: Prep, stays: Sequence[Stay]) -> datetime | None:
    """When a batch that is out of the freezer is thawed; None for one that comes from no freezer."""
    if len(stays) < 2 or stays[-2].store != "frozen":
        return None
    return stays[-1].since + timedelta(minutes=prep.thaw)
