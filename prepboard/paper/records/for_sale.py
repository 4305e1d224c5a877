"""What a label says of food that is packed for sale: every ingredient by falling weight, its allergens in capitals.

Regulation (EU) 1169/2011, articles 9, 18 and 21, and 21 CFR 101.4 (from memory): all that goes in, in descending order
of weight as it is used, compound ingredients with theirs in brackets, allergens set apart. A help, not the law of the
place: what else it asks (the business's address, the exact net weight, the share of what is named) the kitchen adds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from prepboard.book.amounts import MILLION, Measure
from prepboard.book.book import Book, Prep
from prepboard.book.safety.allergens import listed as in_order
from prepboard.book.safety.allergens import with_species
from prepboard.paper.sentences.contains import allergen_text
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import listed
from prepboard.texts import _

DEEPEST = 6
"""Recipes within recipes; beyond it something is wrong with the book."""


def ingredients(book: Book, recipe: Prep, instead: Mapping[str, str]) -> tuple[str, list[str]]:
    """The list as one sentence, by the book that the batch was made by and with what took whose place; and the names of
    ingredients whose weight the book does not give, which stand last."""
    lost: list[str] = []
    said = _of(book, recipe, instead, lost, 0)
    return said, list(dict.fromkeys(lost))


def lines(book: Book, recipe: Prep, instead: Mapping[str, str]) -> list[str]:
    """What stands on the label: the ingredients, and what the order of which is not known."""
    said, lost = ingredients(book, recipe, instead)
    found = [_("Ingredients: {list}.").format(list=said)] if said else [_("Ingredients: the book names none.")]
    if lost:
        names = listed(lost)
        found.append(_("Not weighed in the book, and so not in their order: {names}.").format(names=names))
    return found


def _of(book: Book, recipe: Prep, instead: Mapping[str, str], lost: list[str], depth: int) -> str:
    weights: dict[str, Fraction | None] = {}
    for use in (*recipe.uses, *recipe.takes_if_there):
        item = instead.get(use.item, use.item)
        weight = grams(book.measure(use.item), use.amount) if use.item in {*book.preps, *book.goods} else None
        known = weights.get(item, Fraction(0))
        weights[item] = known + weight if known is not None and weight is not None else None
    in_falling = sorted(weights, key=lambda item: (weights[item] is None, -(weights[item] or 0)))
    parts = []
    for item in in_falling:
        name = plain(book.name(item))
        lost += [name] if weights[item] is None and len(weights) > 1 else []
        parts.append(_one(book, item, name, lost, depth))
    return ", ".join(parts)


def _one(book: Book, item: str, name: str, lost: list[str], depth: int) -> str:
    prep = book.preps.get(item)
    if prep is not None:
        maker = next((book.preps[one] for one in prep.made_by if one in book.preps), None)
        inside = _of(book, maker, {}, lost, depth + 1) if maker is not None and depth < DEEPEST else ""
        own = _capitals(book, prep.allergens)
        more = ", ".join(part for part in (inside, own) if part)
        return f"{name} ({more})" if more else name
    goods = book.goods.get(item)
    if goods is None:
        return name
    held = _capitals(book, [with_species(one, goods.species) for one in goods.allergens])
    return f"{name} ({held})" if held else name


def _capitals(book: Book, allergens: Iterable[str]) -> str:
    which = book.kitchen.allergens
    return ", ".join(allergen_text(one, which).upper() for one in in_order(allergens, which))


def grams(measure: Measure, millionths: int) -> Fraction | None:
    """What an amount weighs; a millilitre without a density of its own weighs a gram (common practice, no source). None
    where the book gives no weight."""
    base = Fraction(millionths, MILLION)
    if measure.kind == "mass":
        return base
    if measure.kind == "volume":
        return base * (measure.density or 1)
    if measure.each is None:
        return None
    return base * measure.each * (1 if measure.each_kind == "mass" else measure.density or 1)
