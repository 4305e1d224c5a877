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
    return thaw_from(book, batch.prep, batch.history, batch.use_by, now) if batch.store == "frozen" else None


def thawing_until(book: Book, batch: Batch) -> datetime | None:
    """Until when what was taken out of the freezer thaws; None for what was never in one, or is in it."""
    stays, prep = batch.stays, book.preps.get(batch.prep)
    if prep is None or len(stays) < 2 or batch.store == "frozen" or stays[-2].store != "frozen":
        return None
    return stays[-1].since + timedelta(minutes=prep.thaw)


def thaw_from(book: Book, item: str, history: History, until: datetime | None, now: datetime) -> Thaw | None:
    """The thaw of frozen food with such a history, good `until` as long as it is frozen; taken out from `now` on."""
    prep = book.preps[item]
    if eaten_frozen(prep):
        return None
    return Thaw(timedelta(minutes=prep.thaw), book.kitchen, food_of(prep), history, until, now)
