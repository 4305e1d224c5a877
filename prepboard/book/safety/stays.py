"""Stays: where food was kept from when on, and how freezing makes its count stand still.

Frozen time does not count and resets nothing: FDA Food Code 2022, 3-501.18(A)(1), "except time that the product is
frozen". The day of freezing and the day of thawing both count as used. Authorities differ on the first: where in
doubt, the shorter life.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from msgspec import Struct

from prepboard.book.book import Store
from prepboard.book.days import Days


class Stay(Struct, frozen=True):
    """Food kept in one storage from an instant on, until the next stay begins."""

    store: Store
    since: datetime


def and_then(stays: Sequence[Stay], store: Store, since: datetime) -> tuple[Stay, ...]:
    """The stays with one more; another place of the same storage is the same stay."""
    if stays and stays[-1].store == store:
        return tuple(stays)
    return (*stays, Stay(store, since))


def first_in(stays: Sequence[Stay], store: Store) -> datetime | None:
    """When food first came into a storage; None if it never did."""
    return next((stay.since for stay in stays if stay.store == store), None)


def days_frozen(stays: Sequence[Stay], days: Days) -> int:
    """Calendar days that count as used by nobody: those between a freezing day and its thaw day, neither included.

    A freezing day is always the calendar day; a thaw before `day_starts` belongs to the day before.
    """
    apart = (days.business_day(until) - days.local(since).date() for since, until in _thawed(stays))
    return sum(max(0, between.days - 1) for between in apart)


def time_frozen(stays: Sequence[Stay], after: datetime) -> timedelta:
    """How long food was frozen from `after` on, as far as it was thawed again."""
    lengths = (until - max(since, after) for since, until in _thawed(stays) if until > after)
    return sum(lengths, timedelta())


def _thawed(stays: Sequence[Stay]) -> Iterator[tuple[datetime, datetime]]:
    """Each freezing that is over, from when to when."""
    for stay, following in pairwise(stays):
        if stay.store == "frozen":
            yield stay.since, following.since
