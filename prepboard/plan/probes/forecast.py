"""Cooling ahead: when food that is on its way down will reach the next limit, and how sure that is.

Food in a cold place comes down to the place's temperature E as T(t) = E + (T0 - E)·exp(-k·t). The readings give T0 and
k by weighted least squares on ln(T - E); when a limit will be reached is the quotient of two fitted figures, so its
interval is Fieller's (E. C. Fieller, "Some problems in interval estimation", J. R. Stat. Soc. B 16, 1954), widened by
what the place's temperature may be wrong by. It is a forecast to act on, never a reading: readings decide.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from fractions import Fraction
from math import inf, log, sqrt
from typing import Literal

from msgspec import Struct

from prepboard.book.book import Temperature
from prepboard.book.rules import RuleBook
from prepboard.book.safety.cooling import Cooling, Limit, guidance
from prepboard.book.safety.temperatures import Reading, limit_of, on_scale

SURE = 1.645
"""Standard errors to each side: nine times in ten the limit is reached between `earliest` and `latest`."""

READING_OFF = 0.5
"""Standard error of a reading, degrees C: a probe good to ±1 °C (FDA Food Code 4-203.11, from memory), taken as two."""

PLACE_OFF = 0.75
"""Standard error of a place's temperature, degrees C: an air thermometer good to ±1.5 °C (4-203.12, from memory)."""

USUAL_COLD = Fraction(3)
"""Degrees C of a cold place that nobody read and the book gives none for: common practice, no source."""

MOST_READINGS = 6
"""Older readings than these are of another slope: the core lags when cooling begins."""

Verdict = Literal["in time", "may be late", "too late", "not cooling", "one reading", "unread"]
"""What the readings promise; "unread" where nobody took one on the way down."""


class Forecast(Struct, frozen=True):
    """When a limit will be reached; `latest` is None when nothing shows that it will be at all."""

    at: datetime
    earliest: datetime
    latest: datetime | None


class CoolingLine(Struct, frozen=True):
    """Food on its way down: the limit to mind, in the unit that was read, and what the readings promise for it."""

    of: str
    kind: Literal["batch", "run"]
    prep: str
    cooling: Cooling
    limit: Limit
    to: Temperature
    forecast: Forecast | None
    verdict: Verdict
    late_minutes: int


def next_limit(
    of: str, kind: Literal["batch", "run"], prep: str, cooling: Cooling, rules: RuleBook, place: Temperature | None
) -> CoolingLine | None:
    """The limit to mind of one way down: the first that will be late, else that may be, else the next; None when none
    is ahead. `place` is the temperature of where it cools."""
    found: list[CoolingLine] = []
    for limit in cooling.limits:
        if limit.state == "open":
            found.append(_line(of, kind, prep, cooling, limit, rules, place))
    for verdict in ("too late", "not cooling", "may be late"):
        for line in found:
            if line.verdict == verdict:
                return line
    return found[0] if found else None


def _line(
    of: str,
    kind: Literal["batch", "run"],
    prep: str,
    cooling: Cooling,
    limit: Limit,
    rules: RuleBook,
    place: Temperature | None,
) -> CoolingLine:
    sound = [one for one in cooling.readings if not one.doubtful] or cooling.readings
    readings = [*([cooling.top] if cooling.top else []), *sound]
    unit = readings[-1].unit
    to = limit_of(rules, limit.to, unit)
    assert to is not None, limit.to
    cold = on_scale(place.degrees, place.unit, unit) if place else on_scale(USUAL_COLD, "C", unit)
    if guidance(rules):  # It asks for the cold by then, not for a temperature.
        return CoolingLine(of, kind, prep, cooling, limit, Temperature(to, unit), None, "one reading", 0)
    forecast = reached(readings, float(to), float(cold)) if len(readings) > 1 else None
    verdict, late = _verdict(readings, forecast, limit.due)
    return CoolingLine(of, kind, prep, cooling, limit, Temperature(to, unit), forecast, verdict, late)


