"""The mix: the shares of a course when one dish of it is set by hand, and what a sitting expects of each dish."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from prepboard.book.book import Book
from prepboard.plan.demand.expected import AtSitting, at_sitting, counts_of
from prepboard.plan.demand.occasions import Occasion, Table, table
from prepboard.plan.given.state import State


def shares(book: Book, at: Occasion, dish: str, share: Fraction, *, only: bool = False) -> dict[str, Fraction]:
    """The shares to set: the dish's, and those of the others of its course.

    As many guests as before take some dish of the course, so the others shrink or grow together, in proportion. Only
    where the dish alone takes more than the course did, the course grows. With `only` the others stay.
    """
    own = table(book, at).own_share
    course = book.dishes[dish].course
    others = {
        other: own_share
        for other, own_share in own.items()
        if course is not None and other != dish and book.dishes[other].course == course
    }
    taken = sum(others.values(), Fraction(0))
    if taken and not only:
        room = max(Fraction(0), own.get(dish, Fraction(0)) + taken - share)
        others = {other: own_share * room / taken for other, own_share in others.items()}
    return {dish: share} if only else {dish: share, **others}


Source = Literal["menu", "share", "by hand", "history", "count", "moved"]


class Taken(Struct, frozen=True):
    """What a sitting expects of one dish that the book offers there. Shares are of all its guests."""

    dish: str
    share: Fraction
    by_hand: bool
    """The share was set for this sitting."""
    count: int | None
    """A fixed count; None where the guests choose."""
    portions: float
    off: bool
    """Taken off by a person."""
    parts: tuple[tuple[Source, float], ...] = ()
    """Where the portions come from: a menu, the dish's share by the book or by hand, what it sold lately, a fixed
    count; "moved" are those of guests whose own dish is off. They add up to the portions."""


def dishes_of(state: State, now: datetime, at: Occasion) -> tuple[Taken, ...]:
    """The dishes of a sitting in book order, those that were taken off among them."""
    every, known = table(state.book, at, whole=True), at_sitting(state, now, at)
    counts = counts_of(at)
    return tuple(
        Taken(
            dish,
            every.own_share[dish],
            dish in at.tonight.shares,
            counts.get(dish),
            known.portions(dish),
            dish in at.tonight.off,
            tuple(_parts(at, every, known, dish)) if dish not in at.tonight.off else (),
        )
        for dish in every.dishes
    )


def _parts(at: Occasion, every: Table, known: AtSitting, dish: str) -> Iterator[tuple[Source, float]]:
    asked = known.asked[dish]
    if asked.fixed or asked.by_history:
        yield ("count" if asked.fixed else "history"), asked.portions
    else:
        by_menu = float(sum(menu.share for menu in every.menus if dish in menu.dishes))
        by_menu *= at.covers * (1 + at.tonight.percent / 100)
        if by_menu:
            yield "menu", by_menu
        if asked.portions - by_menu > 1e-9 or not by_menu:
            yield ("by hand" if dish in at.tonight.shares else "share"), asked.portions - by_menu
    more = known.portions(dish) - asked.portions
    if more > 1e-9:
        yield "moved", more
