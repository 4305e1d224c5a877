"""What food holds that harms some guests, as the kitchen's label lists it."""

from __future__ import annotations

from prepboard.book.book import Book
from prepboard.book.safety.allergens import carried, listed, of_dish
from prepboard.paper.text.saying import is_known
from prepboard.plan.given.state import Batch, State


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
    """Goods that go into a dish, however far down, and of which the book states no allergen: none, or not written."""
    book, found, seen = state.book, dict[str, None](), set[str]()
    ahead = list(book.dishes[dish].plate)
    while ahead:
        item = ahead.pop(0)
        if item in seen:
            continue
        seen.add(item)
        if item in book.goods and not book.goods[item].allergens:
            found[item] = None
        if prep := book.preps.get(item):
            ahead += [use.item for maker in prep.made_by for use in book.preps[maker].uses]
    return tuple(found)
