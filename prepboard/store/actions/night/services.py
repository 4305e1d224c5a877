"""Sittings that the book does not have, and sittings of the book that are not held."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date, datetime, time
from fractions import Fraction

from msgspec import Struct, field

from prepboard.plan.given.numbers import far_more
from prepboard.plan.given.state import Sitting, Tonight
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Did, Refused, Unsure, Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction.doing import Doing, act, action
from prepboard.store.transaction.named import check_sitting, dish_of, sitting_key, span
from prepboard.store.transaction.shown import check_begins
from prepboard.texts import _, some

MOST_COVERS = 20_000


class NewService(Struct, frozen=True):
    """A sitting of its own: its name, its wall-clock times, who comes, and what they eat."""

    name: str
    starts: time
    ends: time
    covers: int
    like: str = ""
    """The service whose dishes, menus and shares it has."""
    counts: Mapping[str, int] = field(default_factory=dict)
    """Fixed counts of dishes, as a function has them; then nothing else is served."""
    over: Fraction = Fraction(0)


def hold(
    file: KitchenFile, who: Who, sitting: Sitting, covers: int | None = None,
    *, usual: int | None = None, sure: bool = False, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A service of the book is held on a business day on which it is not, or after all. Refused where it is held;
    Unsure for more than three times the `usual` guests, until `sure`."""
    _check_usual(covers, usual, sure)
    return act(file, who, "add service", lambda doing: set_held(doing, sitting, covers), action=action, at=at)


