"""Drafts: numbers that somebody has typed and not saved, and the state as it would be with them.

A draft remembers of each number what it was set to when it was typed, so that nobody's change is overwritten
unseen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any, cast

from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.mix import shares
from prepboard.plan.demand.occasions import Occasion, occasions
from prepboard.plan.given.numbers import Change, Number, Value
from prepboard.plan.given.state import Sitting, State, Tonight

Draft = Mapping[Number, Change]
"""The numbers typed, in the order in which they were typed first."""

NOTHING_SET = Tonight()


def set_to(state: State, number: Number) -> Value:
    """What somebody set a number to; None where it is the book's, or computed (0 for a percentage)."""
    if number.sitting is None:
        return _of_day(state, number)
    tonight = state.tonight.get(number.sitting, NOTHING_SET)
    if number.of == "covers":
        return tonight.covers
    if number.of == "percent":
        return tonight.percent
    if number.of == "cancelled":
        return 1 if tonight.cancelled else None
    if number.of == "off":
        return tonight.why_off.get(number.item, "") if number.item in tonight.off else None
    of_items: dict[str, Mapping[str, Any]] = {"mix": tonight.shares, "count": tonight.counts, "par": tonight.pars}
    found: Value = of_items[number.of].get(number.item)
    return found


def _of_day(state: State, number: Number) -> Value:
    name, key = _place(number)
    of_items: Mapping[Any, Any] = getattr(state, name)
    if number.of == "missing":
        return (of_items[key] or "") if key in of_items else None
    found: Value = of_items.get(key)
    return found


def _place(number: Number) -> tuple[str, Any]:
    """The field of the state that a number of no sitting is in, and its key there."""
    day, item = number.day, number.item
    places: dict[str, tuple[str, Any]] = {
        "standing par": ("standing", item),
        "weekday par": ("standing_on", (item, int(number.on) if number.on.isdigit() else 0)),
        "portion": ("portions", (day, number.on, item)),
        "hands": ("hands", (item, day)),
        "equipment": ("equipment", (item, day)),
        "given": ("given", (item, day)),
        "staying": ("staying", (item, day, number.on)),
        "missing": ("missing", item),
    }
    return places[number.of]


def in_force(state: State, number: Number) -> Value:
    """What a number counts as: as somebody set it, else the book's; None where it is computed, or there is none."""
    value = set_to(state, number)
    return value if value is not None else in_the_book(state.book, number)


def in_the_book(book: Book, number: Number) -> Value:
    """What the book has for a number; None where it is computed, or there is none."""
    item, day = number.item, number.sitting[1] if number.sitting else number.day
    service = book.services.get(number.sitting[0]) if number.sitting else None
    if number.of == "covers" and service and day:
        return service.covers.on(day) or 0
    if number.of == "count" and service:
        return (service.counts or {}).get(item)
    if number.of == "mix" and item in book.dishes:
        return book.dishes[item].share
    if number.of == "portion" and number.on in book.dishes:
        return book.dishes[number.on].plate.get(item)
    if number.of == "hands" and item in book.stations and day:
        return book.stations[item].cooks.on(day) or 0
    if number.of == "equipment" and item in book.equipment:
        return book.equipment[item].places
    if number.of == "given" and item in book.preps:
        return book.preps[item].station
    return None


def typed(draft: Draft, state: State, number: Number, to: Value) -> Draft:
    """The draft with one more number typed; one that is typed back to what it was is no change.

    None takes a number by hand away.
    """
    before = draft.get(number)
    seen = before.seen if before else set_to(state, number)
    if to == seen or (to is not None and seen is None and to == in_force(state, number)):
        return {other: change for other, change in draft.items() if other != number}
    return {**draft, number: Change(number, seen, to)}


def share_typed(draft: Draft, state: State, sitting: Sitting, dish: str, share: Fraction) -> Draft:
    """The draft with the share of a dish typed; the others of its course make room, in proportion."""
    laid = lay_over(state, draft.values())
    at = occasion_of(laid, sitting)
    for other, value in shares(state.book, at, dish, share).items() if at else ():
        draft = typed(draft, state, Number("mix", sitting, other), value)
    return draft


def share_freed(draft: Draft, state: State, sitting: Sitting, dish: str) -> Draft:
    """The draft with the shares of a dish's whole course as the book has them."""
    course = state.book.dishes[dish].course
    for other in state.book.dishes.values():
        if other.id == dish or (course is not None and other.course == course):
            draft = typed(draft, state, Number("mix", sitting, other.id), None)
    return draft


def occasion_of(state: State, sitting: Sitting) -> Occasion | None:
    """The occasion of a sitting; None when there is none on that day."""
    days, (_service, day) = state.book.kitchen.days, sitting
    around = occasions(state, days.opens(day), days.opens(day + ONE_DAY))
    return next((one for one in around if one.key == sitting), None)


def lay_over(state: State, changes: Iterable[Change]) -> State:
    """The state as it would be with these numbers set."""
    fields: dict[str, dict[Any, Any]] = {"tonight": dict(state.tonight)}
    for change in changes:
        number = change.number
        if number.sitting is not None:
            tonight = fields["tonight"].get(number.sitting, NOTHING_SET)
            fields["tonight"][number.sitting] = _with(tonight, number, change.to)
            continue
        name, key = _place(number)
        values = fields.setdefault(name, dict(getattr(state, name)))
        if number.of == "missing" and change.to is not None:
            values[key] = change.to or None
        else:
            _put(values, key, change.to)
    more: dict[str, Any] = fields
    return replace(state, **more)


def _with(tonight: Tonight, number: Number, to: Value) -> Tonight:
    if number.of == "covers":
        return replace(tonight, covers=cast(int | None, to))
    if number.of == "percent":
        return replace(tonight, percent=cast(int | None, to) or 0)
    if number.of == "cancelled":
        return replace(tonight, cancelled=bool(to))
    if number.of == "off":
        why = dict(tonight.why_off)
        _put(why, number.item, to)
        off = tonight.off - {number.item} if to is None else tonight.off | {number.item}
        return replace(tonight, off=off, why_off=why)
    name = {"mix": "shares", "count": "counts", "par": "pars"}[number.of]
    of_items: dict[str, Any] = {name: dict(getattr(tonight, name))}
    _put(of_items[name], number.item, to)
    return replace(tonight, **of_items)


def _put(values: dict[Any, Any], item: Any, to: Value) -> None:
    if to is None:
        values.pop(item, None)
    else:
        values[item] = to


def changed_under(draft: Draft, state: State) -> list[Change]:
    """The typed numbers that somebody else set to something else since they were typed."""
    return [change for change in draft.values() if set_to(state, change.number) not in (change.seen, change.to)]


def still_open(draft: Draft, state: State) -> Draft:
    """The draft without what the file has by now, whoever saved it."""
    return {number: change for number, change in draft.items() if set_to(state, number) != change.to}


def mine(draft: Draft, state: State, numbers: Iterable[Number]) -> Draft:
    """The draft with these numbers kept, having seen what somebody else set them to."""
    seen = {number: Change(number, set_to(state, number), draft[number].to) for number in numbers}
    return {**draft, **seen}


def theirs(draft: Draft, numbers: Iterable[Number]) -> Draft:
    """The draft without these numbers: what somebody else set stays."""
    gone = set(numbers)
    return {number: change for number, change in draft.items() if number not in gone}
