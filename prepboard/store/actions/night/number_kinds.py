"""The kinds of numbers that are saved together: where each stands in the file, how it is set, how it is said."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from fractions import Fraction
from typing import Any, cast

from prepboard.book.saying import say_duration
from prepboard.plan.given.numbers import Number, NumberKind, Value
from prepboard.plan.given.state import Sitting
from prepboard.store.actions.night import dishes, services, today, tonight
from prepboard.store.file.times import instant
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.running import station_name
from prepboard.store.transaction.doing import Doing
from prepboard.store.transaction.saying import weekday
from prepboard.texts import _

COLUMNS: Mapping[NumberKind, tuple[str, str]] = {
    "covers": ("services", "covers"),
    "percent": ("services", "percent"),
    "cancelled": ("services", "cancelled"),
    "mix": ("mixes", "share"),
    "count": ("counts", "n"),
    "off": ("taken_off", "why"),
    "par": ("pars", "amount"),
    "standing par": ("standing_pars", "amount"),
    "weekday par": ("standing_by_weekday", "amount"),
    "portion": ("portions", "amount"),
    "hands": ("hands", "n"),
    "equipment": ("equipment_that_works", "n"),
    "given": ("given", "station"),
    "staying": ("staying", "minutes"),
    "missing": ("missing", "until"),
}
"""Where each kind stands in the file: its table and its column."""

_ITEMS = {
    "mix": "dish",
    "count": "dish",
    "off": "dish",
    "hands": "station",
    "staying": "station",
    "equipment": "equipment",
    "missing": "goods",
}
"""What the column of a number's item is called, where it is not a prep."""


def key_of(number: Number) -> dict[str, Any]:
    """What names the number's row, in the order of the table's key."""
    key: dict[str, Any] = {}
    if number.sitting is not None:
        key = {"day": number.sitting[1].isoformat(), "service": number.sitting[0]}
    elif number.day is not None:
        key = {"day": number.day.isoformat()}
    if number.of == "portion":
        key["dish"] = number.on
    if number.item:
        key[_ITEMS.get(number.of, "prep")] = number.item
    if number.of == "staying":
        key["since"] = number.on
    return {**key, "weekday": int(number.on)} if number.of == "weekday par" else key


def read(number: Number, row: Mapping[str, Any] | None) -> Value:
    """The number that a row has; None where it is the book's, or computed."""
    kept = row[COLUMNS[number.of][1]] if row else None
    if number.of == "percent":
        return int(kept or 0)
    if number.of == "cancelled":
        return 1 if kept else None
    if number.of == "missing" and row:
        return instant(kept) if kept else ""
    if kept is None:
        return None
    return Fraction(kept) if number.of == "mix" else str(kept) if number.of in ("off", "given") else int(kept)


def value(doing: Doing, number: Number) -> Value:
    """What the file has for a number now."""
    return read(number, doing.row(COLUMNS[number.of][0], **key_of(number)))


def sitting_of(number: Number) -> Sitting:
    if number.sitting is None:
        raise Refused(_("it is not said for which service"))
    return number.sitting


def _day(number: Number) -> date:
    if number.day is None:
        raise Refused(_("it is not said for which day"))
    return number.day


def _covers(doing: Doing, number: Number, to: Value, sure: bool) -> Did:
    sitting = sitting_of(number)
    if to is not None:
        return tonight.set_covers(doing, sitting, cast(int, to), False)
    before = value(doing, number)
    tonight.keep_at_start(doing, sitting)
    doing.put("services", {**key_of(number), "covers": None})
    doing.log("covers", before="" if before is None else str(before), why=tonight.where(sitting))
    return doing.answer(_("{service}: covers as booked").format(service=tonight.named(doing, sitting)))


def _count(doing: Doing, number: Number, to: Value, sure: bool) -> Did:
    sitting = sitting_of(number)
    if to is not None:
        return tonight.set_count(doing, sitting, number.item, cast(int, to))
    drop(doing, number, "count for")
    said = _("{dish}: no fixed count for {service}")
    return doing.answer(said.format(dish=doing.book.name(number.item), service=tonight.named(doing, sitting)))


def drop(doing: Doing, number: Number, did: str) -> None:
    """Takes a number of a dish by hand away, so that the book's counts again."""
    before = value(doing, number)
    doing.drop(COLUMNS[number.of][0], **key_of(number))
    was = "" if before is None else words(doing, number, before)
    doing.log(did, dish=number.item, before=was, why=tonight.where(sitting_of(number)))


