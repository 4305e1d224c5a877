"""Bookings: what is usual for a service on a weekday, and how far a sitting's covers are from that."""

from __future__ import annotations

from datetime import date
from math import log

from msgspec.structs import replace

from prepboard.plan.demand.weekdays import differ, evidence
from prepboard.plan.given.learned import Common

_FADE = 0.98
_FIRST, _MOST = 5.0, 1.5
_SCATTER, _SCATTER_WEIGHS, _LEAST_SCATTER = 0.04, 3.0, 0.0004
_DIFFER, _DIFFER_WEIGHS = 0.01, 1.0


def weekday_key(service: str, day: date) -> str:
    return f"{service} {day.weekday()}"


def usual_covers(common: Common, service: str, key: str, booked: float) -> float:
    """The usual booking of a service on a weekday; what is booked, while none is known."""
    covers, sittings = common.bookings.get(service, (_FIRST * booked, _FIRST))
    level = covers / sittings
    return level * _factor(common, service, key, level) if level else booked


def _factor(common: Common, service: str, key: str, level: float) -> float:
    """Of a weekday, against the service's level: it counts as far as the service's weekdays differ."""
    squares, weight = common.booked_above
    scatter = level * max(_LEAST_SCATTER, (squares + _SCATTER_WEIGHS * _SCATTER) / (weight + _SCATTER_WEIGHS))
    of_service = (seen for name, seen in common.weekdays.items() if name.rpartition(" ")[0] == service)
    prior = scatter / differ(evidence(of_service, scatter), _DIFFER, _DIFFER_WEIGHS)
    booked, expected = common.weekdays.get(key, (0.0, 0.0))
    return (booked + prior) / (expected + prior)


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
    level, above = covers / sittings, above_usual(common, service, key, booked)
    squares, weight = common.booked_above
    factor = _factor(common, service, key, level)
    covers, sittings = _FADE * covers + booked, _FADE * sittings + factor
    seen = (_FADE * of_weekday + booked, _FADE * expected + (level + covers / sittings) / 2)
    return replace(
        common,
        bookings={**common.bookings, service: (covers, sittings)},
        weekdays={**common.weekdays, key: seen},
        booked_above=(_FADE * squares + above * above, _FADE * weight + 1),
    )
