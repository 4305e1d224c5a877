"""The small values of a book (names, times, temperatures, shares), read from what a chef wrote.

Every reader takes what TOML gave and returns a plain value, or raises `ValueError` with a sentence that says what
was expected.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from prepboard.book.amounts import Amount, read_amount, read_number
from prepboard.book.book import Temperature
from prepboard.texts import _

MOST_OF_A_SHARE = 20
LONGEST_NAME = 120
LONGEST_NOTE = 4000
LONGEST_ID = 60
Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})\Z", re.A)
_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})\Z", re.A)
_DEGREES = re.compile(r"([-+]?\d{1,4}(?:\.\d{1,3})?)\s*°?\s*([CF])\Z", re.A)
_HEIGHT = re.compile(r"(-?\d{1,5}) ?(m|ft)\Z")
_MEASURED = re.compile(r"(pH|aw) ?(\d{1,2}(?:\.\d{1,3})?)\Z", re.IGNORECASE)
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
    if text.isprintable():  # Neither steers a screen nor turns text around: nothing that is refused below.
        return None
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
        if not (_CLOCK.match(starts.strip()) and _CLOCK.match(ends.strip())):
            said = _('expected hours like "08:00-15:00, 16:00-23:30" or "closed", not {value}')
            raise ValueError(said.format(value=shown(text)))
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


def read_height(value: object) -> int:
    """Whole metres above the sea of "1600 m" or "5280 ft"."""
    found = _HEIGHT.match(value.strip()) if isinstance(value, str) else None
    if not found:
        raise ValueError(_('expected a height like "1600 m" or "5280 ft", not {value}').format(value=shown(value)))
    metres = round(int(found[1]) * (Fraction(1) if found[2] == "m" else Fraction(3048, 10_000)))
    if not -450 <= metres <= 5500:
        raise ValueError(_("{value}: no kitchen stands there").format(value=shown(value)))
    return metres


def read_measured(value: object) -> dict[str, Fraction]:
    """Acidity and water activity by "ph" and "aw": "pH 3.6", "aw 0.86", "pH 4.4, aw 0.89"."""
    parts = re.split(r"\s*(?:,|;|\band\b)\s*", value.strip()) if isinstance(value, str) else [""]
    found: dict[str, Fraction] = {}
    for part in parts:
        one = _MEASURED.match(part)
        if not one or one[1].lower() in found:
            said = _('expected figures like "pH 3.6", "aw 0.86" or "pH 4.4, aw 0.89", not {value}')
            raise ValueError(said.format(value=shown(value)))
        found[one[1].lower()] = Fraction(one[2])
    if not 0 < found.get("ph", Fraction(7)) <= 14 or not 0 <= found.get("aw", Fraction(1, 2)) <= 1:
        raise ValueError(_("{value}: pH goes from 0 to 14, aw from 0 to 1").format(value=shown(value)))
    return found


def read_fraction(value: object) -> Fraction:
    """An exact number: 0.22, 3 or "1½"."""
    # A number of the kind 1e999999 would take all memory as a fraction.
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) <= 10**18:
        return Fraction(value)
    if isinstance(value, Decimal) and value.is_finite() and (not value or abs(value.adjusted()) <= 18):
        if len(value.as_tuple().digits) <= 40:
            return Fraction(value)
    elif isinstance(value, str) and len(value) <= 40:
        number, rest = read_number(value)
        if not rest:
            return number
        if rest.strip() == "%":
            raise ValueError(_("{said}; {number} % is written {part}").format(said=_no_number(value), **_parts(number)))
    raise ValueError(_no_number(value))


def _no_number(value: object) -> str:
    return _("expected a number, not {value}").format(value=shown(value))


def _parts(percent: Fraction) -> dict[str, str]:
    return {"number": f"{float(percent):g}", "part": f"{float(percent / 100):g}"}


def said_as_part(said: str, number: Fraction, most: Fraction | int) -> str:
    """What is wrong with a number above the most, and how a percentage is written, where it may have been meant."""
    if most < number <= 100 and most <= MOST_OF_A_SHARE:
        return _("{said}; {number} % is written {part}").format(said=said, **_parts(number))
    return said


def read_written_amount(value: object) -> Amount:
    """An amount, "1.2 kg"; a bare number is meant in the item's own unit."""
    if isinstance(value, str):
        return read_amount(value)
    number = read_fraction(value)
    if number < 0:
        raise ValueError(_("{value} is less than zero").format(value=shown(value)))
    return Amount(number, "")


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