def add_service(
    file: KitchenFile, who: Who, day: date, new: NewService,
    *, usual: int | None = None, sure: bool = False, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A sitting of its own on one business day. Refused when its name is taken, or nothing is served at it; Unsure for
    more than three times the `usual` guests, until `sure`."""
    _check_usual(new.covers, usual, sure)
    return act(file, who, "add service", lambda doing: _add(doing, day, new), action=action, at=at)


@action("cancel service")
def cancel(doing: Doing, sitting: Sitting, *, action: str | None = None, at: datetime | None = None) -> Did:
    """A sitting is not held. Refused when there is none that day."""
    return set_cancelled(doing, sitting)


@action("end service")
def end_service(doing: Doing, sitting: Sitting, *, action: str | None = None, at: datetime | None = None) -> Did:
    """The last plate of a sitting is out. Refused before its written end, and when it is over already."""
    check_sitting(doing, sitting)
    day, service = sitting_key(sitting)
    row = doing.row("services", day=day, service=service)
    named = _named(doing, sitting)
    if row and row["ended"]:
        raise Refused(_("{service} was ended at {time}").format(service=named, time=doing.time(instant(row["ended"]))))
    starts, ends = span(doing, sitting, row["moved_to"] if row else None)
    if doing.now < starts:
        raise Refused(_("{service} has not begun").format(service=named))
    if doing.now < ends:
        said = _("{service} is written to {time}, and guests may come until then; end it after that")
        raise Refused(said.format(service=named, time=doing.time(ends)))
    doing.put("services", {"day": day, "service": service, "ended": instant_text(doing.now)})
    doing.log("ended", why=f"{service}.{day}")
    return doing.answer(_("{service} is over: the last plate is out").format(service=named))


@action("move service")
def move_service(
    doing: Doing, sitting: Sitting, to: time | None,
    *, shown: Tonight | None = None, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A sitting begins at another wall-clock time of its business day, and all its guests and its end with it; None is
    the written time again. Refused once it has begun, for a moment that is over, and when it is not as `shown`."""
    check_sitting(doing, sitting)
    check_begins(doing, sitting, shown)
    day, service = sitting_key(sitting)
    row = doing.row("services", day=day, service=service)
    named, written = _named(doing, sitting), doing.book.services[service].starts
    before = row["moved_to"] if row else None
    starts, _ends = span(doing, sitting, before)
    if doing.now >= starts:
        raise Refused(_("{service} began at {time}").format(service=named, time=doing.time(starts)))
    to = None if to == written else to
    moved, ends = span(doing, sitting, f"{to:%H:%M}" if to else None)
    if moved <= doing.now:
        raise Refused(_("{time} is over").format(time=doing.time(moved)))
    doing.put("services", {"day": day, "service": service, "moved_to": f"{to:%H:%M}" if to else None})
    was = before or f"{written:%H:%M}"
    doing.log("moved service", before=was, after=f"{to or written:%H:%M}", why=f"{service}.{day}")
    said = _("{service} begins at {time}, not at {was}; it ends at {ends}")
    return doing.answer(said.format(service=named, time=doing.time(moved), was=was, ends=doing.time(ends)))


def _check_usual(covers: int | None, usual: int | None, sure: bool) -> None:
    if not sure and covers is not None and covers <= MOST_COVERS and far_more(covers, usual):
        said = _("{amount} is more than three times what is usual, {usual}")
        raise Unsure(said.format(amount=some("{n} cover", "{n} covers", covers), usual=usual))


def service_key(name: str) -> str:
    """The id of a service that was added by its name: "Lantern dinner" is "lantern-dinner"."""
    return re.sub(r"[^\w]+", "-", name.casefold()).strip("-")


def set_held(doing: Doing, sitting: Sitting, covers: int | None) -> Did:
    check_sitting(doing, sitting)
    day, service = sitting_key(sitting)
    row = doing.row("services", day=day, service=service)
    cancelled = bool(row and row["cancelled"])
    held = doing.book.services[service].held_on(sitting[1])
    if held and not cancelled:
        raise Refused(_("{service} is held already").format(service=_named(doing, sitting)))
    if not held:
        doing.put("added_services", {"day": day, "service": service})
    values = {} if covers is None else {"covers": _checked(covers)}
    doing.put("services", {"day": day, "service": service, "cancelled": 0, **values})
    after = "" if covers is None else str(covers)
    doing.log("added", before=_("cancelled") if cancelled else "", after=after, why=f"{service}.{day}")
    return doing.answer(_("{service} is held").format(service=_named(doing, sitting)))


def _add(doing: Doing, day: date, new: NewService) -> Did:
    key = service_key(new.name)
    if not key:
        raise Refused(_("a service needs a name"))
    if key in doing.book.services:
        raise Refused(_("there is a service {service} already").format(service=doing.book.services[key].name))
    if new.like and new.like not in doing.book.services:
        raise Refused(_("no service is called {service}").format(service=new.like))
    if not new.like and not new.counts:
        raise Refused(_("what is served at {name}? name a service that it is like, or counts").format(name=new.name))
    _check_counts(doing, new)
    row = {
        "day": day.isoformat(),
        "service": key,
        "name": new.name,
        "starts": f"{new.starts:%H:%M}",
        "ends": f"{new.ends:%H:%M}",
        "covers": _checked(new.covers),
        "like": new.like,
        "counts": json.dumps(dict(new.counts)),
        "over": str(new.over),
    }
    doing.put("added_services", row)
    doing.log("added", after=str(new.covers), why=f"{key}.{day.isoformat()}")
    said = _("{name}: {n} covers on {day}, {starts} to {ends}")
    return doing.answer(
        said.format(name=new.name, n=new.covers, day=doing.day(day), starts=row["starts"], ends=row["ends"])
    )


def _check_counts(doing: Doing, new: NewService) -> None:
    """Counts of a course above the covers are a fault, as in the book."""
    courses: dict[str, int] = {}
    for dish_id, n in new.counts.items():
        dish = dish_of(doing, dish_id)
        if n < 0:
            raise Refused(_("{n} portions cannot be").format(n=n))
        if dish.course:
            courses[dish.course] = courses.get(dish.course, 0) + n
    for course, n in courses.items():
        if n > new.covers:
            said = _("the counts of {course} come to {n}, and {covers} guests come")
            raise Refused(said.format(course=course, n=n, covers=new.covers))
    if new.over < 0:
        raise Refused(_("a margin is never less than zero"))


def set_cancelled(doing: Doing, sitting: Sitting) -> Did:
    check_sitting(doing, sitting)
    day, service = sitting_key(sitting)
    row = doing.row("services", day=day, service=service)
    if not doing.book.services[service].held_on(sitting[1]):
        raise Refused(_("there is no {service}").format(service=_named(doing, sitting)))
    if row and row["cancelled"]:
        raise Refused(_("{service} is cancelled already").format(service=_named(doing, sitting)))
    doing.put("services", {"day": day, "service": service, "cancelled": 1})
    doing.log("cancelled", why=f"{service}.{day}")
    return doing.answer(_("{service} is cancelled").format(service=_named(doing, sitting)))


def _checked(covers: int) -> int:
    if not 0 <= covers <= MOST_COVERS:
        raise Refused(_("{n} covers cannot be").format(n=covers))
    return covers


def _named(doing: Doing, sitting: Sitting) -> str:
    return f"{doing.book.services[sitting[0]].name} {doing.day(sitting[1])}"
