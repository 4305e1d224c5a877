"""How an answer names moments: as the kitchen's wall clock, short enough for one line."""

from __future__ import annotations

from datetime import datetime, time

from prepboard.book.book import Kitchen
from prepboard.book.days import ONE_DAY
from prepboard.texts import _


def weekday(number: int) -> str:
    """The short name of a weekday; Monday is 0."""
    return (_("Mon"), _("Tue"), _("Wed"), _("Thu"), _("Fri"), _("Sat"), _("Sun"))[number]


def clock_time(kitchen: Kitchen, at: datetime, now: datetime) -> str:
    """ "14:21" today, "Sat 14:21" on another day of this week, else with the date: "Sat 24 14:21"."""
    local, today = kitchen.days.local(at), kitchen.days.local(now).date()
    clock = _wall_clock(kitchen, local.time())
    apart = abs((local.date() - today).days)
    if not apart:
        return clock
    date = f" {local.day}" if apart > 6 else ""
    return f"{weekday(local.weekday())}{date} {clock}"


def good_to(kitchen: Kitchen, use_by: datetime | None, now: datetime) -> str:
    """ "good to Sat" where a day ends it, "good to 21:30" where a minute does."""
    if use_by is None:
        return _("no date mark")
    if kitchen.days.local(use_by).time() != time():
        return _("good to {when}").format(when=clock_time(kitchen, use_by, now))
    last, today = kitchen.days.local(use_by).date() - ONE_DAY, kitchen.days.local(now).date()
    if last == today:
        return _("good to midnight")
    date = f" {last.day}" if abs((last - today).days) > 6 else ""
    return _("good to {when}").format(when=f"{weekday(last.weekday())}{date}")


def _wall_clock(kitchen: Kitchen, clock: time) -> str:
    if kitchen.clock == 24:
        return f"{clock:%H:%M}"
    return f"{clock.hour % 12 or 12}:{clock:%M} {'am' if clock.hour < 12 else 'pm'}"
