"""Sittings: whether one can be, and how the file names it."""

from __future__ import annotations

from collections.abc import Iterable

from prepboard.book.book import Dish, Prep
from prepboard.book.saying import nearest
from prepboard.plan.state import Sitting
from prepboard.store.doing import Doing
from prepboard.store.who import Refused
from prepboard.texts import _


def sitting_key(sitting: Sitting) -> tuple[str, str]:
    """(day, service) as the file's rows begin."""
    return sitting[1].isoformat(), sitting[0]


def check_sitting(doing: Doing, sitting: Sitting) -> None:
    """Refused for a service that the book does not have."""
    if sitting[0] not in doing.book.services:
        raise Refused(
            _("the book has no service {service}").format(service=sitting[0]) + _like(sitting[0], doing.book.services)
        )


def dish_of(doing: Doing, dish: str) -> Dish:
    found = doing.book.dishes.get(dish)
    if found is None:
        raise Refused(_("the book has no dish {dish}").format(dish=dish) + _like(dish, doing.book.dishes))
    return found


def prep_of(doing: Doing, prep: str) -> Prep:
    found = doing.book.preps.get(prep)
    if found is None:
        raise Refused(_("the book has no prep {prep}").format(prep=prep) + _like(prep, doing.book.preps))
    return found


def _like(word: str, words: Iterable[str]) -> str:
    close = nearest(word, words)
    return _("; did you mean {word}?").format(word=close) if close else ""
