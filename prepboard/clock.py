"""The one place that knows what time it is.

Everything else is handed a `Clock` or a plain `now`. Instants are aware datetimes in UTC. Timers, timeouts and
retries stay on the machine's monotonic clock, which nothing here touches.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Protocol

from msgspec import Struct

from prepboard.texts import _


class Clock(Protocol):
    """Tells the time, and whether someone set it by hand (every board then says so)."""

    @property
    def set_by_hand(self) -> bool: ...

    def now(self) -> datetime: ...


class RealClock(Struct, frozen=True):
    set_by_hand: bool = False

    def now(self) -> datetime:
        return datetime.now(UTC)


class FixedClock(Struct):
    """Stands still at `at`, for drills and tests; tests may move `at`."""

    at: datetime
    set_by_hand: bool = True

    def now(self) -> datetime:
        return self.at


class RunningClock(Struct, frozen=True):
    """Runs on at the real pace as if it had been `shown` when the machine's clock said `real`.

    Every station of one file takes the same pair, so that all of them show the same time.
    """

    shown: datetime
    real: datetime
    set_by_hand: bool = True

    def now(self) -> datetime:
        return self.shown + (datetime.now(UTC) - self.real)


def read_clock(text: str) -> FixedClock:
    """The clock that `PREPBOARD_NOW` asks for, ISO 8601; without an offset it is UTC. ValueError in words."""
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise ValueError(
            _("PREPBOARD_NOW is '{text}'; write it like 2026-10-31T14:22+00:00").format(text=text)
        ) from None
    return FixedClock(at.astimezone(UTC) if at.tzinfo else at.replace(tzinfo=UTC))
