"""Vans: what is to be loaded for whom, and what to order before the next one closes. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta

from msgspec import Struct

from prepboard.book.amounts import MILLION
from prepboard.book.names import as_read
from prepboard.book.vans import Trip, to_order, trips
from prepboard.plan.given.group import Order, Transfer
from prepboard.plan.given.state import State
from prepboard.plan.service.on_vans import on_vans
from prepboard.plan.shown.lines import MakeLine, ParLine

IN_SIGHT = timedelta(hours=6)
"""So long after it left a van's list stays in sight (common practice, no source)."""

AT_MOST = timedelta(days=2)
"""Where no further van comes, what is needed within so long after one is ordered by it."""


class ToSend(Struct, frozen=True):
    """What one kitchen is sent of one prep by one van, in millionths; of what nobody ordered `ordered` is 0."""

    kitchen: str
    prep: str
    called: str
    unit: str
    ordered: int
    notes: tuple[Transfer, ...]
    """What has been loaded."""
    waiting: tuple[Order, ...]
    """Orders that came after the van was closed, and nobody has answered."""

    @property
    def name(self) -> str:
        return as_read(self.called)

    @property
    def sent(self) -> int:
        return sum(one.amount for one in self.notes)

    @property
    def lacks(self) -> int:
        return max(0, self.ordered - self.sent)


class Load(Struct, frozen=True):
    trip: Trip
    lines: tuple[ToSend, ...]
    """By kitchen in the order of the van's way, then as the book has the preps."""


class ToOrder(Struct, frozen=True):
    """What is short here of a prep until the van after this one comes, in millionths."""

    prep: str
    amount: int
    short: int
    coming: int
    """On the way here already."""
    ordered: int
    """Ordered by vans that have not come yet."""


class Proposed(Struct, frozen=True):
    """What to order by one trip; `until` is when the next one comes."""

    trip: Trip
    until: datetime
    lines: tuple[ToOrder, ...]


def loads(state: State, now: datetime) -> tuple[Load, ...]:
    """Of each van that leaves from here the next trip, and what has left of late."""
    here, found = state.book.kitchen.member, []
    seen: set[str] = set()
    for trip in trips(state.book, now - IN_SIGHT, comes_from=here) if here else ():
        if trip.leaves > now:
            if trip.van.id in seen:
                continue
            seen.add(trip.van.id)
        lines = _of_trip(state, trip)
        if lines or trip.leaves > now:
            found.append(Load(trip, lines))
    return tuple(found)


def _of_trip(state: State, trip: Trip) -> tuple[ToSend, ...]:
    orders: dict[tuple[str, str], list[Order]] = defaultdict(list)
    notes: dict[tuple[str, str], list[Transfer]] = defaultdict(list)
    names: dict[tuple[str, str], tuple[str, str]] = {}
    for one in state.orders:
        if (one.van, one.day, one.maker) == (trip.van.id, trip.day, trip.van.comes_from) and one.answer != "no":
            orders[one.kitchen, one.prep].append(one)
            names[one.kitchen, one.prep] = (state.book.called(one.prep), one.unit)
    for left in state.transfers:
        if (left.van, left.day, left.sender) == (trip.van.id, trip.day, trip.van.comes_from) and not left.back_at:
            item = left.prep or left.name
            notes[left.receiver, item].append(left)
            names[left.receiver, item] = (left.name, left.unit)
    way = {kitchen: number for number, kitchen in enumerate(trip.van.to)}
    place = {prep.id: prep.order for prep in state.book.preps.values()}
    keys = sorted(names, key=lambda key: (way.get(key[0], len(way)), place.get(key[1], len(place)), key))
    return tuple(
        ToSend(
            kitchen,
            item,
            *names[kitchen, item],
            sum(one.amount for one in orders[kitchen, item] if one.counts),
            tuple(notes[kitchen, item]),
            tuple(one for one in orders[kitchen, item] if not one.counts),
        )
        for kitchen, item in keys
    )


def coming(state: State) -> tuple[Transfer, ...]:
    """What is on its way here, the next to arrive first as far as vans say."""
    here = state.book.kitchen.member
    return tuple(
        one for one in state.transfers if one.receiver == here and one.state == "on the van" and not one.settled
    )


def to_answer_for(state: State, now: datetime) -> tuple[Transfer, ...]:
    """What left here or came here and does not agree, until somebody answers for it; what left here and nobody took
    in within a day, too."""
    here = state.book.kitchen.member
    return tuple(one for one in state.transfers if one.differs or (one.sender == here and one.missing(now)))


def proposed(state: State, pars: Iterable[ParLine], make: Iterable[MakeLine], now: datetime) -> tuple[Proposed, ...]:
    """What to order by the next van that can still be ordered for, of each kitchen that something comes from."""
    book, here = state.book, state.book.kitchen.member
    makers = dict.fromkeys(prep.comes_from for prep in book.preps.values() if prep.comes_from)
    found: list[Proposed] = []
    pars, make = list(pars), list(make)
    for maker in makers:
        pair = to_order(book, maker, here, now)
        if pair is None:
            continue
        trip, following = pair
        until = following.arrives if following else trip.arrives + AT_MOST
        short = _short(state, pars, make, maker, until)
        lines = [line for prep in short if (line := _line(state, prep, short[prep], now))]
        found.append(Proposed(trip, until, tuple(lines)))
    return tuple(found)


def _short(
    state: State, pars: Iterable[ParLine], make: Iterable[MakeLine], maker: str, until: datetime
) -> dict[str, int]:
    """By prep that comes from a kitchen, what services and runs lack up to an instant."""
    book = state.book
    found = {prep.id: 0 for prep in book.preps.values() if prep.comes_from == maker}
    for par in pars:
        if par.prep in found and _needed(state, par) < until:
            found[par.prep] += par.short
    for line in make:
        for note in line.notes:
            item = note.facts.get("item")
            if note.kind == "nothing makes" and item in found and line.begins < until:
                found[str(item)] += int(str(note.facts["amount"]))
    return found


def _needed(state: State, par: ParLine) -> datetime:
    """When a par's sitting begins; of one without a sitting when its day does."""
    days, service = state.book.kitchen.days, state.book.services.get(par.service)
    return days.in_day(par.day, service.starts) if service else days.opens(par.day)


def _line(state: State, prep: str, short: int, now: datetime) -> ToOrder | None:
    here = state.book.kitchen.member
    # What is on a van whose arrival is known counts in the plan already.
    counted = {one.note for one, _there in on_vans(state, now)}
    every = [one for one in coming(state) if one.prep == prep and not one.held and not one.missing(now)]
    on_the_way = sum(one.amount for one in every if one.note not in counted)
    ordered = sum(
        one.amount
        for one in state.orders
        if one.kitchen == here and one.prep == prep and one.answer != "no" and not _has_left(state, one, now)
    )
    amount = short - on_the_way - ordered
    if state.book.preps[prep].measure.kind == "count":
        amount = -(-amount // MILLION) * MILLION
    return ToOrder(prep, amount, short, sum(one.amount for one in every), ordered) if amount > 0 else None


def _has_left(state: State, order: Order, now: datetime) -> bool:
    """Whether the van of an order has left: what it brings is coming by then, or does not come."""
    van = state.book.vans.get(order.van)
    day = state.book.kitchen.days.business_day(now)
    return (
        van is None or order.day < day or (order.day == day and state.book.kitchen.days.in_day(day, van.leaves) <= now)
    )
