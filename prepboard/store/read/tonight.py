"""What is different today, as the file keeps it: rows read into the fields of a State, and a book with the sittings
that were added to it."""

from __future__ import annotations

import json
from datetime import date, time
from fractions import Fraction
from sqlite3 import Connection
from typing import Any

from msgspec.structs import replace

from prepboard.book.book import Book, Service, Weekly
from prepboard.store.file.times import instant_or_none

Added = tuple[tuple[Any, ...], ...]
"""The rows of sittings that were added, as `added_rows` read them."""


def differences(db: Connection, since: str) -> dict[str, Any]:
    """The State's fields of what is different on business days from `since` on."""
    return {
        "hands": _of_day(db, "SELECT station, day, n FROM hands WHERE day >= ?", since),
        "equipment": _of_day(db, "SELECT equipment, day, n FROM equipment_that_works WHERE day >= ?", since),
        "given": _of_day(db, "SELECT prep, day, station FROM given WHERE day >= ?", since),
        "staying": {
            (station, date.fromisoformat(day), clock): minutes
            for station, day, clock, minutes in db.execute(
                "SELECT station, day, since, minutes FROM staying WHERE day >= ?", [since]
            )
        },
        "missing": {goods: instant_or_none(until) for goods, until in db.execute("SELECT goods, until FROM missing")},
        "standing_on": {
            (prep, weekday): amount
            for prep, weekday, amount in db.execute("SELECT prep, weekday, amount FROM standing_by_weekday")
        },
        "added": frozenset((row[1], date.fromisoformat(row[0])) for row in added_rows(db, since)),
    }


def _of_day(db: Connection, sql: str, since: str) -> dict[tuple[str, date], Any]:
    return {(what, date.fromisoformat(day)): set_to for what, day, set_to in db.execute(sql, [since])}


def added_rows(db: Connection, since: str) -> Added:
    """The sittings that were added for business days from `since` on, the first day first."""
    rows = db.execute(
        "SELECT day, service, name, starts, ends, covers, like, counts, over FROM added_services"
        " WHERE day >= ? ORDER BY day, service",
        [since],
    )
    return tuple(rows.fetchall())


def with_added(book: Book, added: Added) -> Book:
    """The book with the sittings that were added. What of them a new book has lost is left out."""
    for day, id_, name, starts, ends, covers, like, counts, over in added:
        on = date.fromisoformat(day)
        if id_ in book.services:
            known = book.services[id_]
            book = _with(book, replace(known, also_on=known.also_on | {on}))
        elif name:
            fixed = {dish: n for dish, n in json.loads(counts).items() if dish in book.dishes}
            service = Service(
                id=id_,
                called=name,
                order=len(book.services),
                starts=time.fromisoformat(starts),
                ends=time.fromisoformat(ends),
                set_by=time.fromisoformat(starts),
                on=on,
                covers=Weekly((covers,) * 7),
                counts=fixed or None,
                over=Fraction(over),
            )
            book = _served(_with(book, service), id_, like, set(fixed))
    return book


def _with(book: Book, service: Service) -> Book:
    return replace(book, services={**book.services, service.id: service})


def _served(book: Book, service: str, like: str, counted: set[str]) -> Book:
    """The dishes and menus of a sitting: those of the service that it is like, and those with a count."""
    dishes = {
        dish.id: replace(dish, services=(*dish.services, service))
        if dish.id in counted or like in dish.services
        else dish
        for dish in book.dishes.values()
    }
    menus = {
        menu.id: replace(menu, services=(*menu.services, service)) if like in menu.services else menu
        for menu in book.menus.values()
    }
    return replace(book, dishes=dishes, menus=menus)
