"""Demands that add up: what several dishes, each for itself, take of the prep that they share."""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate, pairwise
from math import gcd

from msgspec.structs import replace

from prepboard.plan.demand.chances import MOST_CELLS, ONE, PrepDemand
from prepboard.plan.demand.grids import Grid, grid
from prepboard.plan.memory import remembered

_CHANCE, _SLOT = 9, 17
"""Bytes for one chance of at most 2^64; for one cell of a product, two chances and room for their sum."""
_read = int.from_bytes


@remembered
def summed(demands: tuple[PrepDemand, ...]) -> PrepDemand:
    """The distribution of the sum of independent demands; the normal form where it has too many cells."""
    if len(demands) == 1:
        return demands[0]
    by_chance = [one for one in demands if len(one.cumulative) != 1]
    mean = sum((one.mean for one in demands), Fraction(0))
    at_least = sum(one.at_least for one in demands)
    if not by_chance:
        return PrepDemand(mean, at_least, 1, (ONE,), tolerance=min(one.tolerance for one in demands))
    tolerance = min(one.tolerance for one in demands)
    laid = grid(tuple(one.step for one in by_chance), MOST_CELLS) if all(one.cumulative for one in by_chance) else None
    if laid is None or _cells(by_chance, laid) > MOST_CELLS:
        step = gcd(*(one.step for one in by_chance))
        return replace(_normal(mean, at_least, step, by_chance), tolerance=tolerance)
    step = laid.cell
    on_grid = [
        replace(one, step=cells * laid.cell) if laid.loose else one
        for one, cells in zip(by_chance, laid.cells, strict=True)
    ]
    chances = _convolved(on_grid)
    cumulative = tuple(accumulate(chances))
    if cumulative[-1] > ONE:
        cumulative = tuple(min(ONE, chance) for chance in cumulative)
    loose = max(laid.loose, *(one.loose for one in demands))
    return PrepDemand(mean, at_least, step, cumulative, tolerance=tolerance, loose=loose)


def _cells(demands: list[PrepDemand], laid: Grid) -> int:
    """Cells of the sum, on a grid of their steps."""
    return sum((len(one.cumulative) - 1) * cells for one, cells in zip(demands, laid.cells, strict=True)) + 1


def _convolved(demands: list[PrepDemand]) -> list[int]:
    """The chances of the sum, in 2^-64, by steps of the common divisor of theirs. A distribution is laid out as the
    digits of one long number, so that a product of numbers is a convolution (Kronecker's substitution); the one with
    fewer cells is multiplied in cell by cell (Horner's rule)."""
    step, chances = demands[0].step, _chances(demands[0])
    for one in demands[1:]:
        both, others = gcd(step, one.step), _chances(one)
        cells = (len(chances) - 1) * (step // both) + (len(others) - 1) * (one.step // both) + 1
        (few, apart), (many, their_apart) = sorted(
            ((chances, step // both), (others, one.step // both)), key=lambda laid: len(laid[0])
        )
        product, digits, by = 0, _laid_out(many, their_apart), 8 * _SLOT * apart
        for chance in reversed(few):
            product = (product << by) + digits * chance
        written = product.to_bytes(_SLOT * cells, "little")
        step, chances = both, [_read(written[at + 8 : at + _SLOT], "little") for at in range(0, _SLOT * cells, _SLOT)]
    return chances


def _laid_out(chances: list[int], apart: int) -> int:
    rest = bytes(_SLOT * apart - _CHANCE)
    return _read(rest.join([chance.to_bytes(_CHANCE, "little") for chance in chances]), "little")


def _chances(one: PrepDemand) -> list[int]:
    return [one.cumulative[0], *(after - before for before, after in pairwise(one.cumulative))]


def _normal(mean: Fraction, at_least: int, step: int, demands: list[PrepDemand]) -> PrepDemand:
    """Variance and third moment add up."""
    moments = [_moments(one) for one in demands]
    variance, third = (sum(part) for part in zip(*moments, strict=True))
    deviation = max(variance, 1e-18) ** 0.5
    return PrepDemand(mean, at_least, step, (), deviation / step, third / deviation**3)


def _moments(one: PrepDemand) -> tuple[float, float]:
    """Variance and third moment about the mean."""
    if not one.cumulative:
        deviation = one.deviation * one.step
        return deviation**2, one.skewness * deviation**3
    mean = float(one.mean) - one.at_least
    cells = [(k * one.step - mean, chance / ONE) for k, chance in enumerate(_chances(one))]
    return sum(away**2 * chance for away, chance in cells), sum(away**3 * chance for away, chance in cells)
