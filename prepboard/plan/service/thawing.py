"""Thawing: how long what is frozen is good once it has been taken out for a need."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Protocol

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Book, Kitchen
from prepboard.book.safety.life import Food, History, counted_from, eaten_frozen, food_of, good_until, passes_on
from prepboard.book.safety.stays import and_then
from prepboard.plan.given.state import Batch

MINUTE = timedelta(minutes=1)


class Hands(Protocol):
    """When somebody is there to take out what is frozen."""

    def latest_end(self, minutes: int, limit: datetime) -> datetime | None:
        """The latest end, not after `limit`, of so many minutes with hands."""

    def earliest_start(self, minutes: int, limit: datetime) -> datetime | None:
        """The earliest start, not before `limit`, of so many minutes with hands."""


def with_hands(hands: Hands, at: datetime, now: datetime) -> datetime:
    """A moment, or the last one before it, from now on, at which hands are there; that moment where there is none."""
    if hands.earliest_start(1, at) == at:
        return at
    there = hands.latest_end(1, at)
    return there if there is not None and there >= now else at


class Thaw(Struct, frozen=True):
    """How long one frozen batch takes to thaw, and what its life is counted from."""

    takes: timedelta
    kitchen: Kitchen
    food: Food
    history: History
    frozen_until: datetime | None
    now: datetime
    hands: Hands | None = None
    """Of those who take it out; None: somebody always is there."""

    def taken_out(self, ready_by: datetime) -> datetime:
        """When it is to be taken out to be thawed by a moment: where nobody is there then, before they leave, from now
        on; before now where that is too late."""
        at = ready_by - self.takes
        return with_hands(self.hands, at, self.now) if self.hands and at >= self.now else at

    def soonest(self, ready_by: datetime) -> datetime:
        """The first moment from this one on for which it can be taken out so that it is good then; what is taken out
        the evening before may be over by midnight."""
        until = self.good_until(ready_by)
        if self.hands is None or until is None or ready_by < until:
            return ready_by
        out = self.hands.earliest_start(1, max(ready_by - self.takes, self.now) + MINUTE)
        if out is None:
            return ready_by
        until = self.good_until(out + self.takes)
        return out + self.takes if until is None or out + self.takes < until else ready_by

    def good_until(self, ready_by: datetime) -> datetime | None:
        """Until when it is good if it is taken out just in time to be thawed by a moment; None for no end.

        What cannot be taken out before its frozen life is over is good until it is over.
        """
        out = max(self.taken_out(ready_by), self.now)
        if self.frozen_until is not None and self.frozen_until <= out:
            return self.frozen_until
        stays = and_then(self.history.stays, "chilled", out)
        thawed = good_until(self.kitchen, self.food, replace(self.history, stays=stays))
        return thawed.until if thawed else None

    def passes_on(self, ready_by: datetime) -> date | None:
        """The day 1 that it hands on when it is taken out in time for a moment."""
        stays = and_then(self.history.stays, "chilled", max(self.taken_out(ready_by), self.now))
        return passes_on(self.food, *counted_from(self.kitchen.days, replace(self.history, stays=stays)))


def thaw_of(book: Book, batch: Batch, now: datetime, hands: Hands | None = None) -> Thaw | None:
    """The thaw that a batch needs, taken out by those whose `hands` these are; None for one that is not frozen, is
    eaten so, or is in no book."""
    if batch.store != "frozen" or batch.prep not in book.preps:
        return None
    return thaw_from(book, batch.prep, batch.history, batch.use_by, now, hands)


def thawing_until(book: Book, batch: Batch) -> datetime | None:
    """The minute until which what was taken out of the freezer thaws; None for what was never in one, or is in it."""
    stays, prep = batch.stays, book.preps.get(batch.prep)
    if prep is None or len(stays) < 2 or batch.store == "frozen" or stays[-2].store != "frozen":
        return None
    return _minute_of(stays[-1].since + timedelta(minutes=prep.thaw))


def thawed_at(book: Book, batch: Batch, now: datetime) -> datetime | None:
    """When a batch is thawed that was taken out, or is now; None for what is thawed, or would be over by then."""
    out, thaw = thawing_until(book, batch), thaw_of(book, batch, now)
    at = out or (_minute_of(now) + thaw.takes if thaw else now)
    ends = thaw.good_until(at) if thaw else batch.use_by
    return at if at > now and (ends is None or at < ends) else None


def thaw_from(
    book: Book, item: str, history: History, until: datetime | None, now: datetime, hands: Hands | None = None
) -> Thaw | None:
    """The thaw of frozen food with such a history, good `until` as long as it is frozen; taken out from `now` on."""
    prep = book.preps[item]
    if eaten_frozen(prep):
        return None
    return Thaw(timedelta(minutes=prep.thaw), book.kitchen, food_of(prep), history, until, now, hands)


def _minute_of(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)
