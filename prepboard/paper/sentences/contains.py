"""What food holds that harms some guests, as the kitchen's label lists it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from prepboard.book.book import Book
from prepboard.book.safety.allergens import NOT_WHICH, carried, listed, of_dish
from prepboard.paper.text.saying import is_known
from prepboard.paper.text.saying import listed as said_list
from prepboard.plan.given.state import Batch, State
from prepboard.texts import _


def in_dish(state: State, dish: str) -> tuple[str, ...]:
    """The allergens of a dish: what the book says of all on its plate, and what batches on hand hold beyond that."""
    plate = state.book.dishes[dish].plate
    more = (name for batch in state.batches if batch.prep in plate for name in batch.allergens or ())
    return listed((*of_dish(state.book, dish), *more), state.book.kitchen.allergens)


def in_batch(book: Book, batch: Batch) -> tuple[str, ...] | None:
    """The allergens of a batch, of what really went in; None where no recipe states them."""
    if batch.allergens is None and not is_known(book, batch.prep):
        return None
    held = carried(book, batch.prep) if batch.allergens is None else batch.allergens
    return listed(held, book.kitchen.allergens)


def unlisted(state: State, dish: str) -> tuple[str, ...]:
    """Goods that go into a dish, however far down, and of which the book states nothing, not that there is none."""
    return unstated(state.book, state.book.dishes[dish].plate)


def unstated(book: Book, items: Iterable[str]) -> tuple[str, ...]:
    """The same of preps and goods."""
    found, seen = dict[str, None](), set[str]()
    ahead = list(items)
    while ahead:
        item = ahead.pop(0)
        if item in seen:
            continue
        seen.add(item)
        if item in book.goods and not book.goods[item].stated:
            found[item] = None
        if prep := book.preps.get(item):
            makers = [book.preps[maker] for maker in prep.made_by]
            ahead += [item for maker in makers for item in maker.may_take]
    return tuple(found)


def allergen_text(name: str, which: Literal["eu", "us"]) -> str:
    """An allergen as it is printed: "wheat", "fish (trout)"; "nuts (which is not stated)" where the law asks for the
    single name and the book has only the group."""
    plain, bracket, rest = name.partition(" (")
    if bracket:
        return f"{_(plain)} ({rest}"
    return _("{group} (which is not stated)").format(group=_(name)) if name in NOT_WHICH[which] else _(name)


def allergen_list(names: Iterable[str], book: Book) -> str:
    """The same of several; "" for none."""
    return said_list(allergen_text(name, book.kitchen.allergens) for name in names)
