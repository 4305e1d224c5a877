"""Drafts: numbers that somebody has typed and not saved, and the state as it would be with them.

A draft remembers of each number what it was set to when it was typed, so that nobody's change is overwritten
unseen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from prepboard.book.days import ONE_DAY
from prepboard.plan.mixing import shares
from prepboard.plan.occasions import Occasion, occasions
from prepboard.plan.state import Change, Number, Sitting, State, Tonight, Value

Draft = Mapping[Number, Change]
"""The numbers typed, in the order in which they were typed first."""

NOTHING_SET = Tonight()


def set_to(state: State, number: Number) -> Value:
    """What somebody set a number to; None where it is the book's, or computed (0 for a percentage)."""
    if number.sitting is None:
        return state.standing.get(number.item)
    tonight = state.tonight.get(number.sitting, NOTHING_SET)
    if number.of == "covers":
        return tonight.covers
    if number.of == "percent":
        return tonight.percent
    of_items: dict[str, Mapping[str, Any]] = {"mix": tonight.shares, "count": tonight.counts, "par": tonight.pars}
    found: Value = of_items[number.of].get(number.item)
    return found


def in_force(state: State, number: Number) -> Value:
    """What a number counts as: as somebody set it, else the book's; None where it is computed, or there is none."""
    value = set_to(state, number)
    if value is not None or number.sitting is None:
        return value
    service, day = number.sitting
    if number.of == "covers" and service in state.book.services:
        return state.book.services[service].covers.on(day) or 0
    if number.of == "mix" and number.item in state.book.dishes:
        return state.book.dishes[number.item].share
    if number.of == "count" and service in state.book.services:
        return (state.book.services[service].counts or {}).get(number.item)
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
    tonight, standing = dict(state.tonight), dict(state.standing)
    for change in changes:
        number = change.number
        if number.sitting is None:
            _put(standing, number.item, change.to)
        else:
            tonight[number.sitting] = _with(tonight.get(number.sitting, NOTHING_SET), number, change.to)
    return replace(state, tonight=tonight, standing=standing)


def _with(tonight: Tonight, number: Number, to: Value) -> Tonight:
    if number.of == "covers":
        return replace(tonight, covers=None if to is None else int(to))
    if number.of == "percent":
        return replace(tonight, percent=int(to or 0))
    name = {"mix": "shares", "count": "counts", "par": "pars"}[number.of]
    of_items: dict[str, Any] = {name: dict(getattr(tonight, name))}
    _put(of_items[name], number.item, to)
    return replace(tonight, **of_items)


def _put(values: dict[str, Any], item: str, to: Value) -> None:
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
