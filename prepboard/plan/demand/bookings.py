"""Bookings: what is usual for a service on a weekday, and how far a sitting's covers are from that."""

from __future__ import annotations

from datetime import date
from math import log

from msgspec.structs import replace

from prepboard.plan.given.learned import Common

_FADE, _FADE_WEEKDAY = 0.94, 0.97
_FIRST, _PRIOR, _MOST = 5.0, 3.0, 1.5


def weekday_key(service: str, day: date) -> str:
    return f"{service} {day.weekday()}"


def usual_covers(common: Common, service: str, key: str, booked: float) -> float:
    """The usual booking of a service on a weekday; what is booked, while none is known."""
    covers, sittings = common.bookings.get(service, (_FIRST * booked, _FIRST))
    level = covers / sittings
    of_weekday, expected = common.weekdays.get(key, (0.0, 0.0))
    return level * (of_weekday + _PRIOR * level) / (expected + _PRIOR * level) if level else booked


def above_usual(common: Common, service: str, key: str, booked: float) -> float:
    """How far booked covers are from usual: the logarithm of the one over the other, within 1.5."""
    usual = usual_covers(common, service, key, booked)
    if booked <= 0 or usual <= 0:
        return 0.0
    return max(-_MOST, min(_MOST, log(booked / usual)))


def learn_booked(common: Common, service: str, key: str, booked: float) -> Common:
    """What one sitting's booked covers teach about what is usual."""
    if booked <= 0:
        return common
    covers, sittings = common.bookings.get(service, (_FIRST * booked, _FIRST))
    of_weekday, expected = common.weekdays.get(key, (0.0, 0.0))
    level = covers / sittings
    factor = (of_weekday + _PRIOR * level) / (expected + _PRIOR * level)
    covers, sittings = _FADE * covers + booked, _FADE * sittings + factor
    seen = (_FADE_WEEKDAY * of_weekday + booked, _FADE_WEEKDAY * expected + (level + covers / sittings) / 2)
    return replace(
        common,
        bookings={**common.bookings, service: (covers, sittings)},
        weekdays={**common.weekdays, key: seen},
    )
