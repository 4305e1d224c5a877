"""A small plot of food cooling: the readings, what is expected, and the limits, in lines of plain text.

Dots of braille, two across and four down in each cell; "●" is a reading, "┄" a limit up to the moment it is due.
"""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise

from msgspec import Struct

from prepboard.book.rules import RuleBook, said_degrees
from prepboard.book.safety.cooling import Cooling
from prepboard.book.safety.temperatures import limit_of, on_scale
from prepboard.paper.text.plain import wide
from prepboard.paper.text.saying import Voice
from prepboard.plan.probes.forecast import Forecast

_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of a braille cell: four rows of two."""

_LEAST = 24
"""Narrower than this nothing can be read off a plot."""


class _Field(Struct, dict=True):
    """Cells of a plot, from time and degrees to dots."""

    begins: datetime
    ends: datetime
    top: float
    bottom: float
    width: int
    height: int

    def __post_init__(self) -> None:
        self.bits = [[0] * self.width for _row in range(self.height)]
        self.signs: dict[tuple[int, int], str] = {}

    def across(self, at: datetime) -> float:
        """Dots from the left."""
        part = (at - self.begins) / (self.ends - self.begins)
        return max(0.0, min(1.0, part)) * (self.width * 2 - 1)

    def down(self, degrees: float) -> float:
        """Dots from the top."""
        return max(0.0, min(1.0, (self.top - degrees) / (self.top - self.bottom))) * (self.height * 4 - 1)

    def cell(self, at: datetime, degrees: float) -> tuple[int, int]:
        return round(self.down(degrees)) // 4, round(self.across(at)) // 2

    def line(self, one: tuple[datetime, float], other: tuple[datetime, float], *, every: int = 1) -> None:
        """Dots from one point to another; every second or third where it is only expected."""
        (x, y), (to_x, to_y) = ((self.across(at), self.down(degrees)) for at, degrees in (one, other))
        steps = max(1, round(max(abs(to_x - x), abs(to_y - y))))
        for step in range(0, steps + 1, every):
            across, down = round(x + (to_x - x) * step / steps), round(y + (to_y - y) * step / steps)
            self.bits[down // 4][across // 2] |= _DOTS[down % 4][across % 2]

    def row(self, number: int) -> str:
        signs = (self.signs.get((number, column)) for column in range(self.width))
        return "".join(
            sign or (chr(0x2800 + bits) if bits else " ") for sign, bits in zip(signs, self.bits[number], strict=True)
        )


def curve(
    cooling: Cooling, forecast: Forecast | None, rules: RuleBook, voice: Voice, width: int = 60, height: int = 8
) -> list[str]:
    """The plot in `height` lines and one of times below, none wider than `width` cells, in the unit last read."""
    unit = cooling.readings[-1].unit
    points = [
        (reading.at, float(on_scale(reading.degrees, reading.unit, unit)))
        for reading in (*((cooling.top,) if cooling.top else ()), *cooling.readings)
    ]
    marks = [(limit, limit_of(rules, limit.to, unit)) for limit in cooling.limits]
    levels = [(limit, float(level)) for limit, level in marks if level is not None]
    hot = limit_of(rules, "hot_holding", unit)
    labels = {float(level): said_degrees(level, unit) for _limit, level in marks if level is not None}
    if hot is not None:
        labels[float(hot)] = said_degrees(hot, unit)
    margin = max(wide(text) for text in labels.values()) + 2
    every = [degrees for _at, degrees in points] + list(labels)
    ends = max([limit.due for limit, _level in levels] + [at for at, _degrees in points])
    field = _Field(cooling.begins, ends, max(every), min(every), max(width - margin, _LEAST), height)
    for limit, level in levels:
        row, last = field.cell(limit.due, level)
        for column in range(last + 1):
            field.signs[row, column] = "┄" if column < last else "┤"
    for one, other in pairwise(points):
        field.line(one, other)
    coming = cooling.next
    if forecast and coming:
        level = next(level for limit, level in levels if limit is coming)
        if forecast.at > points[-1][0]:
            field.line(points[-1], (forecast.at, level), every=3)
    _let_dots_show(field)
    for at, degrees in points:
        field.signs[field.cell(at, degrees)] = "●"
    by_row = {field.cell(ends, level)[0]: text for level, text in labels.items()}
    lines = [f"{by_row.get(number, ''):>{margin - 2}} │{field.row(number)}".rstrip() for number in range(height)]
    return [*lines, _times(field, cooling, margin, voice)]


def _let_dots_show(field: _Field) -> None:
    """Where the curve crosses a limit, the curve is drawn."""
    for row, column in list(field.signs):
        if field.bits[row][column] and field.signs[row, column] == "┄":
            del field.signs[row, column]


def _times(field: _Field, cooling: Cooling, margin: int, voice: Voice) -> str:
    """When it began and when each limit is due, below the plot, as far as they do not run into one another."""
    line = " " * (margin - 1) + "└"
    for at in (cooling.begins, *(limit.due for limit in cooling.limits)):
        text, place = voice.wall(at), margin + int(field.across(at)) // 2
        place = min(place, margin + field.width - wide(text))
        if place >= wide(line) + (1 if len(line) > margin else 0):
            line += " " * (place - wide(line)) + text
    return line
