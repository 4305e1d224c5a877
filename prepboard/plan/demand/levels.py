"""Levels: with which chance a par must cover its sitting."""

from __future__ import annotations

from prepboard.book.book import Book, Dish, Prep


def service_level(book: Book, prep: Prep) -> float:
    """The chance that a par of this prep must cover: from money, else its own, else the kitchen's."""
    level = level_from_money(prep)
    if level is not None:
        return level
    return prep.service_level if prep.service_level is not None else book.kitchen.service_level


def level_from_money(prep: Prep) -> float | None:
    """cu / (cu + co), margin lost when short against cost thrown away when over: the single-period rule (Snyder and
    Shen, Fundamentals of Supply Chain Theory, 2nd ed., section 4.3). None where the book does not say both."""
    short, over = prep.cost_short, prep.cost_over
    if short is None or over is None or short + over <= 0:
        return None
    return float(short / (short + over))


def level_of_dish(book: Book, dish: Dish) -> float:
    """The chance that a whole plate of a dish is promised: of its preps the least."""
    levels = [service_level(book, book.preps[item]) for item in dish.plate if item in book.preps]
    return min(levels, default=book.kitchen.service_level)
