"""What people tell each other: lines of text until they are ticked off, tasks done, and the sign-off of a close."""

from __future__ import annotations

from datetime import date, datetime

from prepboard.book.book import Temperature
from prepboard.plan.given.guests import Guests, about_guests
from prepboard.plan.given.state import HandOver
from prepboard.store.actions.food.readings import read_within
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.nobody_here import check_read
from prepboard.store.food.probes import doubt, probe_name
from prepboard.store.food.refused import answer
from prepboard.store.food.running import station_name, under_way
from prepboard.store.food.taking import name_of
from prepboard.store.read.closes import last_end, unsigned_of
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.store.transaction.named import check_sitting, dish_of, station_of, task_of
from prepboard.store.transaction.shown import check_note
from prepboard.texts import _

LONGEST = 500
"""Characters of one note; what is longer is no line for the others."""


@action("note")
def note(doing: Doing, text: str, whom: str = "", *, action: str | None = None, at: datetime | None = None) -> Did:
    """A line for a station (its id), for whoever has a run (its code), for the benches of a sitting (`Guests.whom`),
    or, with "", for the whole kitchen. Refused for a sitting that is not held or a dish that is not there."""
    text = " ".join(text.split())
    if not text:
        raise Refused(_("there is nothing in the note"))
    if len(text) > LONGEST:
        raise Refused(_("a note has at most {n} characters").format(n=LONGEST))
    whom, named = _addressed(doing, whom)
    number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS next FROM notes")[0]["next"]
    row: Row = {
        "number": number,
        "at": instant_text(doing.now),
        "by": doing.who.by,
        "station": doing.who.station,
        "whom": whom,
        "text": text,
    }
    doing.put("notes", row)
    doing.log("note", after=text, why=whom)
    return doing.answer(_("note {number} for {whom}: {text}").format(number=number, whom=named, text=text))


