"""Checks of what is sold: services and functions, dishes with their shares, set menus."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, time
from decimal import Decimal
from fractions import Fraction

from prepboard.book import values
from prepboard.book.reading.checking.kitchen import minutes_into_day, weekly
from prepboard.book.reading.checking.unknown_names import ids_by_name, refer, refer_to_item
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.written import BookWritten, DishWritten, MenuWritten, ServiceWritten
from prepboard.texts import _


def offered_in(book: BookWritten, services: Iterable[str] | None) -> tuple[str, ...]:
    """The services of a dish or menu; unless said, all that are no functions."""
    if services is not None:
        return tuple(dict.fromkeys(services))
    return tuple(id_ for id_, service in book.services.items() if service.on is None)


def evening(arrivals: Mapping[time, Fraction], starts: time) -> tuple[tuple[time, Fraction], ...]:
    """Arrivals in the order of the evening: what is before `starts` on the clock is after midnight."""
    return tuple(sorted(arrivals.items(), key=lambda pair: minutes_into_day(pair[0], starts)))


def check_services(book: BookWritten, findings: Findings) -> None:
    """Services, dishes and menus."""
    for id_, service in book.services.items():
        _service(("services", id_), service, book, findings)
    for id_, dish in book.dishes.items():
        _dish(("dishes", id_), dish, book, findings)
    for id_, menu in book.menus.items():
        _menu(("menus", id_), menu, book, findings)
    for id_ in book.services:
        _course_shares(id_, book, findings)
        _menu_shares(id_, book, findings)


def _service(path: KeyPath, service: ServiceWritten, book: BookWritten, findings: Findings) -> None:
    for key, clock in (("starts", service.starts), ("ends", service.ends)):
        if clock is None:
            findings.missing(path, key, _('a service needs `{key}`, a time like "17:30"').format(key=key))
    if service.on is not None:
        for key in ("days", "not_on"):
            if getattr(service, key) is not None:
                said = _("a function is once, `on` its day; `{key}` does not belong there").format(key=key)
                findings.add((*path, key), said)
    if service.starts is not None:
        _service_times(path, service, service.starts, book.day_starts, findings)
        _plating(path, service, service.starts, book, findings)
    if service.covers is not None and findings.sound((*path, "covers")):
        _covers(path, service, findings)
    if service.counts is not None:
        _counts(path, service, book, findings)


def _service_times(path: KeyPath, service: ServiceWritten, starts: time, day_starts: time, findings: Findings) -> None:
    if service.ends == starts:
        findings.add((*path, "ends"), _("ends when it starts"))
    if service.set_by and minutes_into_day(service.set_by, day_starts) > minutes_into_day(starts, day_starts):
        findings.add((*path, "set_by"), _("is after the service starts"))
    at = (*path, "arrivals")
    if service.arrivals is None or not findings.sound(at):
        return
    curve = evening(service.arrivals, starts)
    if not curve or curve[0][0] != starts:
        findings.add(at, _('the first time must be `starts`, "{clock}"').format(clock=starts.strftime("%H:%M")))
    if service.ends and curve:
        length = minutes_into_day(service.ends, starts) or 1440
        for clock, _share in curve:
            if minutes_into_day(clock, starts) >= length:
                findings.add(
                    (*at, clock.strftime("%H:%M")),
                    _("is outside the service, which ends at {ends}").format(ends=service.ends.strftime("%H:%M")),
                )
    total = sum((share for _clock, share in curve), Fraction(0))
    if total != 1:
        findings.add(at, _("the shares add up to {total}, not to 1").format(total=_plain(total)))


def _plating(path: KeyPath, service: ServiceWritten, starts: time, book: BookWritten, findings: Findings) -> None:
    """Courses are plated while a function lasts, and only what is counted is plated by courses."""
    if service.counts is None:
        for key, is_there in (("courses", service.courses is not None), ("plate_up", bool(service.plate_up))):
            if is_there:
                findings.add((*path, key), _("belongs to a function, a service with `counts`"))
        return
    length = (minutes_into_day(service.ends, starts) or 1440) if service.ends else None
    counted = {book.dishes[dish].course for dish in service.counts if dish in book.dishes}
    courses = sorted(course for course in counted if course)
    for course, clock in (service.courses or {}).items():
        if course not in counted:
            refer(findings, (*path, "courses", course), course, courses, "course")
        elif length is not None and minutes_into_day(clock, starts) >= length:
            said = _("is outside the service, {starts} to {ends}")
            findings.add(
                (*path, "courses", course), said.format(starts=f"{starts:%H:%M}", ends=f"{service.ends:%H:%M}")
            )
    if length is not None and service.plate_up >= length * 60:
        findings.add((*path, "plate_up"), _("is not shorter than the service"))


def _held_days(service: ServiceWritten) -> tuple[int, ...]:
    if service.on is not None:
        return (service.on.weekday(),)
    if service.days is None:
        return tuple(range(7))
    return tuple(values.WEEKDAYS.index(day) for day in service.days)


def _covers(path: KeyPath, service: ServiceWritten, findings: Findings) -> None:
    covers = weekly(service.covers, None)
    without = [values.WEEKDAYS[day] for day in _held_days(service) if covers[day] is None]
    if without and findings.sound((*path, "days")):
        findings.add(
            (*path, "covers"), _("names no covers for {days}; add them, or `else`").format(days=", ".join(without))
        )


def _counts(path: KeyPath, service: ServiceWritten, book: BookWritten, findings: Findings) -> None:
    """Guests of a function take one dish of a course each, so a course cannot count more than the covers."""
    by_course: dict[str, int] = {}
    for dish, count in (service.counts or {}).items():
        refer(findings, (*path, "counts", dish), dish, book.dishes, "dish")
        course = book.dishes[dish].course if dish in book.dishes else None
        if course:
            by_course[course] = by_course.get(course, 0) + count
    covers = weekly(service.covers, None)
    held = [guests for guests in (covers[day] for day in _held_days(service)) if guests is not None]
    for course, count in by_course.items():
        if held and count > min(held):
            findings.add(
                (*path, "counts"),
                _("the course '{course}' counts {count}, more than the {covers} covers").format(
                    course=course, count=count, covers=min(held)
                ),
            )


def _dish(path: KeyPath, dish: DishWritten, book: BookWritten, findings: Findings) -> None:
    for number, service in enumerate(dish.services or ()):
        refer(findings, (*path, "services", number), service, book.services, "service")
    if dish.course is not None and dish.share > 1:
        findings.add(
            (*path, "share"), _("a guest takes at most one dish of a course; a share above 1 goes without `course`")
        )
    if dish.first_day and dish.last_day and dish.last_day < dish.first_day:
        findings.add((*path, "until"), _("is before `from`"))
    for item in dish.plate:
        if item not in book.preps and item not in book.goods:
            refer_to_item(findings, (*path, "plate", item), item, [*book.preps, *book.goods], ids_by_name(book))


def _menu(path: KeyPath, menu: MenuWritten, book: BookWritten, findings: Findings) -> None:
    for number, service in enumerate(menu.services or ()):
        refer(findings, (*path, "services", number), service, book.services, "service")
    if not menu.dishes:
        findings.missing(path, "dishes", _("a menu needs `dishes`"))
    by_course: dict[str, str] = {}
    for number, id_ in enumerate(menu.dishes):
        at = (*path, "dishes", number)
        refer(findings, at, id_, book.dishes, "dish")
        if id_ in menu.dishes[:number]:
            findings.add(at, _("'{dish}' stands here twice").format(dish=id_))
            continue
        course = book.dishes[id_].course if id_ in book.dishes else None
        if course and course in by_course:
            findings.add(
                at,
                _("'{dish}' and '{other}' are both of the course '{course}'; a guest takes one of a course").format(
                    dish=id_, other=by_course[course], course=course
                ),
            )
        elif course:
            by_course[course] = id_


def _course_shares(service: str, book: BookWritten, findings: Findings) -> None:
    """Shares of a course add up to at most 1 on every day that a dish comes in or goes."""
    courses: dict[str, dict[str, DishWritten]] = {}
    for id_, dish in book.dishes.items():
        if dish.course is not None and dish.share <= 1 and service in offered_in(book, dish.services):
            courses.setdefault(dish.course, {})[id_] = dish
    for course, dishes in courses.items():
        days = {dish.first_day or date.min for dish in dishes.values()}
        total, shares = max((_on_offer(dishes, day) for day in sorted(days)), key=lambda found: found[0])
        if total > 1:
            said = _("the shares of the course '{course}' at {service} add up to {total}, more than 1: {shares}")
            findings.add(
                ("dishes", list(dishes)[-1], "share"),
                said.format(course=course, service=service, total=_plain(total), shares=", ".join(shares)),
            )


def _on_offer(dishes: Mapping[str, DishWritten], day: date) -> tuple[Fraction, list[str]]:
    """The shares of what is offered on a day, in all and each by its id."""
    there = {id_: d.share for id_, d in dishes.items() if (d.first_day or day) <= day <= (d.last_day or day)}
    return sum(there.values(), Fraction(0)), [f"{id_} {_plain(share)}" for id_, share in there.items() if share]


def _menu_shares(service: str, book: BookWritten, findings: Findings) -> None:
    there = [id_ for id_, menu in book.menus.items() if service in offered_in(book, menu.services)]
    total = sum((book.menus[id_].share for id_ in there), Fraction(0))
    if total > 1:
        findings.add(
            ("menus", there[-1], "share"),
            _("the menus at {service} add up to {total}, more than 1").format(service=service, total=_plain(total)),
        )


def _plain(number: Fraction) -> str:
    """The exact decimal where there is one, so that a total just above 1 never reads as 1."""
    return f"{(Decimal(number.numerator) / Decimal(number.denominator)).normalize():f}"
