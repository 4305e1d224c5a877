"""Grids: amounts that share no handy divisor, five ounces beside a hundred grams, laid on one all the same."""

from __future__ import annotations

from math import gcd
from typing import Literal

from msgspec import Struct

from prepboard.plan.memory import remembered

A_THOUSANDTH = 1000
"""An amount is off by no more than this part of itself."""

FINEST = 2000
"""So many cells at most for the smallest amount."""


def whole_portions(amount: int, each: int) -> int:
    """For how many portions an amount is: one that lacks less than a thousandth of a portion is whole, since portions
    of five ounces are rounded to millionths."""
    return (amount + each // A_THOUSANDTH) // each


class Grid(Struct, frozen=True):
    """Amounts as whole cells. A cell is as large as the amount that fits worst needs, so that a sum of cells is never
    less than the amounts are; `loose` is by how much of itself it may be more."""

    cell: int
    cells: tuple[int, ...]
    loose: float = 0.0


def grid(amounts: tuple[int, ...], most: int) -> Grid | None:
    """A grid for these amounts, all above 0, in which the largest takes at most `most` cells: their common divisor
    where that will do, else one in which each is itself to a thousandth. None where no such grid is coarse enough."""
    return _grid(amounts, most) or None


@remembered
def _grid(amounts: tuple[int, ...], most: int) -> Grid | Literal[False]:
    common = gcd(*amounts)
    if max(amounts) // common <= most:
        return Grid(common, tuple(amount // common for amount in amounts))
    least, largest = min(amounts), max(amounts)
    for parts in range(1, FINEST):
        if largest * parts > most * least:
            return False
        cells = tuple(max(1, round(amount * parts / least)) for amount in amounts)
        wide = [-(-amount // count) for amount, count in zip(amounts, cells, strict=True)]
        if (max(wide) - min(wide)) * A_THOUSANDTH <= max(wide):
            return Grid(max(wide), cells, max(wide) / min(wide) - 1)
    return False
