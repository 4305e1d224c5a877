"""Reads a moment that has been, as a cook writes it down afterwards."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta

from prepboard.book.days import ONE_DAY, Days
from prepboard.texts import _

_CLOCK = re.compile(r"(?P<hour>\d{1,2})[:.](?P<minute>\d\d)\s*(?P<half>am|pm)?", re.IGNORECASE)
_MINUTES = re.compile(r"(?P<minutes>\d{1,4})\s*(min)?", re.IGNORECASE)


def read_past(days: Days, now: datetime, text: str) -> datetime:
    """The instant in UTC that "14:05", "2:05 pm" or minutes ago ("20", "20 min") names; whole minutes for a clock.

    A clock time is the last time that the kitchen's clock showed it on this business day, else on the one before
    when `text` begins with "yesterday", in English or in the reader's language. ValueError in words when it is none, or
    still to come.
    """
    said = " ".join(text.split())
    day = days.business_day(now)
    for yesterday in ("yesterday", _("yesterday")):
        if said.casefold().startswith(yesterday):
            day, said = day - ONE_DAY, said[len(yesterday) :].strip()
            break
    if ago := _MINUTES.fullmatch(said):
        return now - timedelta(minutes=int(ago["minutes"]))
    found = _CLOCK.fullmatch(said)
    if found is None:
        raise ValueError(_("'{text}' is no time; write it like 14:05, or as minutes ago: 20").format(text=text[:40]))
    at = days.in_day(day, _clock(found))
    if at > now:
        raise ValueError(_("{time} is still to come; only what has been can be written down").format(time=said))
    return at


def _clock(found: re.Match[str]) -> time:
    hour, half = int(found["hour"]), (found["half"] or "").casefold()
    if half and not 1 <= hour <= 12:
        raise ValueError(_("'{text}' is no time of a 12-hour clock").format(text=found[0]))
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    try:
        return time(hour, int(found["minute"]))
    except ValueError:
        raise ValueError(_("'{text}' is no time of a day").format(text=found[0])) from None
