"""Days: which business day a moment belongs to, and where a kitchen's calendar days begin and end.

Every instant is an aware datetime in UTC; only this module turns wall-clock times into instants. A night on
which the clocks change gets no special case: the zone's own rules decide.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from msgspec import Struct

ONE_DAY = timedelta(days=1)


class Days(Struct, frozen=True):
    """The calendar of one kitchen: its zone, and the wall-clock time at which a business day starts."""

    zone: ZoneInfo
    starts: time

    def local(self, at: datetime) -> datetime:
        """The kitchen's wall clock at an instant."""
        return at.astimezone(self.zone)

    def at(self, day: date, clock: time) -> datetime:
        """The instant of a wall-clock time on a *calendar* day."""
        return _instant(self.zone, day, clock)

    def in_day(self, day: date, clock: time) -> datetime:
        """The instant of a wall-clock time in a *business* day: 01:00 on "Friday" is early on Saturday."""
        return self.at(day + ONE_DAY if clock < self.starts else day, clock)

    def business_day(self, at: datetime) -> date:
        """The business day of an instant: before `day_starts` it is still the day before."""
        return _business_day(self.zone, self.starts, at)

    def opens(self, day: date) -> datetime:
        """The instant at which a business day starts."""
        return self.at(day, self.starts)

    def next_opening(self, day: date) -> datetime:
        """The instant at which a business day ends and the next one starts."""
        return self.opens(day + ONE_DAY)

    def next(self, after: datetime, clock: time) -> datetime:
        """The first instant of a wall-clock time after another instant."""
        day = self.local(after).date()
        at = self.at(day, clock)
        return at if at > after else self.at(day + ONE_DAY, clock)

    def span(self, day: date, starts: time, ends: time) -> tuple[datetime, datetime]:
        """The instants of two wall-clock times in a business day; an end not after the start is the next morning's."""
        return _span(self, day, starts, ends)

    def midnight_after(self, day: date) -> datetime:
        """The midnight that ends a calendar day."""
        return self.at(day + ONE_DAY, time())


@lru_cache(maxsize=1024)
def _instant(zone: ZoneInfo, day: date, clock: time) -> datetime:
    return datetime.combine(day, clock, zone).astimezone(UTC)


@lru_cache(maxsize=8192)
def _span(days: Days, day: date, starts: time, ends: time) -> tuple[datetime, datetime]:
    begin = days.in_day(day, starts)
    return begin, days.next(begin, ends)


@lru_cache(maxsize=8192)
def _business_day(zone: ZoneInfo, starts: time, at: datetime) -> date:
    local = at.astimezone(zone)
    return local.date() - ONE_DAY if local.time() < starts else local.date()
