"""Costs: what a prep costs to make, from the prices of goods; what comes along with a run costs nothing, its cost
lies on what drives the run."""

from __future__ import annotations

from fractions import Fraction

from prepboard.book.amounts import MILLION, UNITS
from prepboard.book.book import Book, Prep
from prepboard.plan.memory import memory_of


def costs(book: Book) -> dict[str, Fraction]:
    """Money for one millionth of each prep and good, as far as prices are known."""
    return memory_of(book).once("costs", lambda: _costs(book))


def _costs(book: Book) -> dict[str, Fraction]:
    known = {
        goods.id: goods.cost / (UNITS[goods.measure.unit].size * MILLION) / goods.usable
        for goods in book.goods.values()
        if goods.cost is not None
    }
    for group in reversed(book.together):
        for maker in group:
            _add_run(book.preps[maker], known)
    return known


def _add_run(recipe: Prep, known: dict[str, Fraction]) -> None:
    """Lays the cost of one run on what drives it, by amount where that is more than one; what comes along costs
    nothing. Without any price nothing is known."""
    if not any(use.item in known for use in recipe.uses):
        return
    total = sum((known.get(use.item, Fraction(0)) * use.amount for use in recipe.uses), Fraction(0))
    drivers = [prep for prep in recipe.driven_by if recipe.outputs.get(prep)]
    for prep in drivers:
        known.setdefault(prep, total / len(drivers) / recipe.outputs[prep])
    for prep in recipe.outputs:
        known.setdefault(prep, Fraction(0))


def cost_of(book: Book, item: str, amount: int) -> Fraction | None:
    """What an amount cost; None where no price is known."""
    each = costs(book).get(item)
    return None if each is None else each * amount
