"""What past and present sittings sold: plates of each dish, and the guests of the whole sitting."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from prepboard.store.kitchen_file import KitchenFile

_SOLD = """
    SELECT plates.day, plates.service, plates.dish, sum(plates.n - plates.back), services.came, services.covers
    FROM plates LEFT JOIN services ON services.day = plates.day AND services.service = plates.service
    WHERE plates.day BETWEEN ? AND ? AND plates.again = ''
    GROUP BY plates.day, plates.service, plates.dish ORDER BY plates.day, plates.service, plates.dish"""


class Sold(Struct, frozen=True):
    """Plates of one dish at one sitting; a dish that was offered and that nobody took has 0."""

    day: date
    service: str
    dish: str
    plates: int
    covers: int | None
    """How many came, else how many were booked in the file; None: as in the book."""


def sold(file: KitchenFile, since: date, until: date) -> list[Sold]:
    """The plates of the sittings of these business days, first and last day included."""
    with file.looking() as db:
        rows = db.execute(_SOLD, [since.isoformat(), until.isoformat()]).fetchall()
    return [
        Sold(date.fromisoformat(day), service, dish, plates, booked if came is None else came)
        for day, service, dish, plates, came, booked in rows
    ]
