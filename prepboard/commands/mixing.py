"""The shares of a course when one dish of it is set by hand."""

from __future__ import annotations

from fractions import Fraction

from prepboard.book.book import Book
from prepboard.plan.occasions import Occasion, table


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
