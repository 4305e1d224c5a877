"""What a Board says of what is left: at the close, and where it could go.

Instants are aware datetimes in UTC, amounts whole millionths of the item's base unit.
"""

from __future__ import annotations

from datetime import date, datetime
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from prepboard.plan.given.state import Batch
from prepboard.plan.shown.lines import MakeLine, Note, Pull


class Parting(Struct, frozen=True):
    """A batch on the discard or decide list. `reason` is a word of the closed list of reasons."""

    batch: Batch
    reason: str
    note: Note
    cost: Fraction | None
    freezes: bool = False
    """The freezer would gain it days."""


class CarryOver(Struct, frozen=True):
    batch: Batch
    use_first: bool


class Closing(Struct, frozen=True):
    discard: tuple[Parting, ...]
    decide: tuple[Parting, ...]
    carry_over: tuple[CarryOver, ...]
    start_tonight: tuple[MakeLine, ...]
    pull: tuple[Pull, ...]


class LeftOver(Struct, frozen=True):
    """What is expected to be left of a prep when all needs that the plan looks at have taken theirs. Frozen food and
    what carries no date mark is not in it."""

    prep: str
    amount: int
    good_until: datetime


class Outlet(Struct, frozen=True):
    """Where some of what expires can go. "service" and "run" are planned: it goes there anyway. "if there": a run
    that is planned without it would take it too; "recipe": a further run of something that coming services need;
    "dish": plates beyond what is expected; "staff meal"."""

    kind: Literal["service", "run", "if there", "recipe", "dish", "staff meal"]
    item: str
    """The prep that a run makes, or the dish; empty for a service and the staff meal."""
    service: str | None
    day: date | None
    amount: int
    by: datetime
    """The last moment: it is good up to, not at, this."""
    plates: int = 0


class UseFirst(Struct, frozen=True):
    """What expires by the end of the next business day, or will be left over; `name` is a batch's code, the code of
    a run under way, or the text of a planned run's line."""

    name: str
    source: Literal["batch", "run", "planned"]
    prep: str
    amount: int
    left_over: int
    """What nothing in the plan takes."""
    there: datetime
    good_until: datetime
    outlets: tuple[Outlet, ...]
