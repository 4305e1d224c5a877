"""Plates of sittings that are over and were not counted here: what a demo kitchen, or a new one, learned before."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime

from msgspec import Struct

from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.texts import _, some


class PastSitting(Struct, frozen=True):
    """One sitting that is over: how many guests came, and how many plates of each dish went out."""

    service: str
    day: date
    ended: datetime
    came: int
    plates: Mapping[str, int]
    """Of every dish that was on offer: 0 is a dish that nobody took."""
    special: bool = False
    """A day that history does not learn."""


@action("past plates")
def record_past(doing: Doing, sittings: Iterable[PastSitting], *, action: str | None = None) -> Did:
    """Adds the plates and guests of past sittings, all or none; no batch is touched.

    Refused for a dish or a service that the book does not have, for a sitting that is not over, and for one that has
    plates already.
    """
    return _record(doing, tuple(sittings))


def counted(file: KitchenFile) -> set[tuple[str, str]]:
    """(day, service) of the sittings that have plates."""
    with file.looking() as db:
        return set(db.execute("SELECT DISTINCT day, service FROM plates WHERE n > back").fetchall())


def _record(doing: Doing, sittings: tuple[PastSitting, ...]) -> Did:
    for sitting in sittings:
        _check(doing, sitting)
    number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS next FROM plates")[0]["next"]
    plates = [
        {**_plates(doing, sitting, dish, n), "number": number + at}
        for at, (sitting, dish, n) in enumerate(
            (sitting, dish, n) for sitting in sittings for dish, n in sitting.plates.items()
        )
    ]
    doing.add_many("plates", plates)
    known = {(row["day"], row["service"]) for row in doing.rows("SELECT day, service FROM services")}
    services = [
        {
            "day": sitting.day.isoformat(),
            "service": sitting.service,
            "came": sitting.came,
            "past": 1,
            "special": int(sitting.special),
        }
        for sitting in sittings
    ]
    doing.add_many("services", [row for row in services if (row["day"], row["service"]) not in known])
    for row in services:
        if (row["day"], row["service"]) in known:
            doing.put("services", row)
    said = some("{n} past sitting", "{n} past sittings", len(sittings))
    doing.log("past plates", after=said)
    return doing.answer(said)


def _plates(doing: Doing, sitting: PastSitting, dish: str, n: int) -> Row:
    """A dish that nobody took is kept as one that went out and came back: it was on offer."""
    return {
        "at": instant_text(sitting.ended),
        "service": sitting.service,
        "day": sitting.day.isoformat(),
        "dish": dish,
        "n": max(n, 1),
        "back": int(n == 0),
        "again": "",
        "by": doing.who.by,
        "station": doing.who.station,
    }


def _check(doing: Doing, sitting: PastSitting) -> None:
    book, names = doing.book, {"service": sitting.service, "day": sitting.day.isoformat()}
    if sitting.service not in book.services:
        raise Refused(_("no service is called {service}").format(**names))
    for dish in sitting.plates:
        if dish not in book.dishes:
            raise Refused(_("no dish is called {dish}").format(dish=dish))
    if sitting.ended > doing.now:
        raise Refused(_("{service} of {day} is not over").format(**names))
    has_plates = "SELECT 1 FROM plates WHERE day = ? AND service = ? AND n > back LIMIT 1"
    if doing.first(has_plates, sitting.day.isoformat(), sitting.service):
        raise Refused(_("{service} of {day} has plates already").format(**names))