@action("tick off")
def tick_off(
    doing: Doing, number: int,
    *, shown: HandOver | None = None, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A note has been seen to: the boards show it no more, the log keeps it. Refused when it is ticked off already, and
    when the one that was `shown` was undone and its number is another one's by now."""
    check_note(doing, shown)
    return _tick_off(doing, number)


@action("task")
def task(
    doing: Doing, day: date, task_id: str, reading: Temperature | None = None,
    *, probe: str = "", action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A task of the book is done for a business day, with its reading where one is asked, and the `probe` that it was
    taken with. Refused when it is done already, is none of that day, or its reading is missing."""
    found = task_of(doing, task_id)
    if day.weekday() not in found.weekdays:
        raise Refused(_("{task} is no task of {day}").format(task=found.name, day=doing.day(day)))
    row = doing.row("tasks_done", day=day.isoformat(), task=task_id)
    if row is not None:
        said = _("{task} was done at {time} by {by}")
        raise Refused(said.format(task=found.name, time=doing.time(instant(row["at"])), by=row["by"]))
    if found.reads and reading is None:
        raise Refused(_("{task} asks for a reading, such as 3 {unit}").format(task=found.name, unit=found.reads))
    if reading is not None and not found.reads:
        raise Refused(_("{task} asks for no reading").format(task=found.name))
    degrees = f"{float(reading.degrees):g}" if reading else None
    row = {
        "day": day.isoformat(),
        "task": task_id,
        "at": instant_text(doing.now),
        "by": doing.who.by,
        "station": doing.who.station,
        "degrees": degrees,
        "unit": reading.unit if reading else None,
        "probe": probe_name(probe) if reading else "",
    }
    doing.put("tasks_done", row)
    read = f"{degrees} °{reading.unit}" if reading else ""
    doing.log("task", after=read, why=found.name)
    if reading is not None and found.place in doing.book.places:
        said = read_within(doing, "place", found.place, reading, probe)
        return doing.answer(_("{task}: done. {said}").format(task=found.name, said=said))
    text = _("{task}: done, {reading}") if reading else _("{task}: done")
    in_doubt = doubt(doing, probe_name(probe)) if reading else ""
    return doing.answer("; ".join(filter(None, (text.format(task=found.name, reading=read), in_doubt))))


@action("sign")
def sign(
    doing: Doing, station: str, day: date | None = None,
    *, reads: str = "", action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A station's sign-off of a business day's close; without a day of the oldest one that it left open, else today's.

    Refused without initials, before the day's first service, while something of the station is to be discarded, and
    while something of it cools with its next limit after the last hands have gone, unless it is said who `reads` it.
    """
    return _sign(doing, station, day, reads)


def _addressed(doing: Doing, whom: str) -> tuple[str, str]:
    """Whom a note is for, as the file keeps it and as people say it."""
    if not whom:
        return "", _("everyone")
    if whom in doing.book.stations:
        return whom, doing.book.stations[whom].name
    guests = about_guests(whom)
    if guests is not None:
        return _of_sitting(doing, guests)
    run = under_way(doing, whom)
    return run["code"], _("run {run} of {name}").format(run=run["code"], name=doing.book.name(run["prep"]))


def _of_sitting(doing: Doing, guests: Guests) -> tuple[str, str]:
    check_sitting(doing, guests.sitting)
    service, day = guests.sitting
    found = doing.book.services[service]
    if not found.held_on(day):
        raise Refused(_("there is no {service} on {day}").format(service=found.name, day=doing.day(day)))
    if day < doing.book.kitchen.days.business_day(doing.now):
        raise Refused(_("{service} of {day} is over").format(service=found.name, day=doing.day(day)))
    dishes = [dish_of(doing, dish).name for dish in guests.dishes]
    when = _("{service} of {day}").format(service=found.name, day=doing.day(day))
    return guests.whom, ", ".join((when, *dishes))


def _tick_off(doing: Doing, number: int) -> Did:
    row = doing.row("notes", number=number)
    if row is None:
        raise Refused(_("there is no note {number}").format(number=number))
    if row["done_at"]:
        said = _("note {number} was ticked off at {time} by {by}")
        raise Refused(said.format(number=number, time=doing.time(instant(row["done_at"])), by=row["done_by"]))
    doing.put("notes", {"number": number, "done_at": instant_text(doing.now), "done_by": doing.who.by})
    doing.log("ticked off", before=row["text"], why=row["whom"])
    return doing.answer(_("ticked off: {text}").format(text=row["text"]))


def _sign(doing: Doing, station_id: str, day: date | None, reads: str) -> Did:
    station = station_of(doing, station_id)
    if not doing.who.by:
        raise Refused(_("a close is signed with initials"))
    day = day or _close_of(doing, station_id)
    row = doing.row("signed", day=day.isoformat(), station=station_id)
    if row is not None:
        said = _("{station} was signed at {time} by {by}")
        raise Refused(said.format(station=station.name, time=doing.time(instant(row["at"])), by=row["by"]))
    if day > doing.book.kitchen.days.business_day(doing.now) or last_end(doing.db, doing.book, day, doing.now) is None:
        raise Refused(_("no service of {day} has begun; there is no close to sign").format(day=doing.day(day)))
    _check_discarded(doing, station_id)
    check_read(doing, station_id, reads.strip())
    at = instant_text(doing.now)
    doing.put("signed", {"day": day.isoformat(), "station": station_id, "at": at, "by": doing.who.by})
    doing.log("signed", after=doing.who.by, why=f"{station_id} {day.isoformat()}")
    return doing.answer(
        _("{station}: close of {day} signed by {by}").format(
            station=station_name(doing, station_id), day=day.isoformat(), by=doing.who.by
        )
    )


def _close_of(doing: Doing, station: str) -> date:
    """The business day whose close a station signs now: the oldest that it left open, else today."""
    today = doing.book.kitchen.days.business_day(doing.now)
    return next((day for day in unsigned_of(doing.db, doing.book, doing.now, station)), today)


def _check_discarded(doing: Doing, station: str) -> None:
    """Refused while a batch of the station is past its use-by, or held back by a person or by its readings."""
    now = instant_text(doing.now)
    its_own = doing.rows("SELECT * FROM batches WHERE state = 'live' AND station = ? ORDER BY use_by, code", station)
    open_lines = [batch for batch in its_own if batch["made_at"] <= now and not answer(doing, batch).may]
    if open_lines:
        named = ", ".join(f"{name_of(doing, batch)} {batch['code']}" for batch in open_lines[:3])
        more = _(" and {n} more").format(n=len(open_lines) - 3) if len(open_lines) > 3 else ""
        raise Refused(_("still to be discarded: {batches}").format(batches=named + more))
