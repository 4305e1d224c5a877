"""What to buy: goods that planned runs and plates take in the days ahead, less what is counted, in packs, by supplier,
each with the last moment at which an order still comes in time. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime

from msgspec import Struct

from prepboard.book.amounts import MILLION
from prepboard.book.book import Goods
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.mix import dishes_of
from prepboard.plan.demand.occasions import ahead
from prepboard.plan.given.state import State
from prepboard.plan.leftovers.pulling import as_bought
from prepboard.plan.shown.lines import MakeLine


class OrderLine(Struct, frozen=True):
    """One good to buy. Amounts are as bought, in millionths; `there` is None where nobody counts it."""

    goods: str
    supplier: str
    needed: int
    there: int | None
    amount: int
    packs: int
    """0 where it is bought in any amount."""
    needed_at: datetime
    """When the first of it is needed."""
    order_by: datetime | None
    """The last moment that comes in time; None where the book says nothing of its supplier's times."""
    too_late: bool
    """That moment is over: what comes next comes after it is needed."""
    serves: tuple[str, ...]
    """The preps and dishes that take it."""


def until_day(state: State, now: datetime, days: int) -> datetime:
    """The end of so many business days, today's not counted."""
    kitchen = state.book.kitchen.days
    return kitchen.opens(kitchen.business_day(now) + ONE_DAY * (days + 1))


def order_list(
    state: State, now: datetime, make: Iterable[MakeLine], until: datetime, there: Mapping[str, int]
) -> tuple[OrderLine, ...]:
    """What is short of goods that are taken up to a moment: by supplier, the first to be ordered first. `there` are
    the goods that a kitchen counts, as bought; of others all that is needed is short."""
    wanted: dict[str, list[tuple[datetime, int, str]]] = defaultdict(list)
    for at, item, amount, serves in _taken(state, now, make, until):
        wanted[item].append((at, amount, serves))
    lines = [line for item in wanted if (line := _line(state, now, state.book.goods[item], wanted[item], there))]
    return tuple(sorted(lines, key=lambda line: (line.supplier == "", line.supplier, line.needed_at, line.goods)))


def _taken(
    state: State, now: datetime, make: Iterable[MakeLine], until: datetime
) -> Iterator[tuple[datetime, str, int, str]]:
    """Goods that planned runs take, and plates as they are expected."""
    book = state.book
    for line in make:
        for taken in line.takes:
            if taken.item in book.goods and taken.at < until:
                yield taken.at, taken.item, taken.amount, line.prep
    for occasion in ahead(state, now, until):
        for dish in dishes_of(state, now, occasion):
            for item, per_plate in book.dishes[dish.dish].plate.items():
                if item in book.goods and dish.portions:
                    yield max(occasion.starts, now), item, int(dish.portions * per_plate), dish.dish


def _line(
    state: State, now: datetime, goods: Goods, wanted: list[tuple[datetime, int, str]], there: Mapping[str, int]
) -> OrderLine | None:
    wanted.sort()
    rest, first, known = there.get(goods.id, 0), None, there.get(goods.id)
    for at, amount, _serves in wanted:
        rest -= as_bought(state.book, goods.id, amount)
        if rest < 0 and first is None:
            first = at
    if first is None:
        return None
    needed = sum(as_bought(state.book, goods.id, amount) for _at, amount, _serves in wanted)
    packs = -(rest // goods.pack) if goods.pack else 0
    # What is sold by the piece comes in whole ones.
    loose = -(rest // MILLION) * MILLION if state.book.measure(goods.id).kind == "count" else -rest
    by = _last_order(state, goods, first)
    return OrderLine(
        goods.id,
        goods.supplier,
        needed,
        known,
        packs * goods.pack if packs else loose,
        packs,
        first,
        by,
        by is not None and by <= now,
        tuple(dict.fromkeys(serves for _at, _amount, serves in wanted)),
    )


def _last_order(state: State, goods: Goods, needed: datetime) -> datetime | None:
    """The last moment at which an order comes on the day on which it is needed, or before."""
    if goods.order_by is None and not goods.lead:
        return None
    days = state.book.kitchen.days
    day: date = days.business_day(needed) - ONE_DAY * goods.lead
    if goods.order_by is None:
        return days.opens(day + ONE_DAY)
    at = days.at(day, goods.order_by)
    return at if at <= needed or goods.lead else days.at(day - ONE_DAY, goods.order_by)
