"""The mix: the shares of a course when one dish of it is set by hand, and what a sitting expects of each dish."""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.plan.demand.occasions import Occasion, table


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


class Taken(Struct, frozen=True):
    """What a sitting expects of one dish that the book offers there. Shares are of all its guests."""

    dish: str
    share: Fraction
    by_hand: bool
    """The share was set for this sitting."""
    count: int | None
    """A fixed count; None where the guests choose."""
    portions: Fraction
    off: bool
    """Taken off by a person."""


def dishes_of(book: Book, at: Occasion) -> tuple[Taken, ...]:
    """The dishes of a sitting in book order, those that were taken off among them."""
    every = table(book, replace(at, tonight=replace(at.tonight, off=frozenset())))
    offered = table(book, at)
    counts = {**(at.service.counts or {}), **at.tonight.counts}
    found = []
    for dish in every.dishes:
        off = dish in at.tonight.off
        count = counts.get(dish)
        share = Fraction(0) if off else offered.share(dish)
        portions = Fraction(count) if count is not None else share * at.covers
        if off or (count is None and at.service.counts is not None):
            portions = Fraction(0)
        found.append(Taken(dish, every.own_share[dish], dish in at.tonight.shares, count, portions, off))
    return tuple(found)
