"""Times, days and urgency in words, as a kitchen says them.

Instants are aware datetimes; everything is said on the wall clock of the kitchen's zone.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from prepboard.book.amounts import MILLION, UNITS, Measure
from prepboard.book.book import Book
from prepboard.book.days import Days
from prepboard.book.freshness import fresh_until
from prepboard.book.saying import say_amount, say_duration
from prepboard.paper.text.plain import plain
from prepboard.texts import _, meant

if TYPE_CHECKING:
    from prepboard.plan.board import Board
    from prepboard.plan.given.state import Batch
    from prepboard.plan.shown.lines import MakeLine

_MINUTE = timedelta(minutes=1)
_FAR = timedelta(hours=5)
"""From here on "tonight" and "tomorrow" say more than hours and minutes."""
_EVENING = 18
_HALF = MILLION // 2
_A_WEEK = 7
_OTHER_YEAR = 300
"""Days away from which on a date without its year could be read as that of another."""


def weekday(on: date) -> str:
    """A short weekday: "Thu"."""
    return (_("Mon"), _("Tue"), _("Wed"), _("Thu"), _("Fri"), _("Sat"), _("Sun"))[on.weekday()]


def whole_weekday(on: date) -> str:
    """A weekday in full: "Thursday"."""
    names = (_("Monday"), _("Tuesday"), _("Wednesday"), _("Thursday"), _("Friday"), _("Saturday"), _("Sunday"))
    return names[on.weekday()]


def month(on: date) -> str:
    """A short month: "Oct"."""
    names = (
        _("Jan"), _("Feb"), _("Mar"), _("Apr"), _("May"), _("Jun"),
        _("Jul"), _("Aug"), _("Sep"), _("Oct"), _("Nov"), _("Dec"),
    )  # fmt: skip
    return names[on.month - 1]


def day(on: date) -> str:
    """A day as people read it: "Thu 22"."""
    return _("{weekday} {day}").format(weekday=weekday(on), day=on.day)


def long_day(on: date) -> str:
    """A day further away: "Thu 22 Oct"."""
    return _("{weekday} {day} {month}").format(weekday=weekday(on), day=on.day, month=month(on))


def wall_clock(days: Days, at: datetime, clock: Literal[12, 24] = 24) -> str:
    """The kitchen's wall clock: "14:10", or "2:10 pm" on a 12-hour clock."""
    local = days.local(at)
    if clock == 24:
        return f"{local:%H:%M}"
    half = _("am") if local.hour < 12 else _("pm")
    return f"{local.hour % 12 or 12}:{local:%M} {half}"


def clock_time(days: Days, at: datetime, now: datetime, clock: Literal[12, 24] = 24) -> str:
    """A moment: "14:10" within the business day of `now`, "Sat 11:30" within a week of it, else "Sat 7 Nov 11:30".

    Far away it has its year, as `near_day` says.
    """
    text = wall_clock(days, at, clock)
    if days.business_day(at) == days.business_day(now):
        return text
    return _("{day} {time}").format(day=near_day(days, days.local(at).date(), now), time=text)


def near_day(days: Days, on: date, now: datetime) -> str:
    """A day: "Sat" within a week of `now`, else "Sat 7 Nov", from ten months away on "Sun 7 Nov 2027"."""
    away = abs((on - days.local(now).date()).days)
    if away >= _OTHER_YEAR:
        return _("{day} {year}").format(day=long_day(on), year=on.year)
    return weekday(on) if away < _A_WEEK else long_day(on)


def urgency(now: datetime, start_by: datetime) -> str:
    """How urgent a moment is: "overdue 25 min", "start now" within a minute, "in 1 h 10", "in 3 days"."""
    ahead = start_by - now
    if ahead <= -_MINUTE:
        return _("overdue {time}").format(time=how_long(-ahead))
    if ahead < _MINUTE:
        return _("start now")
    return _("in {time}").format(time=how_long(ahead))


