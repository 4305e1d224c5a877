"""Courses: what a function counts of one course goes out at once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import NoReturn

from msgspec import Struct

from prepboard.plan.given.fixed_counts import rest_of
from prepboard.plan.given.state import Sitting, Tonight
from prepboard.store.actions.night.service import put_out
from prepboard.store.file.who import Did, Refused
from prepboard.store.transaction.doing import Doing, action
from prepboard.store.transaction.named import check_sitting, sitting_key
from prepboard.store.transaction.shown import check_dish, refuse_moved
from prepboard.texts import _


class Seen(Struct, frozen=True):
    """What a screen showed of a course: the plates of each dish that would go out, and what it knew of the sitting."""

    plates: dict[str, int]
    tonight: Tonight


@action("plate")
def send_course(
    doing: Doing, sitting: Sitting, course: str,
    *, shown: Seen | None = None, sure: bool = False, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """All plates that a function counts of a course's dishes and that are not out yet go out, as one change; a dish
    that is taken off stays. Refused where none is left to go out, where some went out since it was `shown`, and as
    `plate` is."""
    check_sitting(doing, sitting)
    counts = _counts(doing, sitting)
    dishes = [dish for dish in counts if dish in doing.book.dishes and doing.book.dishes[dish].course == course]
    named = doing.book.services[sitting[0]].name
    if not doing.book.services[sitting[0]].function or not dishes:
        raise Refused(_("{service} counts no dish of a course {course}").format(service=named, course=course))
    for dish in dishes:
        check_dish(doing, sitting, dish, shown.tonight if shown else None)
    day, service = sitting_key(sitting)
    rows = doing.rows(
        "SELECT dish, sum(n - back) AS n FROM plates WHERE day = ? AND service = ? AND again = '' GROUP BY dish",
        day, service,
    )  # fmt: skip
    off = {row["dish"] for row in doing.rows("SELECT dish FROM taken_off WHERE day = ? AND service = ?", day, service)}
    row = doing.row("services", day=day, service=service) or {}
    out = {row["dish"]: row["n"] for row in rows}
    rest = rest_of({dish: counts[dish] for dish in dishes if dish not in off}, out, row.get("percent") or 0)
    if not rest:
        raise Refused(_("{service}, {course}: all of it is out already").format(service=named, course=course))
    if shown is not None and rest != shown.plates:
        _refuse_other(doing, sitting, dishes)
    said = [put_out(doing, sitting, dish, n, "", sure).text for dish, n in rest.items()]
    return doing.answer("; ".join(said))


def _refuse_other(doing: Doing, sitting: Sitting, dishes: Sequence[str]) -> NoReturn:
    """Other plates are left to go out than the screen showed: says who sent the last ones."""
    day, service = sitting_key(sitting)
    rows = doing.rows("SELECT number, dish FROM plates WHERE day = ? AND service = ? ORDER BY number", day, service)
    last = [row["number"] for row in rows if row["dish"] in dishes]
    refuse_moved(doing, "plates", number=last[-1] if last else 0)


def _counts(doing: Doing, sitting: Sitting) -> dict[str, int]:
    """The counts of the book, and those set for the sitting."""
    day, service = sitting_key(sitting)
    tonight = doing.rows("SELECT dish, n FROM counts WHERE day = ? AND service = ?", day, service)
    return {**(doing.book.services[service].counts or {}), **{row["dish"]: row["n"] for row in tonight}}
