"""Tonight's numbers: what a sous chef sets for one sitting, and standing pars for good."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import datetime
from fractions import Fraction

from prepboard.book.saying import say_amount
from prepboard.plan.given.state import Sitting
from prepboard.store.file.who import Did, Refused
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.store.transaction.named import check_sitting, dish_of, prep_of, sitting_key, span
from prepboard.store.transaction.saying import weekday
from prepboard.texts import _

MOST_COVERS = 20_000
LEAST_PERCENT, MOST_PERCENT = -90, 300


@action("covers")
def covers(
    doing: Doing, sitting: Sitting, n: int, came: bool = False,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """How many guests are booked for a sitting, or with `came` how many really came."""
    return set_covers(doing, sitting, n, came)


@action("mix")
def mix(
    doing: Doing, sitting: Sitting, shares: Mapping[str, Fraction],
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """The share of the covers that takes each of these dishes. Refused when a course comes to more than 1."""
    return set_mix(doing, sitting, shares)


@action("count for")
def count_for(
    doing: Doing, sitting: Sitting, dish: str, n: int,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A fixed count of portions of a dish for one sitting."""
    return set_count(doing, sitting, dish, n)


@action("par")
def par(
    doing: Doing, sitting: Sitting, prep: str, amount: int | None,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A par by hand for one sitting, in millionths; None goes back to the computed one."""
    return set_par(doing, sitting, prep, amount)


@action("standing par")
def standing(
    doing: Doing, prep: str, amount: int | None, weekdays: Collection[int] = (),
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """A standing par for good, in millionths; None goes back to the book's. With `weekdays`, Monday 0, it is that of
    these days only."""
    return set_standing(doing, prep, amount, weekdays)


@action("adjust")
def adjust(
    doing: Doing, sitting: Sitting, percent: int,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """All computed pars of a sitting by so many per cent more or, below 0, less."""
    return set_percent(doing, sitting, percent)


def set_covers(doing: Doing, sitting: Sitting, n: int, came: bool) -> Did:
    check_sitting(doing, sitting)
    if not 0 <= n <= MOST_COVERS:
        raise Refused(_("{n} covers cannot be").format(n=n))
    if not came:
        keep_at_start(doing, sitting)
    before = _set_service(doing, sitting, "came" if came else "covers", n)
    booked = doing.book.services[sitting[0]].covers.on(sitting[1])
    known = before if before is not None or came else booked
    doing.log("came" if came else "covers", before=_text(known), after=str(n), why=where(sitting))
    said = _("{service}: {n} came") if came else _("{service}: {n} covers")
    return doing.answer(said.format(service=named(doing, sitting), n=n))


def keep_at_start(doing: Doing, sitting: Sitting) -> None:
    """Once a service has begun, keeps what was booked by then before its covers are set to something else: that is
    what history learns of bookings by."""
    day, service = sitting_key(sitting)
    row = doing.row("services", day=day, service=service)
    starts, _ends = span(doing, sitting, row["moved_to"] if row else None)
    if doing.now < starts or (row and row["at_start"] is not None):
        return
    known = row["covers"] if row and row["covers"] is not None else doing.book.services[service].covers.on(sitting[1])
    doing.put("services", {"day": day, "service": service, "at_start": known or 0})


def set_mix(doing: Doing, sitting: Sitting, shares: Mapping[str, Fraction]) -> Did:
    check_sitting(doing, sitting)
    day, service = sitting_key(sitting)
    for dish_id, share in shares.items():
        dish = dish_of(doing, dish_id)
        if share < 0:
            raise Refused(_("{dish}: a share is never less than zero").format(dish=dish.name))
        row = doing.row("mixes", day=day, service=service, dish=dish_id)
        before = Fraction(row["share"]) if row else dish.share
        doing.put("mixes", {"day": day, "service": service, "dish": dish_id, "share": str(share)})
        doing.log("mix", dish=dish_id, before=percent_text(before), after=percent_text(share), why=where(sitting))
    _check_courses(doing, sitting)
    return doing.answer(_("{service}: mix set").format(service=named(doing, sitting)))


def _check_courses(doing: Doing, sitting: Sitting) -> None:
    day, service = sitting_key(sitting)
    rows = doing.rows("SELECT dish, share FROM mixes WHERE day = ? AND service = ?", day, service)
    tonight = {row["dish"]: Fraction(row["share"]) for row in rows}
    courses: dict[str, Fraction] = defaultdict(Fraction)
    for dish in doing.book.dishes.values():
        offered = (dish.first_day or sitting[1]) <= sitting[1] <= (dish.last_day or sitting[1])
        if dish.course and service in dish.services and offered:
            courses[dish.course] += tonight.get(dish.id, dish.share)
    for course, share in courses.items():
        if share > 1:
            raise Refused(
                _("the dishes of {course} come to {share}; a guest takes one of them").format(
                    course=course, share=percent_text(share)
                )
            )


def set_count(doing: Doing, sitting: Sitting, dish_id: str, n: int) -> Did:
    check_sitting(doing, sitting)
    dish = dish_of(doing, dish_id)
    if not 0 <= n <= MOST_COVERS:
        raise Refused(_("{n} portions cannot be").format(n=n))
    day, service = sitting_key(sitting)
    row = doing.row("counts", day=day, service=service, dish=dish_id)
    doing.put("counts", {"day": day, "service": service, "dish": dish_id, "n": n})
    doing.log("count for", dish=dish_id, before=_text(row["n"] if row else None), after=str(n), why=where(sitting))
    return doing.answer(_("{dish}: {n} for {service}").format(dish=dish.name, n=n, service=named(doing, sitting)))


def set_par(doing: Doing, sitting: Sitting, prep_id: str, amount: int | None) -> Did:
    check_sitting(doing, sitting)
    prep = prep_of(doing, prep_id)
    day, service = sitting_key(sitting)
    before = doing.row("pars", day=day, service=service, prep=prep_id)
    if amount is None:
        doing.drop("pars", day=day, service=service, prep=prep_id)
    else:
        _check_par(amount)
        doing.put("pars", {"day": day, "service": service, "prep": prep_id, "amount": amount})
    _log_par(doing, "par", prep_id, before["amount"] if before else None, amount, where(sitting))
    said = _("{name}: par {amount} by hand") if amount is not None else _("{name}: par now computed")
    return doing.answer(said.format(name=prep.name, amount=amount_text(doing, prep_id, amount)))


def set_standing(doing: Doing, prep_id: str, amount: int | None, weekdays: Collection[int] = ()) -> Did:
    prep = prep_of(doing, prep_id)
    if amount is not None:
        _check_par(amount)
    keys: list[tuple[str, Row]] = [("standing_by_weekday", {"prep": prep_id, "weekday": on}) for on in sorted(weekdays)]
    for table, key in keys or _every_day(doing, prep_id, amount):
        before = doing.row(table, **key)
        if amount is None:
            doing.drop(table, **key)
        else:
            doing.put(table, {**key, "amount": amount})
        on = weekday(key["weekday"]) if "weekday" in key else ""
        _log_par(doing, "standing par", prep_id, before["amount"] if before else None, amount, on)
    name = " ".join([prep.name, *map(weekday, sorted(weekdays))])
    said = _("{name}: standing par {amount}") if amount is not None else _("{name}: standing par as in the book")
    return doing.answer(said.format(name=name, amount=amount_text(doing, prep_id, amount)))


def _every_day(doing: Doing, prep_id: str, amount: int | None) -> list[tuple[str, Row]]:
    """What a standing par without weekdays sets; going back to the book's, the weekdays' own go too."""
    own = doing.rows("SELECT prep, weekday FROM standing_by_weekday WHERE prep = ?", prep_id) if amount is None else []
    return [("standing_pars", {"prep": prep_id}), *(("standing_by_weekday", key) for key in own)]


def set_percent(doing: Doing, sitting: Sitting, percent: int) -> Did:
    check_sitting(doing, sitting)
    if not LEAST_PERCENT <= percent <= MOST_PERCENT:
        raise Refused(_("pars go by {least} to {most} %").format(least=LEAST_PERCENT, most=MOST_PERCENT))
    before = _set_service(doing, sitting, "percent", percent)
    doing.log("adjust", before=f"{before or 0:+d} %", after=f"{percent:+d} %", why=where(sitting))
    return doing.answer(
        _("{service}: computed pars {percent:+d} %").format(service=named(doing, sitting), percent=percent)
    )


def _set_service(doing: Doing, sitting: Sitting, column: str, value: int) -> int | None:
    """Sets one number of a sitting; answers what was set before."""
    day, service = sitting_key(sitting)
    row = doing.row("services", day=day, service=service)
    doing.put("services", {"day": day, "service": service, column: value})
    return row[column] if row else None


def _check_par(amount: int) -> None:
    if amount < 0:
        raise Refused(_("a par is never less than zero"))


def _log_par(doing: Doing, did: str, prep: str, before: int | None, after: int | None, why: str) -> None:
    doing.log(did, prep=prep, before=amount_text(doing, prep, before), after=amount_text(doing, prep, after), why=why)


def amount_text(doing: Doing, prep: str, amount: int | None) -> str:
    return "" if amount is None else say_amount(doing.book.measure(prep), amount, doing.book.kitchen.units)


def named(doing: Doing, sitting: Sitting) -> str:
    return f"{doing.book.services[sitting[0]].name} {doing.day(sitting[1])}"


def where(sitting: Sitting) -> str:
    return f"{sitting[0]}.{sitting[1].isoformat()}"


def percent_text(share: Fraction) -> str:
    return f"{float(share * 100):.4g} %"


def _text(value: int | None) -> str:
    return "" if value is None else str(value)
