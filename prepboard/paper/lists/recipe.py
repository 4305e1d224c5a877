"""A recipe scaled to one run: what it gives, what goes in, step by step, and what it holds that harms some guests."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from msgspec import Struct

from prepboard.book.book import Book, Life, Prep, Step, Temperature, Use
from prepboard.book.safety.allergens import carried, listed


class Ingredient(Struct, frozen=True):
    """What a run takes of an item. `as_bought` is None for preps; `step` counts from 0, None where no step names it."""

    item: str
    amount: int
    as_bought: int | None
    step: int | None


class Sheet(Struct, frozen=True):
    prep: Prep
    size: Fraction
    makes: Mapping[str, int]
    uses: tuple[Ingredient, ...]
    takes_if_there: tuple[Ingredient, ...]
    """What is taken when it is on hand, and never planned for."""
    steps: tuple[Step, ...]
    allergens: tuple[str, ...]


def maker(book: Book, prep: str) -> Prep | None:
    """The prep whose recipe gives this one: its own, else the first that it comes with; None when nothing makes it."""
    found = book.preps[prep]
    if found.outputs:
        return found
    return next((book.preps[name] for name in found.made_by if name in book.preps), None)


def sheet(book: Book, recipe: Prep, size: Fraction) -> Sheet:
    """A prep's own recipe at a size; exact amounts, rounded once to millionths."""
    return Sheet(
        prep=recipe,
        size=size,
        makes={item: round(amount * size) for item, amount in recipe.outputs.items()},
        uses=tuple(_ingredient(book, use, size) for use in recipe.uses),
        takes_if_there=tuple(_ingredient(book, use, size) for use in recipe.takes_if_there),
        steps=recipe.steps,
        allergens=listed(carried(book, recipe.id), book.kitchen.allergens),
    )


def _ingredient(book: Book, use: Use, size: Fraction) -> Ingredient:
    goods = book.goods.get(use.item)
    amount = use.amount * size
    bought = round(amount / goods.usable) if goods and goods.usable else None
    return Ingredient(use.item, round(amount), bought, use.step)


def temperature_text(written: Temperature | None) -> str | None:
    """As the book writes it: "160 C"."""
    return f"{float(written.degrees):g} {written.unit}" if written else None


def life_text(life: Life) -> str:
    """As the book writes it: "5 days", "36 h", "90 min"."""
    if life.days is not None:
        return f"{life.days} days"
    minutes = life.minutes or 0
    return f"{minutes // 60} h" if minutes % 60 == 0 else f"{minutes} min"
