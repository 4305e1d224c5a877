"""What is different today: hands and ovens more or fewer, another bench for a prep, goods that did not come.

All of it is for one business day, but for goods: they are missing until they arrive. A new book changes none of it.
"""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from prepboard.book.saying import say_duration
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.running import station_name
from prepboard.store.transaction.doing import Doing, action
from prepboard.store.transaction.named import equipment_of, goods_of, prep_of, station_of
from prepboard.texts import _, some

MOST = 99
"""Cooks at one station, or places of one piece of equipment; more is a slip of the finger."""
LONGEST_STAY = 240
"""Minutes: who stays longer works another shift."""


@action("hands")
def hands(
    doing: Doing, day: date, station: str, n: int | None,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """How many cooks are at a station on a business day; None is the book's number again."""
    return set_hands(doing, day, station, n)


@action("equip")
def equip(
    doing: Doing, day: date, equipment: str, n: int | None,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """How many places of a piece of equipment work on a business day; None is the book's number again."""
    return set_equipment(doing, day, equipment, n)


@action("give")
def give(
    doing: Doing, day: date, prep: str, station: str,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """Another station makes a prep on a business day; its own station takes it back."""
    return set_station(doing, day, prep, station)


@action("stay")
def stay(
    doing: Doing, day: date, station: str, since: time, minutes: int | None,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """One cook of a station is there from a wall-clock time of a business day on for so many minutes, in a break or
    after hours; None: nobody stays then. Refused for more than four hours, and where the station keeps no hours."""
    return set_staying(doing, day, station, since, minutes)


@action("missing goods")
def missing(
    doing: Doing, goods: str, until: datetime | None = None,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """Goods are not there; `until` says when they come, None that nobody knows. Refused when that is over."""
    return set_missing(doing, goods, until)


@action("arrived")
def arrived(doing: Doing, goods: str, *, action: str | None = None, at: datetime | None = None) -> Did:
    """Goods that were missing are there. Refused when they were not missing."""
    return set_arrived(doing, goods)


def set_hands(doing: Doing, day: date, station_id: str, n: int | None) -> Did:
    station = station_of(doing, station_id)
    usual = station.cooks.on(day) or 0
    before = _set(doing, "hands", usual, n, day=day.isoformat(), station=station_id)
    now = usual if n is None else n
    doing.log("hands", before=str(before), after=str(now), why=f"{station_id} {day.isoformat()}")
    said = _("{station}: {cooks}, {day}, as the book has it") if now == usual else _("{station}: {cooks}, {day}")
    cooks = some("{n} cook", "{n} cooks", now)
    return doing.answer(said.format(station=station.name, cooks=cooks, day=doing.day(day)))


def set_equipment(doing: Doing, day: date, equipment_id: str, n: int | None) -> Did:
    equipment = equipment_of(doing, equipment_id)
    usual = equipment.places
    before = _set(doing, "equipment_that_works", usual, n, day=day.isoformat(), equipment=equipment_id)
    now = usual if n is None else n
    doing.log("equip", before=str(before), after=str(now), why=f"{equipment_id} {day.isoformat()}")
    said = _("{name}: {n} of {usual} work on {day}").format(name=equipment.name, n=now, usual=usual, day=doing.day(day))
    return doing.answer(said)


def set_station(doing: Doing, day: date, prep_id: str, station_id: str) -> Did:
    prep, station = prep_of(doing, prep_id), station_of(doing, station_id)
    key = {"day": day.isoformat(), "prep": prep_id}
    row = doing.row("given", **key)
    before = row["station"] if row else prep.station
    if before == station_id:
        raise Refused(_("{name} is made by {station} already").format(name=prep.name, station=station.name))
    if station_id == prep.station:
        doing.drop("given", **key)
    else:
        doing.put("given", {**key, "station": station_id})
    doing.log("give", prep=prep_id, before=before, after=station_id, why=day.isoformat())
    said = _("{name}: made by {station} on {day}, not by {before}")
    return doing.answer(
        said.format(name=prep.name, station=station.name, day=doing.day(day), before=station_name(doing, before))
    )


def set_staying(doing: Doing, day: date, station_id: str, since: time, minutes: int | None) -> Did:
    station = station_of(doing, station_id)
    if station.hours is None:
        raise Refused(_("{station} keeps no hours: somebody is always there").format(station=station.name))
    if minutes and not 0 < minutes <= LONGEST_STAY:
        raise Refused(_("{n} min cannot be; at most {most}").format(n=minutes, most=LONGEST_STAY))
    key = {"day": day.isoformat(), "station": station_id, "since": f"{since:%H:%M}"}
    row = doing.row("staying", **key)
    if minutes:
        doing.put("staying", {**key, "minutes": minutes})
    elif row is None:
        raise Refused(_("nobody stays at {station} from {time}").format(station=station.name, time=key["since"]))
    else:
        doing.drop("staying", **key)
    before = str(row["minutes"]) if row else ""
    doing.log("stay", before=before, after=str(minutes or ""), why=f"{station_id} {day.isoformat()} {key['since']}")
    said = _("{station}: a cook stays from {time}, {minutes}") if minutes else _("{station}: nobody stays from {time}")
    return doing.answer(said.format(station=station.name, time=key["since"], minutes=say_duration(minutes or 0)))


def set_missing(doing: Doing, goods_id: str, until: datetime | None) -> Did:
    goods = goods_of(doing, goods_id)
    if until is not None and until <= doing.now:
        raise Refused(_("{time} is over; say when {name} will come").format(time=doing.time(until), name=goods.name))
    row = doing.row("missing", goods=goods_id)
    since = row["since"] if row else instant_text(doing.now)
    comes = instant_text(until) if until else None
    doing.put("missing", {"goods": goods_id, "since": since, "until": comes})
    doing.log("not there", prep=goods_id, before=(row["until"] or "") if row else "", after=comes or "")
    said = _("{name} is missing until {time}") if until else _("{name} is missing")
    return doing.answer(said.format(name=goods.name, time=doing.time(until) if until else ""))


def set_arrived(doing: Doing, goods_id: str) -> Did:
    if doing.row("missing", goods=goods_id) is None:
        name = goods_of(doing, goods_id).name
        raise Refused(_("{name} was not missing").format(name=name))
    doing.drop("missing", goods=goods_id)
    doing.log("arrived", prep=goods_id)
    return doing.answer(_("{name} is there").format(name=doing.book.name(goods_id)))


def _set(doing: Doing, table: str, usual: int, n: int | None, **key: Any) -> int:
    """Sets a number for a day, or leaves it to the book where it is the book's; answers what it was before."""
    if n is not None and not 0 <= n <= MOST:
        raise Refused(_("{n} cannot be").format(n=n))
    row = doing.row(table, **key)
    if n is None or n == usual:
        doing.drop(table, **key)
    else:
        doing.put(table, {**key, "n": n})
    return int(row["n"]) if row else usual
