"""What has been: what left the kitchen unsold, and the runs that ended. Read from the file for sums, never for a plan.

Instants are aware datetimes in UTC, amounts whole millionths of the item's base unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from prepboard.book.book import Prep


class PastRun(Struct, frozen=True):
    """A run that ended. `recipe` is the one it was started with; `outputs` what it was planned to give."""

    recipe: Prep
    size: Fraction
    lost: bool
    ended: datetime
    station: str
    outputs: Mapping[str, int]


class Gone(Struct, frozen=True):
    """An amount that left unsold: thrown away, used for something that is no waste, or on a plate that went out a
    second time. What a count takes away is use in service and is not among them."""

    at: datetime
    kind: Literal["discard", "use", "again"]
    item: str
    """A prep or a good; empty for a batch that no recipe knows."""
    reason: str
    amount: int
    station: str
    name: str = ""
    """Of a batch that no recipe knows."""
    unit: str = ""
    batch: str = ""
    made: int = 0
    """What its batch was when it was made."""
    run: PastRun | None = None
    """The run that made it."""


class Past(Struct, frozen=True):
    """A stretch of time: what left unsold, the runs that ended, and (service, day) -> guests, where somebody said."""

    gone: tuple[Gone, ...]
    runs: tuple[PastRun, ...]
    covers: Mapping[tuple[str, date], int]
