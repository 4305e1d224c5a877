"""Readings: a temperature, of what and when it was measured, and whether it is within a limit of the rule book.

A code prints its pairs of °C and °F rounded, so a reading is compared in the unit that was measured: 57 °C and 135 °F
are both just hot enough, though 57 °C is 134.6 °F.
"""

from __future__ import annotations

import re
from datetime import datetime
from fractions import Fraction
from typing import Literal, cast

from msgspec import Struct

from prepboard.book.rules import RuleBook, is_heat, said_degrees

Unit = Literal["C", "F"]
Kind = Literal["batch", "run", "place", "goods"]

COLDEST, HOTTEST = Fraction(-90), Fraction(400)
"""Degrees C that a kitchen's probe can show; anything else is a slip of the finger."""

_READ = re.compile(r"\s*([-+−]?\d{1,4}(?:\.\d{1,2})?)\s*°?\s*([CcFf])?\s*\Z")


class Reading(Struct, frozen=True):
    """One temperature of a batch, a run, a place or a good, as it was measured. `of` is its code or id.

    `meant` is what it was judged as: a key of the rule book ("hot_holding", "cold_holding", "reheat", ...),
    "cooling", "core", or "" where no limit applies.
    """

    of: str
    kind: Kind
    at: datetime
    degrees: Fraction
    unit: Unit
    by: str = ""
    meant: str = ""
    doubtful: bool = False
    """It improves no verdict, and a bad one counts: typed long after it was taken, or taken with a probe that was found
    out of tolerance."""

    @property
    def said(self) -> str:
        """ "21.5 °C"."""
        return said_degrees(self.degrees, self.unit)


def read_degrees(text: str, usual: Unit) -> tuple[Fraction, Unit]:
    """What a cook types: "63", "63.5 C", "145F"; a bare number is in the kitchen's `usual` unit.

    ValueError when it is no temperature that a kitchen's probe can show.
    """
    found = _READ.match(text)
    if not found:
        raise ValueError(text)
    degrees = Fraction(found[1].replace("−", "-"))
    unit = cast(Unit, found[2].upper() if found[2] else usual)
    if not COLDEST <= on_scale(degrees, unit, "C") <= HOTTEST:
        raise ValueError(text)
    return degrees, unit


def on_scale(degrees: Fraction, unit: str, wanted: str) -> Fraction:
    """The same temperature on another scale, exactly."""
    if unit == wanted:
        return degrees
    return degrees * Fraction(9, 5) + 32 if wanted == "F" else (degrees - 32) * Fraction(5, 9)


def limit_of(rules: RuleBook, key: str, unit: str) -> Fraction | None:
    """The rule book's limit in the unit that was measured, as the code prints it; None where it has none."""
    return rules.degrees(key, unit)


def within(rules: RuleBook, key: str, reading: Reading) -> bool:
    """Whether a reading keeps a limit; limits are inclusive ("or above", "or less"), and so are those not printed."""
    limit = limit_of(rules, key, reading.unit)
    if limit is None:
        return True
    return reading.degrees >= limit if is_heat(key) else reading.degrees <= limit
