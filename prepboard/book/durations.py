"""How long something takes or keeps, read from what a chef wrote: "1 h 30 min", "5 days", "PT6H".

A reader returns a plain value, or raises `ValueError` with a sentence that says what was expected.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from prepboard.book.amounts import AmountFault, check_no_range, read_number
from prepboard.book.book import Life
from prepboard.book.values import shown
from prepboard.texts import _

LONGEST_WAIT = 366 * 24 * 3600
"""Seconds; what waits longer than a year is not planned from night to night."""
LONGEST_LIFE = 10 * 366
"""Days."""

_ISO = re.compile(r"P(?:(?P<w>\d+)W)?(?:(?P<d>\d+)D)?(?:T(?:(?P<h>\d+)H)?(?:(?P<m>\d+)M)?(?:(?P<s>\d+)S)?)?\Z", re.A)
_UNIT_WORD = re.compile(r"([a-z]+)\s*(.*)\Z", re.S)
_SECONDS = {
    **dict.fromkeys(("s", "sec", "second", "seconds"), 1),
    **dict.fromkeys(("min", "mins", "minute", "minutes"), 60),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 3600),
    **dict.fromkeys(("day", "days"), 86400),
    **dict.fromkeys(("week", "weeks"), 7 * 86400),
}
_ISO_SECONDS = {"w": 7 * 86400, "d": 86400, "h": 3600, "m": 60, "s": 1}


def _iso_parts(text: str) -> list[tuple[Fraction, int]] | None:
    found = _ISO.match(text)
    if not found or not any(found.groups()) or text.endswith("T"):
        return None
    return [(Fraction(int(n)), _ISO_SECONDS[part]) for part, n in found.groupdict().items() if n]


def _spoken_parts(text: str) -> list[tuple[Fraction, int]] | None:
    parts = []
    while text:
        try:
            number, rest = read_number(text)
        except AmountFault:
            return None
        word = _UNIT_WORD.match(rest)
        if number < 0 or word is None or word[1] not in _SECONDS:
            return None
        parts.append((number, _SECONDS[word[1]]))
        text = word[2]
    return parts


def _duration(value: object, longest: int) -> list[tuple[Fraction, int]]:
    """The (number, seconds of the unit) pairs that a duration is written with."""
    text = value.strip() if isinstance(value, str) else ""
    parts = (_iso_parts(text) or _spoken_parts(text)) if len(text) <= 60 else None
    if not parts:
        check_no_range(text)
        raise ValueError(
            _('expected a duration like "45 min", "1 h 30 min" or "2 days", not {value}').format(value=shown(value))
        )
    if _sum(parts) > longest:
        raise ValueError(_("{value} is longer than anything planned here").format(value=shown(text)))
    return parts


def read_seconds(value: object, longest: int = LONGEST_WAIT) -> Fraction:
    """A duration in seconds: "30 s", "45 min", "1 h 30 min", "1½ h", "2 days", "PT6H"."""
    return _seconds(value, longest) if isinstance(value, str) else _sum(_duration(value, longest))


@lru_cache(maxsize=1024)
def _seconds(text: str, longest: int) -> Fraction:
    """Remembered, because a book says the same few durations over and over."""
    return _sum(_duration(text, longest))


def _sum(parts: list[tuple[Fraction, int]]) -> Fraction:
    return sum((number * unit for number, unit in parts), Fraction(0))


def whole_seconds(seconds: Fraction) -> int:
    """Seconds, rounded up."""
    return -(-seconds.numerator // seconds.denominator)


def whole_minutes(seconds: Fraction) -> int:
    """Minutes, rounded up."""
    return -(-seconds.numerator // (60 * seconds.denominator))


def read_life(value: object) -> Life:
    """How long something keeps: "5 days" counts days, "36 h" counts hours."""
    return _life(value) if isinstance(value, str) else _life_of(value)


@lru_cache(maxsize=1024)
def _life(text: str) -> Life:
    """Remembered, as the durations are."""
    return _life_of(text)


def _life_of(value: object) -> Life:
    parts = _duration(value, LONGEST_LIFE * 86400)
    seconds = _sum(parts)
    if seconds < 60:
        raise ValueError(_("something that keeps for no time cannot be held ready"))
    if any(unit < 86400 for _number, unit in parts):
        return Life(minutes=int(seconds // 60))
    if seconds % 86400:
        raise ValueError(_('days are counted whole; write hours for less, like "36 h"'))
    return Life(days=int(seconds // 86400))


def read_joins(value: object) -> int | None:
    """ "2 days" is 2, "none" is None."""
    if value == "none":
        return None
    seconds = read_seconds(value, 60 * 86400)
    if seconds % 86400:
        raise ValueError(_('expected whole days, like "2 days", or "none"'))
    return int(seconds // 86400)
