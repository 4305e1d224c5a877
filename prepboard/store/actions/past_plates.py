"""Plates of sittings that are over and were not counted here: what a demo kitchen, or a new one, learned before."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from prepboard.store.doing import Doing, act
from prepboard.store.file import KitchenFile
from prepboard.store.times import instant_text
from prepboard.store.who import Did, Refused, Who
from prepboard.texts import _, some


@dataclass(frozen=True, slots=True)
class PastSitting:
    """One sitting that is over: how many guests came, and how many plates of each dish went out."""

    service: str
    day: date
    ended: datetime
    came: int
    plates: Mapping[str, int]


def record_past(file: KitchenFile, who: Who, sittings: Iterable[PastSitting], *, action: str | None = None) -> Did:
    """Adds the plates and guests of past sittings, all or none; no batch is touched.

    Refused for a dish or a service that the book does not have, for a sitting that is not over, and for one that
    has plates already.
    """
    return act(file, who, "past plates", lambda doing: _record(doing, tuple(sittings)), action=action)


def _record(doing: Doing, sittings: tuple[PastSitting, ...]) -> Did:
    for sitting in sittings:
        _check(doing, sitting)
    plates = [
        (
            instant_text(sitting.ended),
            sitting.service,
            sitting.day.isoformat(),
            dish,
            n,
            doing.who.by,
            doing.who.station,
        )
        for sitting in sittings
        for dish, n in sitting.plates.items()
        if n > 0
    ]
    doing.db.conn.executemany(
        "INSERT INTO plates (at, service, day, dish, n, by, station) VALUES (?, ?, ?, ?, ?, ?, ?)", plates
    )
    doing.db.conn.executemany(
        "INSERT INTO services (day, service, came) VALUES (?, ?, ?)"
        " ON CONFLICT (day, service) DO UPDATE SET came = excluded.came",
        [(sitting.day.isoformat(), sitting.service, sitting.came) for sitting in sittings],
    )
    said = some("{n} past sitting", "{n} past sittings", len(sittings))
    doing.log("past plates", after=said)
    return doing.answer(said)


def _check(doing: Doing, sitting: PastSitting) -> None:
    book, names = doing.book, {"service": sitting.service, "day": sitting.day.isoformat()}
    if sitting.service not in book.services:
        raise Refused(_("the book has no service {service}").format(**names))
    for dish in sitting.plates:
        if dish not in book.dishes:
            raise Refused(_("the book has no dish {dish}").format(dish=dish))
    if sitting.ended > doing.now:
        raise Refused(_("{service} of {day} is not over").format(**names))
    counted = "SELECT 1 FROM plates WHERE day = ? AND service = ? LIMIT 1"
    if doing.first(counted, sitting.day.isoformat(), sitting.service):
        raise Refused(_("{service} of {day} has plates already").format(**names))
