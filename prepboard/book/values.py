"""The small values of a book (names, times, durations, temperatures, shares), read from what a chef wrote.

Every reader takes what TOML gave and returns a plain value, or raises `ValueError` with a sentence that says what
was expected.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from prepboard.book.amounts import Amount, AmountFault, read_amount, read_number
from prepboard.book.book import Life, Temperature
from prepboard.texts import _

LONGEST_NAME = 120
LONGEST_NOTE = 4000
LONGEST_ID = 60
LONGEST_WAIT = 366 * 24 * 3600
"""Seconds; what waits longer than a year is not planned from night to night."""
LONGEST_LIFE = 10 * 366
"""Days."""

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})\Z", re.A)
_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})\Z", re.A)
_DEGREES = re.compile(r"([-+]?\d{1,4}(?:\.\d{1,3})?)\s*°?\s*([CF])\Z", re.A)
_ISO = re.compile(r"P(?:(?P<w>\d+)W)?(?:(?P<d>\d+)D)?(?:T(?:(?P<h>\d+)H)?(?:(?P<m>\d+)M)?(?:(?P<s>\d+)S)?)?\Z", re.A)
_UNIT_WORD = re.compile(r"([a-z]+)\s*(.*)\Z", re.S)
_SECONDS = {
    **dict.fromkeys(("s", "sec", "second", "seconds"), 1),
    **dict.fromkeys(("min", "minute", "minutes"), 60),
    **dict.fromkeys(("h", "hour", "hours"), 3600),
    **dict.fromkeys(("day", "days"), 86400),
    **dict.fromkeys(("week", "weeks"), 7 * 86400),
}
_ISO_SECONDS = {"w": 7 * 86400, "d": 86400, "h": 3600, "m": 60, "s": 1}
_REORDERS_TEXT = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def shown(value: object) -> str:
    """A wrong value in quotes, short enough to read and without characters that could move a cursor."""
    try:
        text = str(value)
    except ValueError:  # an integer of thousands of digits
        return _("a number of thousands of digits")
    clean = "".join(c if c.isprintable() else "?" for c in text[:60])
    return f"'{clean}…'" if len(text) > 60 else f"'{clean}'"


def read_text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError(_("expected a text in quotes, not {value}").format(value=shown(value)))
    return value


def _bad_character(text: str, allowed: str) -> str | None:
    for character in text:
        if character in _REORDERS_TEXT:
            return _("holds a hidden character that turns text around (U+{code:04X}); take it out").format(
                code=ord(character)
            )
        if unicodedata.category(character) in {"Cc", "Zl", "Zp", "Cs"} and character not in allowed:
            return _("holds a control character (U+{code:04X}); take it out").format(code=ord(character))
    return None


def _read_words(value: object, longest: int, allowed: str) -> str:
    text = read_text(value).strip()
    fault = _bad_character(text, allowed)
    if fault:
        raise ValueError(fault)
    if len(text) > longest:
        raise ValueError(_("is {n} characters long; at most {most} fit").format(n=len(text), most=longest))
    return text


def read_name(value: object) -> str:
    """A name on one line; any alphabet, emoji and brackets are welcome, control characters are not."""
    text = _read_words(value, LONGEST_NAME, "")
    if not any(unicodedata.category(c)[0] in "LNSP" for c in text):
        raise ValueError(_("is empty; give it a name that people can read"))
    return text


def read_note(value: object) -> str:
    """A text that may run over several lines."""
    return _read_words(value, LONGEST_NOTE, "\n\r\t")


def id_fault(word: str) -> str | None:
    """What is wrong with an id, None when nothing is."""
    if len(word) > LONGEST_ID:
        return _("is too long for an id: {most} characters at most").format(most=LONGEST_ID)
    if not _ID.match(word):
        return _("an id is a word of small letters, digits and -, like 'braised-lamb'")
    return None


def read_clock(value: object) -> time:
    """A wall-clock time, "17:30"; "24:00" is midnight."""
    text = read_text(value).strip()
    found = _CLOCK.match(text)
    hour, minute = (int(found[1]), int(found[2])) if found else (99, 99)
    if (hour, minute) == (24, 0):
        hour = 0
    if hour > 23 or minute > 59:
        raise ValueError(_('expected a time like "17:30", not {value}').format(value=shown(text)))
    return time(hour, minute)


Windows = tuple[tuple[time, time], ...]


def read_hours(value: object) -> Windows:
    """Opening windows, "08:00-15:00, 16:00-23:30"; "closed" has none. A window may pass midnight."""
    text = read_text(value).strip()
    if text == "closed":
        return ()
    windows = []
    for part in text.split(","):
        starts, dash, ends = part.replace("–", "-").partition("-")
        if not dash:
            raise ValueError(
                _('expected hours like "08:00-15:00, 16:00-23:30" or "closed", not {value}').format(value=shown(text))
            )
        windows.append((read_clock(starts), read_clock(ends)))
    return tuple(windows)


def read_date(value: object) -> date:
    """A date in quotes, "2026-12-25"."""
    if isinstance(value, date):
        raise ValueError(_('write the date in quotes: "{day}"').format(day=value.isoformat()[:10]))
    text = read_text(value).strip()
    found = _DATE.match(text)
    if not found:
        raise ValueError(_('expected a date like "2026-12-25", not {value}').format(value=shown(text)))
    try:
        return date(int(found[1]), int(found[2]), int(found[3]))
    except ValueError:
        raise ValueError(_("{value}: the calendar has no such day").format(value=shown(text))) from None


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


def whole_minutes(seconds: Fraction) -> int:
    """Minutes, rounded up."""
    return int(-(-seconds // 60))


def read_life(value: object) -> Life:
    """How long something keeps: "5 days" counts days, "36 h" counts hours."""
    parts = _duration(value, LONGEST_LIFE * 86400)
    seconds = _sum(parts)
    if seconds < 60:
        raise ValueError(_("something that keeps for no time cannot be held ready"))
    if any(unit < 86400 for _number, unit in parts):
        return Life(minutes=int(seconds // 60))
    if seconds % 86400:
        raise ValueError(_('days are counted whole; write hours for less, like "36 h"'))
    return Life(days=int(seconds // 86400))


def read_temperature(value: object) -> Temperature:
    """ "160 C" or "320 F"."""
    found = _DEGREES.match(value.strip()) if isinstance(value, str) else None
    if not found:
        raise ValueError(_('expected a temperature like "160 C" or "320 F", not {value}').format(value=shown(value)))
    degrees = Fraction(found[1])
    celsius = degrees if found[2] == "C" else (degrees - 32) * 5 / 9
    if not -100 <= celsius <= 600:
        raise ValueError(_("{value} is no temperature of a kitchen").format(value=shown(value)))
    return Temperature(degrees, "C" if found[2] == "C" else "F")


def read_fraction(value: object) -> Fraction:
    """An exact number: 0.22, 3 or "1½"."""
    wrong = _("expected a number, not {value}").format(value=shown(value))
    if isinstance(value, bool):
        raise ValueError(wrong)
    if isinstance(value, int):
        if abs(value) > 10**18:
            raise ValueError(wrong)
        return Fraction(value)
    if isinstance(value, Decimal):
        # A number of the kind 1e999999 would take all memory as a fraction.
        if not value.is_finite() or (value and abs(value.adjusted()) > 18) or len(value.as_tuple().digits) > 40:
            raise ValueError(wrong)
        return Fraction(value)
    if isinstance(value, str) and len(value) <= 40:
        number, rest = read_number(value)
        if not rest:
            return number
    raise ValueError(wrong)


def read_written_amount(value: object) -> Amount:
    """An amount, "1.2 kg"; a bare number is meant in the item's own unit."""
    if isinstance(value, str):
        return read_amount(value)
    number = read_fraction(value)
    if number < 0:
        raise ValueError(_("{value} is below nothing").format(value=shown(value)))
    return Amount(number, "")


def read_joins(value: object) -> int | None:
    """ "2 days" is 2, "none" is None."""
    if value == "none":
        return None
    seconds = read_seconds(value, 60 * 86400)
    if seconds % 86400:
        raise ValueError(_('expected whole days, like "2 days", or "none"'))
    return int(seconds // 86400)


def read_density(value: object) -> Fraction:
    """Grams in a millilitre: 0.92 or "0.92 g/ml"."""
    if isinstance(value, str):
        number, rest = read_number(value)
        if rest not in {"", "g/ml", "kg/l"}:
            raise ValueError(_("expected grams in a millilitre, like 0.92, not {value}").format(value=shown(value)))
    else:
        number = read_fraction(value)
    if not Fraction(1, 100) <= number <= 25:
        raise ValueError(_("{value} g in a millilitre is no food").format(value=shown(value)))
    return number
