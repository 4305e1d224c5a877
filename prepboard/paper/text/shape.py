"""How instants, days and amounts look to scripts.

Instants are ISO 8601 with the kitchen's offset, a business day is its date, amounts are a number and the item's own
unit.
"""

from __future__ import annotations

from datetime import date, datetime
from fractions import Fraction
from typing import Any

from prepboard.book.amounts import MILLION
from prepboard.paper.text.saying import Voice, is_known
from prepboard.plan.given.state import Batch

Json = dict[str, Any]


def number(value: Fraction | float | int) -> float | int:
    """A JSON number without a needless ".0"."""
    exact = float(value)
    return int(exact) if exact.is_integer() else exact


class Shape:
    """Puts what one kitchen has at one moment into objects."""

    def __init__(self, voice: Voice) -> None:
        self.voice = voice
        self._book = voice.book
        self._zone = voice.days.zone

    def at(self, instant: datetime | None) -> str | None:
        return instant.astimezone(self._zone).isoformat(timespec="seconds") if instant else None

    def day(self, on: date) -> str:
        """A business day, as its date: what `--day` and `import` read too."""
        return on.isoformat()

    def left_of(self, batch: Batch) -> Json:
        """What is left of a batch, in the item's own unit; in its base unit where no recipe knows it."""
        if batch.pack or (batch.unit and not is_known(self._book, batch.prep)):
            return {"amount": number(Fraction(batch.left, MILLION)), "unit": batch.unit}
        return self.amount(batch.prep, batch.left)

    def amount(self, item: str, millionths: int) -> Json:
        """A number and the item's own unit; the unit is "" for an item that the book does not know."""
        if not is_known(self._book, item):
            return {"amount": number(Fraction(millionths, MILLION)), "unit": ""}
        measure = self._book.measure(item)
        return {"amount": number(measure.number(millionths)), "unit": measure.unit}
