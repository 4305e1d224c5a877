"""Thawing: how long what is frozen is good once it has been taken out for a need."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Book, Kitchen
from prepboard.book.safety.life import Food, History, counted_from, eaten_frozen, food_of, good_until, passes_on
from prepboard.book.safety.stays import and_then
from prepboard.plan.given.state import Batch


class Thaw(Struct, frozen=True):
    """How long one frozen batch takes to thaw, and what its life is counted from."""

    takes: timedelta
    kitchen: Kitchen
    food: Food
    history: History
    frozen_until: datetime | None
    now: datetime

    def good_until(self, ready_by: datetime) -> datetime | None:
        """Until when it is good if it is taken out just in time to be thawed by a moment; None for no end.

        What cannot be taken out before its frozen life is over is good until it is over.
        """
        out = max(ready_by - self.takes, self.now)
        if self.frozen_until is not None and self.frozen_until <= out:
            return self.frozen_until
        stays = and_then(self.history.stays, "chilled", out)
        thawed = good_until(self.kitchen, self.food, replace(self.history, stays=stays))
        return thawed.until if thawed else None

    def passes_on(self, ready_by: datetime) -> date | None:
        """The day 1 that it hands on when it is taken out in time for a moment."""
        out = max(ready_by - self.takes, self.now)
        stays = and_then(self.history.stays, "chilled", out)
        return passes_on(self.food, *counted_from(self.kitchen.days, replace(self.history, stays=stays)))


def thaw_of(book: Book, batch: Batch, now: datetime) -> Thaw | None:
    """The thaw that a batch needs; None for one that is not frozen, or is eaten so."""
    if batch.store != "frozen":
        return None
    prep = book.preps[batch.prep]
    if eaten_frozen(prep):
        return None
    return Thaw(timedelta(minutes=prep.thaw), book.kitchen, food_of(prep), batch.history, batch.use_by, now)
