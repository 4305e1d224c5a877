"""Numbers: what a sous chef sets for a sitting or a day, each by its name."""

from __future__ import annotations

from datetime import date, datetime
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from prepboard.plan.given.state import Sitting

NumberKind = Literal[
    "covers", "percent", "mix", "count", "par", "standing par", "weekday par", "cancelled", "off", "portion", "hands",
    "equipment", "given", "staying", "missing",
]  # fmt: skip
"""Where each stands in the file, and how it is set and said, is a row of `store/actions/night/number_kinds.py`; what it
lays over a state one of `plan/changing/drafts.py`."""


class Number(Struct, frozen=True):
    """Names one number that a sous chef sets, or whatever else may be different for a sitting or a day.

    `item` is a dish for a share, a count or a dish taken off; a prep for a par, a portion or what is given to another
    station; else a station, equipment or goods. `on` is the dish of a portion, a standing par's weekday ("0" for
    Monday), or since when on the kitchen's clock somebody stays ("15:00"; the value is minutes). `day` is the business
    day of what is of no sitting.
    """

    of: NumberKind
    sitting: Sitting | None = None
    item: str = ""
    day: date | None = None
    on: str = ""


Value = int | Fraction | str | datetime | None
"""What a number is set to; None where it is the book's, or computed. A dish is off for a reason in words, a prep is
given to a station by its id, goods are missing until a moment, or "" for nobody knows."""


FAR_MORE = 3
"""Above so many times what is usual it is asked whether a number is meant."""


def far_more(to: int | Fraction, usual: int | Fraction | None) -> bool:
    """Whether a number is so far above what is usual that it may be a slip; never where nothing is known."""
    return bool(usual) and to > FAR_MORE * (usual or 0)


class Change(Struct, frozen=True):
    """A number that somebody sets, and what they saw it set to when they did."""

    number: Number
    seen: Value
    to: Value
    usual: int | Fraction | None = None
    """What is usually asked for; above three times that it is asked once whether it is meant."""

    @property
    def is_far_more(self) -> bool:
        """Whether to ask if it is meant. A percentage is measured by the pars that it makes; of a share only what is
        more than one a guest is asked about: less is a choice, more is bread."""
        if self.number.of == "percent":
            return far_more(100 + int(self.to) if isinstance(self.to, int) else 0, 100)
        if self.number.of == "mix" and isinstance(self.to, Fraction) and self.to <= 1:
            return False
        return isinstance(self.to, int | Fraction) and far_more(self.to, self.usual)
