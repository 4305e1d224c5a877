"""Sizes: how large the runs are that give an amount, and what a run of a size gives."""

from __future__ import annotations

from fractions import Fraction

from prepboard.book.book import Prep, Sizes
from prepboard.plan.memory import remembered

MOST_RUNS = 60
"""One need never asks for more runs than this; what is missing beyond stays short."""

NEARLY = 100_000
"""What lacks less than this part of a recipe lacks nothing: sixteen portions of five ounces, each rounded to a
millionth, are five pounds."""


def sizes_for(sizes: Sizes, amount: int, a_recipe: int) -> list[Fraction]:
    """The runs that give an amount, of which one recipe gives `a_recipe`: full ones first, then the smallest
    allowed that covers the rest."""
    largest, least = sizes.largest, _smallest_for(sizes, amount, a_recipe)
    if largest is None or least <= largest:
        return [least]
    recipes, runs = Fraction(amount, a_recipe), list[Fraction]()
    while recipes > largest and len(runs) < MOST_RUNS:
        recipes -= largest
        runs.append(largest)
    rest = _smallest_for(sizes, *recipes.as_integer_ratio())
    return [*runs, min(rest, largest)]


def _smallest_for(sizes: Sizes, amount: int, a_recipe: int) -> Fraction:
    """The smallest allowed size that gives an amount, to `NEARLY` of a recipe; in whole numbers, since it is asked
    often."""
    least, of_least = sizes.smallest.as_integer_ratio()
    by, of_step = sizes.step.as_integer_ratio()
    parts, least, by = of_least * of_step, least * of_step, by * of_least
    lacks = (amount * parts - least * a_recipe) * NEARLY - parts * a_recipe
    steps = max(0, -(-lacks // (by * a_recipe * NEARLY)))
    return _fraction(least + steps * by, parts)


@remembered
def _fraction(numerator: int, denominator: int) -> Fraction:
    return Fraction(numerator, denominator)


def amounts(recipe: Prep, size: Fraction) -> dict[str, int]:
    """What a run of this size gives, in millionths, by prep."""
    recipes, parts = size.as_integer_ratio()
    return {prep: scaled_by(amount, recipes, parts) for prep, amount in recipe.outputs.items()}


def scaled(amount: int, size: Fraction) -> int:
    """An amount of one recipe in a run of this size, to the nearest millionth."""
    return scaled_by(amount, *size.as_integer_ratio())


def scaled_by(amount: int, recipes: int, parts: int) -> int:
    """The same of a size that is given as so many parts of a recipe."""
    return (2 * amount * recipes + parts) // (2 * parts)
