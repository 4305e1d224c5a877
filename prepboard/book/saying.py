"""Amounts, sizes and durations as a cook would say them.

Rounded to about three figures, for people; nothing that is there is ever shown as 0.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import Literal, TypedDict

from prepboard.book.amounts import MILLION, UNITS, Kind, Measure
from prepboard.texts import _, decimal, is_keeping, keep_fact, kept_as

_GLYPHS: tuple[tuple[Fraction, str], ...] = (
    (Fraction(1, 4), "¼"),
    (Fraction(1, 3), "⅓"),
    (Fraction(1, 2), "½"),
    (Fraction(2, 3), "⅔"),
    (Fraction(3, 4), "¾"),
)
_US_VOLUMES = (("gal", Fraction(1)), ("quart", Fraction(1)), ("cup", Fraction(1, 4)), ("tbsp", Fraction(1)))
"""US volumes, each with the least of it that is still said in it; below all of them it is teaspoons."""
_PLURALS = {"quart": "quarts", "cup": "cups"}

_MANY_POUNDS = 10


class _Held(TypedDict, total=False):
    """What a kept amount knows of its containers."""

    containers: dict[str, int]
    plurals: dict[str, str]
    names: dict[str, str]


def _decimal(number: Fraction) -> str:
    """About three figures: 1234, 123, 12.3, 1.23, 0.0123."""
    places = 0
    while number * 10**places < 100 and places < 9:
        places += 1
    rounded = f"{float(round(number, places)):.{places}f}"
    return decimal(rounded.rstrip("0").rstrip(".")) if "." in rounded else rounded


def _with_fractions(number: Fraction) -> str:
    """As `_decimal`, but "13½" where a half, third or quarter is meant."""
    whole, part = divmod(number, 1)
    for value, glyph in _GLYPHS:
        if abs(part - value) * 500 <= value:
            return f"{whole or ''}{glyph}"
    return _decimal(number)


def _metric(base: Fraction, small: str, large: str) -> str:
    """Grams and kilograms, millilitres and litres; what would round to 1000 of the small is 1 of the large."""
    if round(base) >= 1000:
        return f"{_decimal(base / 1000)} {large}"
    return f"{_decimal(base)} {small}"


def _us_mass(grams: Fraction) -> str:
    pounds = grams / UNITS["lb"].size
    if pounds >= _MANY_POUNDS:
        return f"{_with_fractions(pounds)} lb"
    ounces = grams / UNITS["oz"].size
    if ounces < 16:
        return f"{_with_fractions(ounces)} oz" if round(ounces, 1) < 16 else "1 lb"
    whole, rest = divmod(round(ounces * 4) / Fraction(4), 16)
    return f"{whole} lb {_with_fractions(rest)} oz" if rest else f"{whole} lb"


def _us_volume(millilitres: Fraction) -> str:
    for unit, least in _US_VOLUMES:
        number = millilitres / UNITS[unit].size
        if number >= least * Fraction(995, 1000):
            said = _with_fractions(number)
            return f"{said} {unit if number <= 1 or said == '1' else _PLURALS.get(unit, unit)}"
    return f"{_with_fractions(millilitres / UNITS['tsp'].size)} tsp"


def _in_container(measure: Measure, millionths: int) -> str | None:
    """ "2 deep sixths" where an amount is so many whole or half containers; the largest that fits."""
    for name, held in sorted(measure.containers.items(), key=lambda pair: -pair[1]):
        halves = Fraction(2 * millionths, held)
        whole = round(halves)
        if whole and abs(halves - whole) * 200 <= whole:
            return f"{_with_fractions(Fraction(whole, 2))} {measure.one(name) if whole <= 2 else measure.several(name)}"
    return None


def _pieces(number: Fraction) -> str:
    """Pieces carry no unit and are whole, but for the halves, thirds and quarters that kitchens have: "80", "13½".

    Other parts, which only reckoning makes, go to the next whole piece, below ten to the next half.
    """
    said = _with_fractions(number)
    if any(said.endswith(glyph) for _value, glyph in _GLYPHS):
        return said
    if number >= 10:
        return str(round(number))
    return _with_fractions(max(Fraction(round(number * 2), 2), Fraction(1, 4)) if number else number)


@lru_cache(maxsize=4096)
def _plain(kind: Kind, millionths: int, units: Literal["metric", "us"], half: str) -> str:
    """The same amounts stand on a board minute after minute. `half` is how the language writes a half, by which signs
    it is known whose words these are."""
    base = Fraction(millionths, MILLION)
    if kind == "count":
        return _pieces(base)
    if kind == "mass":
        return _us_mass(base) if units == "us" else _metric(base, "g", "kg")
    return _us_volume(base) if units == "us" else _metric(base, "ml", "l")


def say_amount(measure: Measure, millionths: int, units: Literal["metric", "us"] = "metric") -> str:
    """An amount of a prep or a good: "1.2 kg", "13½" of pieces, "2 deep sixths (4.4 l)", "2 lb 4 oz"."""
    if is_keeping():
        containers, plurals = dict(measure.containers), dict(measure.plurals)
        inside: _Held = {"containers": containers, "plurals": plurals} if containers else {}
        if containers and measure.names:
            inside["names"] = dict(measure.names)
        return keep_fact("amount", measure.kind, measure.unit, millionths, units, inside)
    if millionths < 0:
        return "-" + say_amount(measure, -millionths, units)
    plain = _plain(measure.kind, millionths, units, decimal("0.5"))
    held = _in_container(measure, millionths)
    return f"{held} ({plain})" if held else plain


def say_not_there(missing: Iterable[tuple[str, str]], frozen: Iterable[tuple[str, str]]) -> str:
    """What is not there, and what is there and not thawed, of names and amounts, "" for one that nobody counts:
    "not there: roll dough 6 kg, butter; still frozen: stock 2 l"."""
    absent, ice = (", ".join(f"{name} {amount}".rstrip() for name, amount in foods) for foods in (missing, frozen))
    said = _("not there: {food}").format(food=absent) if absent else ""
    still = _("still frozen: {food}").format(food=ice) if ice else ""
    return "; ".join(filter(None, (said, still)))


def say_size(size: Fraction) -> str:
    """A size in recipes: "½ recipe", "1 recipe", "1½ recipes"."""
    if is_keeping():
        return keep_fact("size", str(size))
    text = _("{n} recipe") if size <= 1 else _("{n} recipes")
    return text.format(n=_with_fractions(size))


def say_duration(minutes: int) -> str:
    """ "45 min", "2 h", "2 h 05", "3 days 4 h"."""
    if minutes < 0:
        return "-" + say_duration(-minutes)
    hours, rest = divmod(minutes, 60)
    if hours >= 48:
        days, hours = divmod(hours, 24)
        said = _("{days} days").format(days=days)
        return f"{said} {_('{hours} h').format(hours=hours)}" if hours else said
    if not hours:
        return _("{minutes} min").format(minutes=rest)
    if not rest:
        return _("{hours} h").format(hours=hours)
    return _("{hours} h {minutes:02d}").format(hours=hours, minutes=rest)


def _say_kept_amount(kind: Kind, unit: str, millionths: int, units: Literal["metric", "us"], held: _Held) -> str:
    return say_amount(Measure(kind, unit, **held), millionths, units)


kept_as("amount", _say_kept_amount)
kept_as("size", lambda size: say_size(Fraction(size)))


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The known word that is most like `word`, or None when none is much like it."""
    lowered = {known.lower(): known for known in words}
    close = difflib.get_close_matches(word.lower()[:120], lowered, n=1, cutoff=0.6)
    return lowered[close[0]] if close else None
