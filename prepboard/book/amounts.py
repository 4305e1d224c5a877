"""Amounts: what a cook writes ("1½ kg", "2 deep sixth"), exact inside, and read back as a cook would say them.

Sums and conversions are exact fractions. What is stored and planned with is a whole number of *millionths*
of the base unit of a kind: gram, millilitre or each. Rounding happens once, on the way in.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from msgspec import Struct, field

from prepboard.book.names import every
from prepboard.book.plurals import several
from prepboard.texts import ENGLISH, _, later, told

Kind = Literal["mass", "volume", "count"]
_SAID: Mapping[Kind, str] = {"mass": later("mass"), "volume": later("volume"), "count": later("pieces")}

MILLION = 1_000_000
"""Millionths in one gram, one millilitre or one each."""

DUST = MILLION // 1000
"""Less than a thousandth of a base unit left in a batch closes it."""

MOST = 10**9 * MILLION
"""No kitchen holds a thousand tonnes, a million litres or a thousand million of anything."""


class AmountFault(ValueError):
    """An amount that cannot be read or does not fit; its text is a sentence for the person who wrote it."""


class Unit(Struct, frozen=True):
    kind: Kind
    size: Fraction
    """Base units (g, ml, each) in one of it."""


_INCH = Fraction("2.54")
_GALLON = 231 * _INCH**3  # ml; US gallon, NIST Handbook 44, appendix C: 231 cubic inches
_POUND = Fraction("453.59237")  # g; the international pound of 1959, exact by definition

UNITS: Mapping[str, Unit] = {
    "mg": Unit("mass", Fraction(1, 1000)),
    "g": Unit("mass", Fraction(1)),
    "kg": Unit("mass", Fraction(1000)),
    "oz": Unit("mass", _POUND / 16),
    "lb": Unit("mass", _POUND),
    "ml": Unit("volume", Fraction(1)),
    "l": Unit("volume", Fraction(1000)),
    "tsp": Unit("volume", _GALLON / 768),
    "tbsp": Unit("volume", _GALLON / 256),
    "fl-oz": Unit("volume", _GALLON / 128),
    "cup": Unit("volume", _GALLON / 16),
    "pint": Unit("volume", _GALLON / 8),
    "quart": Unit("volume", _GALLON / 4),
    "gal": Unit("volume", _GALLON),
    "each": Unit("count", Fraction(1)),
}

BASE: Mapping[Kind, str] = {"mass": "g", "volume": "ml", "count": "each"}

_HALVES = {"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_NUMBER = re.compile(
    r"\s*(?P<sign>-?)(?:(?P<whole>\d+(?:\.\d+)?|\.\d+))?(?:\s*(?P<part>\d+/\d+|[½⅓⅔¼¾⅛⅜⅝⅞]))?(?P<rest>.*)\Z", re.S
)
_BARE_FRACTION = re.compile(r"\s*(?P<sign>-?)(?P<part>\d+/\d+)(?P<rest>.*)\Z", re.S)


class Amount(Struct, frozen=True):
    """A number and the unit it was written with; a bare number has the unit ""."""

    number: Fraction
    unit: str


def _short(text: str) -> str:
    """A wrong text as it can be shown: short, and without characters that could move a cursor."""
    return "".join(c if c.isprintable() else "?" for c in text.strip()[:60])


_RANGE = re.compile(r"[\d.,]+[½¼¾]?\s*[-–—]\s*\d", re.A)


def read_number(text: str) -> tuple[Fraction, str]:
    """The number that `text` begins with ("1.5", "1 1/2", "1½", "¾"), and what follows it."""
    found = _BARE_FRACTION.match(text) or _NUMBER.match(text)
    if not found or not (found.groupdict().get("whole") or found["part"]):
        raise AmountFault(
            _("'{text}' does not begin with a number; write it like '1.2 kg' or '24 each'").format(text=_short(text))
        )
    part = found["part"]
    try:
        number = Fraction(found.groupdict().get("whole") or 0) + (Fraction(_HALVES.get(part, part)) if part else 0)
    except ZeroDivisionError:
        raise AmountFault(_("'{text}' divides by nothing").format(text=_short(text))) from None
    rest = found["rest"]
    if rest[:1] == ",":
        raise AmountFault(_("'{text}': write decimals with a point, '1.5', not a comma").format(text=_short(text)))
    return (-number if found["sign"] else number), rest.strip()


def check_no_range(text: str) -> None:
    """AmountFault for "10-15 kg": two numbers where a plan needs one."""
    found = _RANGE.match(text.strip())
    if found:
        said = _("'{text}' is from one number to another; write the one to plan with")
        raise AmountFault(said.format(text=_short(text)))


@lru_cache(maxsize=4096)
def read_amount(text: str) -> Amount:
    """Reads "1.2 kg", "1½ l", "2 deep sixth" or a bare number; never below nothing.

    Whether the unit is known depends on whose amount it is: `Measure.millionths` decides that.
    """
    if len(text) > 80:
        raise AmountFault(_("an amount is a number and a unit, like '1.2 kg'; this is a long text"))
    check_no_range(text)
    number, unit = read_number(text)
    if number < 0:
        raise AmountFault(_("'{text}' is less than zero").format(text=_short(text)))
    if number > MOST:
        raise AmountFault(_("'{text}' is more than any kitchen holds").format(text=_short(text)))
    return Amount(number, " ".join(unit.split()))


def to_millionths(base_units: Fraction) -> int:
    """Whole millionths, rounded half to even once."""
    return _millionths(base_units.numerator, base_units.denominator)


def _millionths(above: int, below: int) -> int:
    """The same of a fraction, reduced or not."""
    whole, rest = divmod(above * MILLION, below)
    if 2 * rest > below or (2 * rest == below and whole % 2):
        whole += 1
    if whole > MOST:
        raise AmountFault(_("that is more than any kitchen holds"))
    return whole


class Measure(Struct, frozen=True, gc=False):
    """How amounts of one prep or good are counted: its kind, its own unit, and what crosses kinds.

    `density` is grams in a millilitre; `each` is base units of `each_kind` in one piece; `containers` are
    millionths in one container; `names` and `plurals` are the book's own words for one and several of it, where it
    has any.
    """

    kind: Kind
    unit: str
    density: Fraction | None = None
    each: Fraction | None = None
    each_kind: Kind | None = None
    containers: Mapping[str, int] = field(default_factory=dict)
    plurals: Mapping[str, str] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)

    def millionths(self, amount: Amount) -> int:
        """The amount as whole millionths of this measure's base unit; raises `AmountFault` in words."""
        if (held := self.held(amount.unit)) is not None:
            return to_millionths(amount.number * held / MILLION)
        unit = UNITS.get(amount.unit or self.unit)
        if unit is None:
            raise AmountFault(_("'{unit}' is no unit that is known here").format(unit=_short(amount.unit)))
        if unit.kind == self.kind:
            number, size = amount.number, unit.size
            return _millionths(number.numerator * size.numerator, number.denominator * size.denominator)
        return to_millionths(amount.number * unit.size * self._across(unit.kind))

    def held(self, unit: str) -> int | None:
        """Millionths in the container of this name, said of one or of several, in any language of the book:
        "jug", "jugs"; None for no container."""
        if unit in self.containers or not self.containers:
            return self.containers.get(unit)
        return next((held for name, held in self.containers.items() if unit in self._words(name)), None)

    def one(self, container: str) -> str:
        """The word for one of a container, in the reader's language where the book has it."""
        return told(self.names.get(container, container))

    def several(self, container: str) -> str:
        """The word for more than one: the book's own, else as its language makes it."""
        return told(self.plurals.get(container) or several(container, ENGLISH))

    def _words(self, container: str) -> tuple[str, ...]:
        plural = self.plurals.get(container) or several(container, ENGLISH)
        return (*every(self.names.get(container, container)), *every(plural))

    def _across(self, kind: Kind) -> Fraction:
        """Base units of this measure's kind in one base unit of `kind`."""
        said, own = _(_SAID[kind]), _(_SAID[self.kind])
        if {kind, self.kind} == {"mass", "volume"}:
            if self.density is None:
                raise AmountFault(_("{kind} into {own} needs `density`").format(kind=said, own=own))
            return self.density if self.kind == "mass" else 1 / self.density
        if self.each is None or self.each_kind is None:
            raise AmountFault(_('{kind} into {own} needs `each`, such as each = "60 g"').format(kind=said, own=own))
        measured = kind if self.kind == "count" else self.kind
        step = Fraction(1)
        if measured != self.each_kind:
            if self.density is None:
                raise AmountFault(_("{kind} into {own} needs `density` beside `each`").format(kind=said, own=own))
            step = self.density if measured == "mass" else 1 / self.density
        one = self.each * step
        return 1 / one if self.kind == "count" else one

    def number(self, millionths: int) -> float:
        """In the item's own unit, for JSON and CSV."""
        return float(round(Fraction(millionths, MILLION) / UNITS[self.unit].size, 6))
