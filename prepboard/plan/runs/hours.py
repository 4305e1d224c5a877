"""Hours: when a station has hands, as instants, through split shifts and midnights."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from functools import lru_cache
from threading import RLock
from typing import TypeVar

from prepboard.book.book import Station
from prepboard.book.days import ONE_DAY, Days

T = TypeVar("T", int, datetime)

FURTHEST = timedelta(days=60)
"""No run is planned further back or ahead than this; a step that fits nowhere within it fits nowhere."""


def without(begin: T, end: T, busy: Iterable[tuple[T, T]]) -> Iterator[tuple[T, T]]:
    """What of a span is left beside others, which are in order of their begins."""
    for since, until in busy:
        if since >= end:
            break
        if until > begin:
            if since > begin:
                yield begin, since
            begin = until
        if begin >= end:
            return
    if end > begin:
        yield begin, end


@lru_cache(maxsize=1024)
def _length(minutes: int) -> timedelta:
    return timedelta(minutes=minutes)


class Hours:
    """The open windows of one station. Without hours in the book hands are always there. `busy` are times, in order,
    in which they do something that is no run; `more` those in which somebody stays whatever is written."""

    def __init__(
        self,
        station: Station | None,
        days: Days,
        around: datetime,
        busy: Sequence[tuple[datetime, datetime]] = (),
        more: Sequence[tuple[datetime, datetime]] = (),
    ) -> None:
        self._written = station.hours if station else None
        self._busy = tuple(busy)
        self._more = tuple(more)
        self.always = self._written is None and not self._busy
        """Hands are always there."""
        self._days = days
        self._lock = RLock()
        """Windows are worked out when they are asked for, by whichever thread asks first."""
        self._first = self._last = days.business_day(around)
        self._opens: list[datetime] = []
        self._closes: list[datetime] = []
        self._since = self._until = around
        if not self.always:
            self._first -= ONE_DAY
            self._last += ONE_DAY
            day = self._first
            while day <= self._last:
                self._add(day)
                day += ONE_DAY

    def latest_end(self, minutes: int, limit: datetime) -> datetime | None:
        """The latest end, not after `limit`, of so many minutes that lie wholly within one window."""
        if self.always or minutes == 0:
            return limit
        with self._lock:
            return self._latest_end(minutes, limit)

    def _latest_end(self, minutes: int, limit: datetime) -> datetime | None:
        if not self._since <= limit < self._until:
            self._reach(limit)
        length = _length(minutes)
        index = bisect_left(self._opens, limit) - 1
        while True:
            while index < 0:
                if limit - self._days.opens(self._first - ONE_DAY) > FURTHEST:
                    return None
                index += self._reach_back()
            closes = self._closes[index]
            end = closes if closes < limit else limit
            if end - length >= self._opens[index]:
                return end
            index -= 1

    def earliest_start(self, minutes: int, limit: datetime) -> datetime | None:
        """The earliest start, not before `limit`, of so many minutes that lie wholly within one window."""
        if self.always or minutes == 0:
            return limit
        with self._lock:
            return self._earliest_start(minutes, limit)

    def _earliest_start(self, minutes: int, limit: datetime) -> datetime | None:
        if not self._since <= limit < self._until:
            self._reach(limit)
        length = _length(minutes)
        index = bisect_right(self._closes, limit)
        while True:
            while index >= len(self._opens):
                if self._days.opens(self._last) - limit > FURTHEST:
                    return None
                self._last += ONE_DAY
                self._add(self._last)
            opens = self._opens[index]
            start = opens if opens > limit else limit
            if start + length <= self._closes[index]:
                return start
            index += 1

    def closes(self, at: datetime) -> datetime:
        """The end of the window that is open at an instant; the instant itself where none is."""
        with self._lock:
            self._reach(at)
            index = bisect_right(self._opens, at) - 1
            return max(at, self._closes[index]) if index >= 0 else at

    def is_open(self, at: datetime) -> bool:
        """Whether hands are there at a moment."""
        return self.earliest_start(1, at) == at

    def minutes_between(self, since: datetime, until: datetime) -> int:
        """Open minutes of a span."""
        if until <= since:
            return 0
        if self.always:
            return int((until - since).total_seconds()) // 60
        with self._lock:
            self._reach(since)
            self._reach(until)
            spans = list(zip(self._opens, self._closes, strict=True))
        seconds = sum(max(0.0, (min(close, until) - max(opens, since)).total_seconds()) for opens, close in spans)
        return int(seconds) // 60

    def _reach(self, at: datetime) -> None:
        """Works out the windows around an instant."""
        if self._since <= at < self._until:
            return
        day = self._days.business_day(at)
        while self._last <= day:
            self._last += ONE_DAY
            self._add(self._last)
        while self._first >= day:
            self._reach_back()
        self._known()

    def _known(self) -> None:
        """Remembers the span whose windows and neighbours are worked out."""
        self._since, self._until = self._days.opens(self._first + ONE_DAY), self._days.opens(self._last)

    def _reach_back(self) -> int:
        before = len(self._opens)
        self._first -= ONE_DAY
        self._add(self._first, front=True)
        return len(self._opens) - before

    def _add(self, day: date, *, front: bool = False) -> None:
        windows = [part for begin, end in self._of_day(day) for part in without(begin, end, self._busy)]
        if front:
            self._opens[:0] = [begin for begin, _ in windows]
            self._closes[:0] = [end for _, end in windows]
            self._join(0, len(windows))
        else:
            size = len(self._opens)
            self._opens += [begin for begin, _ in windows]
            self._closes += [end for _, end in windows]
            self._join(max(0, size - 1), len(self._opens) - 1)

    def _of_day(self, day: date) -> Iterator[tuple[datetime, datetime]]:
        """The windows of a business day in the book; the whole day where it has none for the station."""
        if self._written is None:
            yield self._days.opens(day), self._days.opens(day + ONE_DAY)
            return
        windows = [self._days.span(day, opens, closes) for opens, closes in self._written.on(day) or ()]
        if not self._more:
            yield from windows
            return
        windows += [stay for stay in self._more if self._days.business_day(stay[0]) == day]
        last = None
        for begin, end in sorted(windows):
            # Who stays to the end of a break is there without a break.
            if last and begin <= last[1]:
                last = last[0], max(last[1], end)
                continue
            if last:
                yield last
            last = begin, end
        if last:
            yield last

    def _join(self, first: int, last: int) -> None:
        """Windows that touch are one window."""
        for index in range(min(last, len(self._opens) - 1), first, -1):
            if self._opens[index] <= self._closes[index - 1]:
                self._closes[index - 1] = max(self._closes[index - 1], self._closes[index])
                del self._opens[index], self._closes[index]
