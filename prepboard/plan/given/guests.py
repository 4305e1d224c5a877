"""Whom a note is about that says who is coming: an allergy, a late table, somebody to look after."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from prepboard.plan.given.state import Sitting


class Guests(Struct, frozen=True):
    """Those of a sitting who have these dishes; without a dish, all of them."""

    sitting: Sitting
    dishes: tuple[str, ...] = ()

    @property
    def whom(self) -> str:
        """As the file keeps it: "dinner.2026-10-31", then the dishes."""
        return " ".join((f"{self.sitting[0]}.{self.sitting[1].isoformat()}", *self.dishes))


def about_guests(whom: str) -> Guests | None:
    """Whom a note is about, from what the file keeps; None where it is for a bench, a run or the whole kitchen."""
    sitting, *dishes = whom.split(" ")
    service, dot, day = sitting.rpartition(".")
    try:
        return Guests((service, date.fromisoformat(day)), tuple(dishes)) if dot else None
    except ValueError:
        return None
