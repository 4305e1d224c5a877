"""Waste: what left unsold, added up by day, station, prep and reason, in amount and money.

Discards, plates that went out a second time and lost runs are waste. Staff meals, tastings, guests, transfers and what
was donated are no waste. Trim is what the book says that trimming takes of the goods that runs used: part of what food
costs, not thrown away by anybody's mistake. What a close's count takes away is use in service and is none of these.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from prepboard.book.book import Book, Prep
from prepboard.book.days import ONE_DAY
from prepboard.plan.given.past import Gone, Past, PastRun
from prepboard.plan.leftovers.pulling import as_bought
from prepboard.plan.runs.costs import cost_of
from prepboard.plan.runs.sizes import scaled, sizes_for

Kind = Literal["discard", "again", "lost", "use", "trim"]
Per = Literal["day", "week", "month"]
WASTE: tuple[Kind, ...] = ("discard", "again", "lost")
UNNEEDED = ("past-use-by", "not-needed")
"""Reasons that say that more was made than was needed."""


class WasteLine(Struct, frozen=True):
    """All that left one day of one item, at one station, for one reason."""

    day: date
    kind: Kind
    station: str
    item: str
    reason: str
    amount: int
    cost: Fraction | None
    """None where no price is known. What only comes along with a run costs nothing: its cost lies on what drives it."""
    because_of_size: int
    """Of a discard: made beyond the need because of recipe size."""
    name: str = ""
    unit: str = ""


class Period(Struct, frozen=True):
    """The sums of one day, week or month; `first` is its first day. Money as far as prices are known."""

    first: date
    waste: Fraction
    no_waste: Fraction
    trim: Fraction
    covers: int
    recorded: bool = True
    """Whether anything was recorded by then. Before the first run or bin nobody knows what was thrown away, also where
    guests are known from older sales: nothing is guessed."""

    @property
    def per_cover(self) -> Fraction | None:
        return self.waste / self.covers if self.covers and self.recorded else None


def waste(book: Book, past: Past) -> tuple[WasteLine, ...]:
    """The lines of a stretch of time, by day, then in the order of the book's stations."""
    sums: dict[tuple[date, Kind, str, str, str, str, str], list[int]] = defaultdict(lambda: [0, 0])
    days = book.kitchen.days
    for one, because in zip(past.gone, _because_of_size(past.gone), strict=True):
        key = (days.business_day(one.at), one.kind, one.station, one.item, one.reason, one.name, one.unit)
        sums[key][0] += one.amount
        sums[key][1] += because
    for run in past.runs:
        for kind, item, reason, amount in _of_run(book, run):
            sums[days.business_day(run.ended), kind, run.station, item, reason, "", ""][0] += amount
    order = {station: place for place, station in enumerate(book.stations)}
    lines = [
        WasteLine(day, kind, station, item, reason, amount, _cost(book, item, amount), because, name, unit)
        for (day, kind, station, item, reason, name, unit), (amount, because) in sums.items()
        if amount
    ]
    lines.sort(key=lambda line: (line.day, order.get(line.station, len(order)), line.kind, line.item, line.reason))
    return tuple(lines)


def _cost(book: Book, item: str, amount: int) -> Fraction | None:
    """What an amount cost; of goods, which are thrown away as they were bought, at the price of buying."""
    cost = cost_of(book, item, amount)
    return cost * book.goods[item].usable if cost is not None and item in book.goods else cost


def _of_run(book: Book, run: PastRun) -> Iterable[tuple[Kind, str, str, int]]:
    """What trimming took of the goods of a run, and all that a lost run should have given."""
    if run.lost:
        yield from (("lost", prep, "lost", amount) for prep, amount in run.outputs.items())
    for use in run.recipe.uses:
        if use.item in book.goods:
            usable = scaled(use.amount, run.size)
            yield "trim", use.item, "trim", as_bought(book, use.item, usable) - usable


def _because_of_size(gone: Iterable[Gone]) -> list[int]:
    """Of each discard, what was made beyond the need because of recipe size.

    Seen afterwards: what was really used of a batch would have asked for some smallest allowed run; what that run
    would have left over too is because of its size, the rest because less was needed than was thought.
    """
    thrown: dict[str, int] = defaultdict(int)
    found = []
    for one in gone:
        found.append(0)
        if one.kind == "discard" and one.reason in UNNEEDED and one.run and one.item in one.run.recipe.driven_by:
            before = over_by_size(one.run.recipe, one.item, one.made, thrown[one.batch])
            thrown[one.batch] += one.amount
            found[-1] = over_by_size(one.run.recipe, one.item, one.made, thrown[one.batch]) - before
    return found


def over_by_size(recipe: Prep, item: str, made: int, thrown: int) -> int:
    """How much of what was thrown away of a batch even the smallest run that covers what was used would leave."""
    each, used = recipe.outputs.get(item, 0), max(0, made - thrown)
    if not each or not used:
        # Nothing of it was used: no run at all would have done.
        return 0
    covering = sum(scaled(each, size) for size in sizes_for(recipe.sizes, used, each))
    return max(0, min(thrown, covering - used))


def periods(
    book: Book, lines: Iterable[WasteLine], covers: Mapping[tuple[str, date], int], since: datetime, until: datetime,
    per: Per, recorded: date | None = None,
) -> tuple[Period, ...]:  # fmt: skip
    """Every day, week (from Monday) or month of a stretch of time with its sums, those without waste too. Before the
    first day of which anything is known no guests are made up. `recorded` is the first day with a run or a bin."""
    days = book.kitchen.days
    sums: dict[date, dict[str, Fraction]] = {}
    guests: dict[date, int] = defaultdict(int)
    lines = tuple(lines)
    begins = min([*(day for _service, day in covers), *(line.day for line in lines)], default=None)
    day = days.business_day(since)
    while days.opens(day) < until:
        first = first_day(day, per)
        sums.setdefault(first, defaultdict(Fraction))
        if begins is not None and day >= begins:
            guests[first] += _guests(book, covers, day, until)
        day += ONE_DAY
    for line in lines:
        kind = "waste" if line.kind in WASTE else line.kind
        sums[first_day(line.day, per)][kind] += line.cost or 0
    since_when = first_day(recorded, per) if recorded else None
    return tuple(
        Period(first, of["waste"], of["use"], of["trim"], guests[first], since_when is not None and first >= since_when)
        for first, of in sorted(sums.items())
    )


def first_day(day: date, per: Per) -> date:
    """The first day of the day, week or month that a day lies in."""
    if per == "month":
        return day.replace(day=1)
    return day - day.weekday() * ONE_DAY if per == "week" else day


def _guests(book: Book, covers: Mapping[tuple[str, date], int], day: date, until: datetime) -> int:
    """Guests of a day's services that have begun: as somebody counted or set them, else as the book expects."""
    days = book.kitchen.days
    total = sum(number for (service, on), number in covers.items() if on == day and service not in book.services)
    for service in book.services.values():
        known = covers.get((service.id, day))
        if days.in_day(day, service.starts) < until and (known is not None or service.held_on(day)):
            total += known if known is not None else service.covers.on(day) or 0
    return total