def _par(doing: Doing, number: Number, to: Value, sure: bool) -> Did:
    amount = cast(int | None, to)
    if number.of == "par":
        return tonight.set_par(doing, sitting_of(number), number.item, amount)
    return tonight.set_standing(doing, number.item, amount, [int(number.on)] if number.of == "weekday par" else ())


def _off(doing: Doing, number: Number, to: Value, sure: bool) -> Did:
    if to is None:
        return dishes.set_back(doing, sitting_of(number), number.item)
    return dishes.set_off(doing, sitting_of(number), number.item, str(to))


def _portion(doing: Doing, number: Number, to: Value, sure: bool) -> Did:
    known = doing.book.dishes.get(number.on)
    sitting = (known.services[0] if known and known.services else "", _day(number))
    return dishes.set_portion(doing, sitting, number.on, number.item, cast(int | None, to), sure)


def _given(doing: Doing, number: Number, to: Value, sure: bool) -> Did:
    own = doing.book.preps[number.item].station if number.item in doing.book.preps else ""
    return today.set_station(doing, _day(number), number.item, str(to) if to else own)


def _staying(doing: Doing, number: Number, to: Value, sure: bool) -> Did:
    return today.set_staying(doing, _day(number), number.item, time.fromisoformat(number.on), _whole(to))


def _missing(doing: Doing, number: Number, to: Value, sure: bool) -> Did:
    if to is None:
        return today.set_arrived(doing, number.item)
    return today.set_missing(doing, number.item, to if isinstance(to, datetime) else None)


def _cancelled(doing: Doing, number: Number, to: Value, sure: bool) -> Did:
    sitting = sitting_of(number)
    return services.set_cancelled(doing, sitting) if to else services.set_held(doing, sitting, None)


def _whole(to: Value) -> int | None:
    return cast(int | None, to)


SETTERS: Mapping[NumberKind, Callable[[Doing, Number, Value, bool], Did]] = {
    "covers": _covers,
    "count": _count,
    "percent": lambda doing, number, to, sure: tonight.set_percent(doing, sitting_of(number), _whole(to) or 0),
    "par": _par,
    "standing par": _par,
    "weekday par": _par,
    "cancelled": _cancelled,
    "off": _off,
    "portion": _portion,
    "hands": lambda doing, number, to, sure: today.set_hands(doing, _day(number), number.item, _whole(to)),
    "equipment": lambda doing, number, to, sure: today.set_equipment(doing, _day(number), number.item, _whole(to)),
    "given": _given,
    "staying": _staying,
    "missing": _missing,
}
"""How each is set, but for shares: those of one sitting are set together."""


def name(doing: Doing, number: Number) -> str:
    """A number in words: "Dinner 2026-10-31, share of Leek"."""
    kinds: dict[NumberKind, str] = {
        "covers": _("covers"),
        "percent": _("all pars"),
        "cancelled": _("cancelled or held"),
        "mix": _("share of {item}"),
        "count": _("count of {item}"),
        "off": _("{item} on or off the menu"),
        "par": _("par of {item}"),
        "standing par": _("standing par of {item}"),
        "weekday par": _("standing par of {item}, {day}"),
        "portion": _("{item} on a plate of {dish}"),
        "hands": _("cooks of {item}"),
        "equipment": _("places of {item}"),
        "given": _("who makes {item}"),
        "staying": _("{item}, a cook stays from {time}"),
        "missing": _("{item} missing"),
    }
    book = doing.book
    item = book.equipment[number.item].name if number.item in book.equipment else book.name(number.item)
    on = weekday(int(number.on)) if number.of == "weekday par" else ""
    item = station_name(doing, number.item) if number.of in ("hands", "staying") else item
    said = kinds[number.of].format(item=item, dish=book.name(number.on), day=on, time=number.on)
    return f"{tonight.named(doing, number.sitting)}, {said}" if number.sitting else said


def words(doing: Doing, number: Number, to: Value) -> str:
    """A value of a number in words."""
    if number.of == "cancelled":
        return _("cancelled") if to else _("held")
    if to is None:
        none = {"off": _("on"), "missing": _("not missing"), "staying": _("nobody stays")}
        return none.get(number.of, _("computed"))
    if isinstance(to, datetime):
        return _("until {time}").format(time=doing.time(to))
    if isinstance(to, str):
        return station_name(doing, to) if number.of == "given" else to or _("nobody knows until when")
    if number.of == "mix":
        return tonight.percent_text(Fraction(to))
    if number.of == "percent":
        return f"{int(to):+d} %"
    if number.of == "staying":
        return say_duration(int(to))
    amounts = ("par", "standing par", "weekday par", "portion")
    return tonight.amount_text(doing, number.item, int(to)) if number.of in amounts else str(to)
