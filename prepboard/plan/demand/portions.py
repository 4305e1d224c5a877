"""How many portions of one dish will be asked for, of which only the mean and the scatter are known.

Variance below the mean: binomial; equal to it: Poisson; above it: negative binomial. All three follow one recurrence
(Panjer, "Recursive evaluation of a family of compound distributions", ASTIN Bulletin 12, 1981). Above `LARGE` a
normal distribution with the same mean, variance and skewness takes over.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import accumulate
from math import ceil, exp, inf, log, log1p, sqrt
from statistics import NormalDist

from prepboard.plan.demand.chances import ONE, PrepDemand
from prepboard.plan.memory import remembered

LARGE = 500.0
"""Portions from which on the normal form is taken."""

_NOTHING = 2.0**-66
_NORMAL = NormalDist()


@remembered
def portions(mean: float, ratio: float) -> PrepDemand:
    """The demand in portions with this mean and this variance over the mean; both above 0."""
    chances = _chances(mean, ratio)
    if chances:
        return PrepDemand(Fraction(mean), 0, 1, tuple(min(ONE, round(chance * ONE)) for chance in accumulate(chances)))
    deviation = sqrt(mean * ratio)
    return PrepDemand(Fraction(mean), 0, 1, (), deviation, (2 * ratio - 1) / deviation)


def covering(mean: float, ratio: float, level: float) -> int:
    """The fewest portions that cover the demand with at least this chance: its quantile."""
    return covering_and_promise(mean, ratio, level)[0]


def covering_and_promise(mean: float, ratio: float, level: float) -> tuple[int, float]:
    """The quantile, worked out no further than to there, and the chance that it really covers."""
    wanted, nearly, total = round(level * ONE), level - 1e-9, 0.0
    for count, chance in enumerate(_each_chance(mean, ratio)):
        total += chance
        if total >= nearly and round(total * ONE) >= wanted:
            return count, total
    of_all = portions(mean, ratio)
    found = of_all.quantile(level)
    return found, of_all.chance(found)


def short_beyond(mean: float, ratio: float, least: int, par: int) -> float:
    """Of a demand that is known to be `least` or more: the chance that it is more than `par`."""
    of_all = portions(mean, ratio)
    known = 1 - (of_all.chance(least - 1) if least else 0.0)
    return min(1.0, (1 - of_all.chance(par)) / known) if known > 1e-12 else 1.0


@remembered
def plates(mean: float, ratio: float, amount: int) -> PrepDemand:
    """The demand of a prep of which each portion takes this amount."""
    return portions(mean, ratio).scaled(amount)


def beyond(mean: float, ratio: float, least: int) -> tuple[float, float]:
    """Of a demand that is known to be `least` or more: its mean, and its mean squared distance from `mean`."""
    chances = _chances(mean, ratio)
    if not chances:
        return _beyond_normal(mean, ratio, least)
    rest = list(enumerate(chances))[least:]
    weight = sum(chance for _k, chance in rest)
    if weight < 1e-12:
        return float(max(least, mean)), (least - mean) ** 2
    expected = sum(k * chance for k, chance in rest) / weight
    squared = sum((k - mean) ** 2 * chance for k, chance in rest) / weight
    return expected, squared


@remembered
def _chances(mean: float, ratio: float) -> tuple[float, ...]:
    return tuple(_each_chance(mean, ratio))


def _each_chance(mean: float, ratio: float) -> Iterator[float]:
    """The chance of 0, 1, 2 … portions, as long as it is more than nothing; none where the normal form is due."""
    most: float = inf
    if ratio < 1:
        most = ceil(mean / (1 - ratio))
        ratio = 1 - mean / most
    none = most * log(ratio) if ratio < 1 else -mean * (log1p(ratio - 1) / (ratio - 1) if ratio > 1 else 1.0)
    if mean > LARGE or none < -700:
        return
    chance = exp(none)
    yield chance
    k = 0
    while k < most and (k < mean or chance > _NOTHING):
        chance = chance * (mean + k * (ratio - 1)) / (ratio * (k + 1))
        yield chance
        k += 1


def _beyond_normal(mean: float, ratio: float, least: int) -> tuple[float, float]:
    """The moments of a normal distribution cut off below (Greene, Econometric Analysis, truncated normal)."""
    deviation = sqrt(mean * ratio)
    z = (least - 0.5 - mean) / deviation
    weight = 1 - _NORMAL.cdf(z)
    if weight < 1e-12:
        return float(max(least, mean)), (least - mean) ** 2
    hazard = _NORMAL.pdf(z) / weight
    return mean + deviation * hazard, deviation**2 * (1 + z * hazard)