def _verdict(readings: Sequence[Reading], forecast: Forecast | None, due: datetime) -> tuple[Verdict, int]:
    if len(readings) < 2:
        return "one reading", 0
    if forecast is None:
        return "not cooling", 0
    if forecast.at > due:
        return "too late", -(-int((forecast.at - due).total_seconds()) // 60)
    return ("may be late" if forecast.latest is None or forecast.latest > due else "in time"), 0


def reached(readings: Sequence[Reading], to: float, cold: float) -> Forecast | None:
    """When food will be at `to`, in a place at `cold`, both in the unit of the last reading; None when it never will
    by these readings. Two readings at least."""
    unit = readings[-1].unit
    scale = 1.8 if unit == "F" else 1.0
    points = [(one.at, float(on_scale(one.degrees, one.unit, unit))) for one in readings[-MOST_READINGS:]]
    begins = points[0][0]
    minutes = [((at - begins).total_seconds() / 60, degrees) for at, degrees in points]
    best = _crossing(minutes, to, cold, READING_OFF * scale)
    if best is None:
        return None
    middle, low, high = best
    off = SURE * PLACE_OFF * scale
    warmer, colder = (_crossing(minutes, to, cold + by, READING_OFF * scale) for by in (off, -off))
    slower = warmer[0] - middle if warmer else inf
    faster = middle - colder[0] if colder else 0.0
    latest = middle + sqrt((high - middle) ** 2 + slower**2) if high < inf and slower < inf else None
    earliest = middle - sqrt((middle - low) ** 2 + max(0.0, faster) ** 2)
    return Forecast(
        _after(begins, middle),
        _after(begins, earliest),
        _after(begins, latest) if latest is not None and latest < _TOO_FAR else None,
    )


_TOO_FAR = 60.0 * 24 * 7
"""Minutes; a week is no forecast."""


def _after(begins: datetime, minutes: float) -> datetime:
    return begins + timedelta(minutes=min(minutes, _TOO_FAR))


def _crossing(
    points: Sequence[tuple[float, float]], to: float, cold: float, off: float
) -> tuple[float, float, float] | None:
    """Minutes at which the fitted curve passes `to`, and Fieller's interval; None where it does not come down to it."""
    above = [(at, degrees - cold) for at, degrees in points if degrees - cold > off]
    if len(above) < 2 or to <= cold:
        return None
    weights = [(over / off) ** 2 for _at, over in above]
    heights = [log(over) for _at, over in above]
    total = sum(weights)
    centre = sum(weight * at for weight, (at, _over) in zip(weights, above, strict=True)) / total
    level = sum(weight * height for weight, height in zip(weights, heights, strict=True)) / total
    spread = sum(weight * (at - centre) ** 2 for weight, (at, _over) in zip(weights, above, strict=True))
    if spread <= 0:
        return None
    slope = (
        sum(
            weight * (at - centre) * height for weight, (at, _over), height in zip(weights, above, heights, strict=True)
        )
        / spread
    )
    if slope >= 0:
        return None
    down = log(to - cold) - level
    # Scatter beyond what the probe explains widens the interval.
    rest = sum(
        weight * (height - level - slope * (at - centre)) ** 2
        for weight, (at, _over), height in zip(weights, above, heights, strict=True)
    )
    widened = SURE**2 * max(1.0, rest / (len(above) - 2) if len(above) > 2 else 1.0)
    return centre + down / slope, *_fieller(slope, down, widened / total, widened / spread, centre)


def _fieller(slope: float, down: float, level_part: float, slope_part: float, centre: float) -> tuple[float, float]:
    """The d with (slope·d - down)² <= level_part + slope_part·d², from `centre` on; without an end where the slope is
    not sure to fall."""
    square = slope**2 - slope_part
    half = slope * down
    rest = down**2 - level_part
    root = sqrt(max(0.0, half**2 - square * rest))
    if square <= 0:
        return centre + (half - root) / square if square else centre, inf
    return centre + (half - root) / square, centre + (half + root) / square
