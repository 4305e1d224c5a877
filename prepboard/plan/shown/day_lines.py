"""What a Board says of a day: what is different from the book, which tasks it has, which closes are open.

Instants are aware datetimes in UTC, durations minutes.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Literal

from msgspec import Struct

from prepboard.plan.given.state import TaskDone


class DayChange(Struct, frozen=True):
    """One thing that is different from the book on a business day.

    Kinds, with what they name: "hands" (what: station; n: cooks), "equipment" (what; n: places that work), "given"
    (what: prep; of: the station that makes it), "staying" (what: station; of: since when on the kitchen's clock; n:
    minutes), "missing" (what: goods; at: when they come), "portion" (what: prep;
    of: dish; n: amount), "added", "cancelled" and "special" (what: service), "taken off" (what: dish; of: service;
    why).
    """

    kind: str
    day: date
    what: str
    known: bool
    """Whether the book still has what it names; where it does not, the change has no effect."""
    of: str = ""
    n: int | None = None
    at: datetime | None = None
    why: str = ""


MISSED_AFTER = timedelta(hours=2)
"""From then on a reading that nobody took is missed, and presses no more (common practice, no source)."""


class TaskLine(Struct, frozen=True):
    """A task of the book on this business day. `at` is when it is due."""

    task: str
    station: str
    at: datetime
    hands_minutes: int
    reads: Literal["C", "F"] | None
    """The unit of the reading that it asks for."""
    done: TaskDone | None

    def is_missed(self, now: datetime) -> bool:
        """Whether its reading was not taken in time: what is read now says nothing of then."""
        return self.done is None and self.reads is not None and now - self.at >= MISSED_AFTER


class OpenClose(Struct, frozen=True):
    """The close of a business day that these stations have not signed; `ended` is when its last service did."""

    day: date
    ended: datetime
    stations: tuple[str, ...]
