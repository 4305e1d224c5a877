"""How an answer names moments: as the kitchen's wall clock, short enough for one line."""

from __future__ import annotations

from datetime import date, datetime, time

from prepboard.book.book import Kitchen
from prepboard.book.days import ONE_DAY
from prepboard.texts import _

_NEAR = 6
"""Days away from which on a weekday alone could be read as the wrong one."""
_OTHER_YEAR = 300
"""And a date without its year as that of another year."""


def weekday(number: int) -> str:
    """The short name of a weekday; Monday is 0."""
    return (_("Mon"), _("Tue"), _("Wed"), _("Thu"), _("Fri"), _("Sat"), _("Sun"))[number]


def clock_time(kitchen: Kitchen, at: datetime, now: datetime) -> str:
    """ "14:21" today, "Sat 14:21" on another day of this week, else with its date: "Sat 24 Oct 14:21"."""
    local, today = kitchen.days.local(at), kitchen.days.local(now).date()
    clock = _wall_clock(kitchen, local.time())
    apart = abs((local.date() - today).days)
    if not apart:
        return clock
    return _("{day} {time}").format(day=_day(local.date(), apart), time=clock)


def good_to(kitchen: Kitchen, use_by: datetime | None, now: datetime) -> str:
    """ "good to Sat" where a day ends it, "good to 21:30" where a minute does."""
    if use_by is None:
        return _("no date mark")
    said = _("good to {when}") if use_by > now else _("expired {when}")
    return said.format(when=end_of(kitchen, use_by, now))


def end_of(kitchen: Kitchen, use_by: datetime, now: datetime) -> str:
    """The end alone: "midnight" of today, "Sat" where a day ends it, "21:30" where a minute does."""
    if kitchen.days.local(use_by).time() != time():
        return clock_time(kitchen, use_by, now)
    last, today = kitchen.days.local(use_by).date() - ONE_DAY, kitchen.days.local(now).date()
    return _("midnight") if last == today else _day(last, abs((last - today).days))


def day_of(kitchen: Kitchen, on: date, now: datetime) -> str:
    """A day as people name it: "Sat" within six days, else "Sat 24 Oct"."""
    return _day(on, abs((on - kitchen.days.local(now).date()).days))


def _day(on: date, apart: int) -> str:
    """ "Sat" within six days, else "Sat 24 Oct", far away "Sun 24 Oct 2027"."""
    if apart <= _NEAR:
        return weekday(on.weekday())
    said = _("{weekday} {day} {month}").format(weekday=weekday(on.weekday()), day=on.day, month=month(on.month))
    return _("{day} {year}").format(day=said, year=on.year) if apart >= _OTHER_YEAR else said


def month(number: int) -> str:
    """The short name of a month; January is 1."""
    names = (
        _("Jan"), _("Feb"), _("Mar"), _("Apr"), _("May"), _("Jun"),
        _("Jul"), _("Aug"), _("Sep"), _("Oct"), _("Nov"), _("Dec"),
    )  # fmt: skip
    return names[number - 1]


def _wall_clock(kitchen: Kitchen, clock: time) -> str:
    if kitchen.clock == 24:
        return f"{clock:%H:%M}"
    return f"{clock.hour % 12 or 12}:{clock:%M} {_('am') if clock.hour < 12 else _('pm')}"
