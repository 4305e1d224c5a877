"""The pull list: what to take out of store or freezer for the runs and services ahead, and when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta

from msgspec import Struct, field
from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.plan.needs.walking import Answer
from prepboard.plan.runs.runs import RunTimes
from prepboard.plan.service.thawing import with_hands
from prepboard.plan.shown.lines import MakeLine, Pull


class _Entry(Struct):
    amount: int = 0
    frozen: bool = False
    serves: dict[str, None] = field(default_factory=dict)


def pull(run_times: RunTimes, make: Iterable[MakeLine], answers: Iterable[Answer]) -> tuple[Pull, ...]:
    """One line for an item and a moment, by moment: goods as bought, and frozen preps that are to be thawed. What is to
    be taken out when nobody is there is taken out before they leave."""
    book, now = run_times.book, run_times.now
    entries: dict[tuple[datetime, str], _Entry] = defaultdict(_Entry)
    for line in make:
        for taken in line.takes:
            if goods := book.goods.get(taken.item):
                frozen = goods.store == "frozen"
                out = taken.at - timedelta(minutes=goods.thaw)
                at = with_hands(run_times.hours(line.station), out, now) if frozen else taken.at
                _add(entries[at, taken.item], taken.amount, frozen, line.prep)
    for answer in answers:
        for lot, amount in (*answer.need.drawn, *answer.need.to_thaw):
            if lot.frozen and lot.thaw:
                at = lot.thaw.taken_out(lot.taken_at(answer.need))
                _add(entries[at, lot.prep], amount, True, answer.need.run_of or lot.prep)
    return tuple(_pull(book, item, at, entry, now) for (at, item), entry in sorted(entries.items()))


def by_item(lines: Iterable[Pull]) -> tuple[Pull, ...]:
    """One line for an item, all of it, at the first moment of any; the first to be taken out first."""
    summed: dict[str, Pull] = {}
    for line in sorted(lines, key=lambda line: line.take_out_at):
        first = summed.get(line.item)
        summed[line.item] = (
            line
            if first is None
            else replace(
                first,
                amount=first.amount + line.amount,
                as_bought=first.as_bought + line.as_bought,
                late=first.late or line.late,
                frozen=first.frozen or line.frozen,
                serves=tuple(dict.fromkeys((*first.serves, *line.serves))),
            )
        )
    return tuple(summed.values())


def as_bought(book: Book, item: str, usable: int) -> int:
    """How much to take or buy so that trimming leaves the usable amount."""
    goods = book.goods.get(item)
    if goods is None:
        return usable
    parts, of_it = goods.usable.as_integer_ratio()
    return -(-usable * of_it // parts)


def _add(entry: _Entry, amount: int, frozen: bool, serves: str) -> None:
    entry.amount += amount
    entry.frozen = frozen
    entry.serves[serves] = None


def _pull(book: Book, item: str, at: datetime, entry: _Entry, now: datetime) -> Pull:
    return Pull(
        item,
        "goods" if item in book.goods else "prep",
        entry.amount,
        as_bought(book, item, entry.amount),
        at,
        at < now,
        entry.frozen,
        tuple(entry.serves),
    )