def how_long(length: timedelta) -> str:
    """Whole minutes, begun ones left out: "25 min", "1 h 10"; from two days on whole days."""
    if length >= timedelta(days=2):
        return _("{n} days").format(n=length.days)
    return say_duration(length // _MINUTE)


def good_to(days: Days, use_by: datetime | None, now: datetime, clock: Literal[12, 24] = 24) -> str:
    """How long something is good: "to midnight", "to Sun" (to the midnight that ends it), "to 21:30".

    Once it is over it is "expired Sun". None is a batch that carries no date mark.
    """
    if use_by is None:
        return _("no date mark")
    said = _end(days, use_by, now, clock)
    return (_("expired {end}") if use_by <= now else _("to {end}")).format(end=said)


def good(days: Days, use_by: datetime | None, now: datetime, clock: Literal[12, 24] = 24) -> str:
    """The same as a whole clause: "good to Sun", "expired Fri"; "good" is only said of what may be used."""
    said = good_to(days, use_by, now, clock)
    return said if use_by is None or use_by <= now else _("good {end}").format(end=said)


def _end(days: Days, use_by: datetime, now: datetime, clock: Literal[12, 24]) -> str:
    local = days.local(use_by)
    ended = local.date() - timedelta(days=1)
    if use_by != days.midnight_after(ended):
        return clock_time(days, use_by, now, clock)
    if ended == days.business_day(now):
        return _("midnight")
    return near_day(days, ended, now)


class Voice(Struct, frozen=True):
    """Says the things of one kitchen at one moment: its names, its amounts, its clock."""

    book: Book
    now: datetime
    set_by_hand: bool = False
    """Somebody set the clock; what is printed says so."""
    new_at: datetime | None = None
    """When the kitchen began with its plan."""

    @classmethod
    def of(cls, board: Board) -> Voice:
        state = board.state
        return cls(state.book, board.now, state.clock_set_by_hand, state.new_at)

    @property
    def days(self) -> Days:
        return self.book.kitchen.days

    def name(self, item: str) -> str:
        """The name of a prep, a good or a dish, safe to print."""
        return plain(self.book.name(item))

    def service(self, service: str, on: date) -> str:
        """A sitting: "Dinner" today, "Sun Lunch" on another day."""
        named = self.book.services.get(service)
        text = plain(named.name if named else service)
        if on == self.days.business_day(self.now):
            return text
        return f"{near_day(self.days, on, self.now)} {text}".strip()

    def kitchen(self, kitchen: str) -> str:
        """The name of a kitchen of the group; its id where the book has lost it."""
        found = self.book.kitchens.get(kitchen)
        return plain(found.name) if found else plain(kitchen)

    def van(self, van: str) -> str:
        """The name of a van; its id where the book has lost it."""
        found = self.book.vans.get(van)
        return plain(found.name) if found else plain(van)

    def station(self, station: str) -> str:
        found = self.book.stations.get(station)
        return plain(found.name if found else station)

    def left(self, batch: Batch) -> str:
        """What is left of a batch; of one that no recipe knows too. Nobody counts what is in an opened pack."""
        if batch.pack:
            return meant("a pack", "open") if batch.left == MILLION else _("{n} open").format(n=batch.left // MILLION)
        if batch.unit and not is_known(self.book, batch.prep):
            measure = Measure(UNITS[batch.unit].kind, batch.unit)
            return say_amount(measure, batch.left, self.book.kitchen.units)
        return self.amount(batch.prep, batch.left)

    def amount(self, item: str, millionths: int) -> str:
        """An amount of a prep or a good; of what the book does not know it is a bare number of g, ml or pieces."""
        if not is_known(self.book, item):
            return f"{float(Fraction(millionths, MILLION)):.6g}"
        return say_amount(measure_of(self.book, item), millionths, self.book.kitchen.units)

    def about(self, item: str, millionths: int) -> str:
        """An amount that is only expected: pieces in whole ones."""
        if is_known(self.book, item) and measure_of(self.book, item).kind == "count":
            millionths = round(millionths / MILLION) * MILLION
        return self.amount(item, millionths)

    def there(self, item: str, millionths: int, *, lacks: bool = False) -> str:
        """What is there, or `lacks`. While nobody counts that may come to parts of pieces: of what is there only whole
        ones are said, of what lacks the next whole one. Halves, which kitchens have, stay."""
        if not is_known(self.book, item) or measure_of(self.book, item).kind != "count" or not millionths % _HALF:
            return self.amount(item, millionths)
        whole = -(-millionths // MILLION) if lacks else millionths // MILLION
        return self.amount(item, whole * MILLION)

    def time(self, at: datetime) -> str:
        return clock_time(self.days, at, self.now, self.book.kitchen.clock)

    def wall(self, at: datetime) -> str:
        return wall_clock(self.days, at, self.book.kitchen.clock)

    def good_to(self, use_by: datetime | None) -> str:
        return good_to(self.days, use_by, self.now, self.book.kitchen.clock)

    def end(self, use_by: datetime) -> str:
        """The last moment or day alone: "midnight", "Sun", "21:30"."""
        return _end(self.days, use_by, self.now, self.book.kitchen.clock)

    def good(self, use_by: datetime | None) -> str:
        return good(self.days, use_by, self.now, self.book.kitchen.clock)

    def relabel(self, batch: Batch) -> str:
        """ "label says Sun, good to Thu: relabel" of a box whose label says more than is so; else empty."""
        if not batch.to_relabel or batch.label_says is None:
            return ""
        said = _("label says {was}, {good}: relabel")
        return said.format(was=self.end(batch.label_says), good=self.good(batch.use_by))

    def plates_to(self, batch: Batch) -> str:
        """ "plates to 15:00" of what stays good longer than it is fresh; else empty."""
        until = fresh_until(self.book.preps.get(batch.prep), batch.made_at, batch.store, batch.stays)
        if until is None or batch.pack or (batch.use_by is not None and batch.use_by <= until):
            return ""
        return _("plates to {time}").format(time=self.time(until))

    def urgency(self, start_by: datetime) -> str:
        return urgency(self.now, start_by)

    def how_soon(self, start_by: datetime) -> str:
        """ "in 1 h 10"; of what is hours off the part of the day or the day: "tonight", "tomorrow", "in 3 days"."""
        if start_by - self.now >= _FAR:
            start, now = self.days.local(start_by), self.days.local(self.now)
            days = (start.date() - now.date()).days
            night = days and self.days.business_day(start_by) == self.days.business_day(self.now)
            if night or (not days and start.hour >= _EVENING):
                return _("tonight")
            if days:
                return _("tomorrow") if days == 1 else _("in {time}").format(time=_("{n} days").format(n=days))
        return self.urgency(start_by)

    def begins(self, line: MakeLine) -> str:
        """How urgent a line to make is: late only where it is ready late, else by when it begins."""
        if line.misses:
            return self.not_for([line])
        if line.late_minutes:
            return _("ready {time} late").format(time=say_duration(line.late_minutes))
        return self.how_soon(line.begins)

    def not_for(self, lines: Iterable[MakeLine]) -> str:
        """ "not for Dinner": which sittings lines miss. On the day on which the kitchen began with its plan nobody
        missed them: "from tomorrow"."""
        if self.new_at is not None and self.days.business_day(self.new_at) == self.days.business_day(self.now):
            return _("from tomorrow")
        sittings = dict.fromkeys(one for line in lines for one in line.not_for)
        return _("not for {service}").format(service=listed(self.service(*one) for one in sittings))


def is_known(book: Book, item: str) -> bool:
    """Whether the book says how this prep or good is counted."""
    return item in book.preps or item in book.goods


def measure_of(book: Book, item: str) -> Measure:
    """How an item is counted; what the book does not know is counted in pieces."""
    return book.measure(item) if is_known(book, item) else Measure("count", "each")


def listed(words: Iterable[str]) -> str:
    """Joined by commas, without empty ones."""
    return ", ".join(word for word in words if word)
