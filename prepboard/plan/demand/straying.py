"""Straying: guests of one night are more alike than independent ones, so that the mean itself strays.

`spread` is by how much of itself (its standard deviation). Of N guests, of whom m are expected to take some, the
variance is (1 + spread² m) times that of independent guests: a Dirichlet-multinomial distribution (Johnson, Kotz and
Balakrishnan, Discrete Multivariate Distributions, 1997, chapter 35.13), for one portion size the beta-binomial, with
(N - 1) rho = spread² m. Nobody takes twice. With spread 0 guests choose independently, as textbooks have it. Measured
on open data, independent guests promise 0.9 and keep 0.85 to 0.89.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from itertools import accumulate, zip_longest
from math import sqrt

from msgspec.structs import replace

from prepboard.plan.demand.chances import ONE, GuestUse, PrepDemand, demand
from prepboard.plan.demand.portions import portions
from prepboard.plan.memory import remembered

_TILTS = (
    (-2.8569700, 0.0112574),
    (-1.3556262, 0.2220759),
    (0.0, 0.5333334),
    (1.3556262, 0.2220759),
    (2.8569700, 0.0112574),
)
"""Five points and weights with the moments of a standard normal distribution up to the ninth (Gauss
and Hermite's quadrature; numpy.polynomial.hermite_e.hermegauss(5) gives the same)."""

_PARTS = 10**9


@remembered
def straying(guests: int, use: GuestUse, spread: float) -> PrepDemand:
    """The demand of so many guests of one night, each of whom takes by `use`."""
    plain = demand(guests, use)
    takers = guests * float(sum(chance for amount, chance in use if amount))
    if spread <= 0 or guests < 2 or len(use) < 2 or not takers:
        return plain
    alike = min(0.99, spread**2 * takers / (guests - 1))
    if not plain.cumulative:
        return replace(plain, deviation=plain.deviation * sqrt(1 + alike * (guests - 1)))
    if len(use) == 2:
        chances = _beta_binomial(guests, float(use[1][1]), alike)
        return replace(plain, cumulative=_in_parts(accumulate(chances)))
    return _tilted(guests, use, plain, alike)


@remembered
def each(guests: int, share: Fraction, spread: float) -> PrepDemand:
    """The demand in portions of something that guests take more than once, such as bread: `share` a guest, of which
    the whole part is for certain and the rest by chance, and all of it strays with the night."""
    whole, rest = divmod(share, 1)
    independent = demand(guests, ((int(whole), 1 - rest), (int(whole) + 1, rest))) if rest else None
    mean = guests * share
    if spread <= 0 or not mean:
        return independent or demand(guests, ((int(whole), Fraction(1)),))
    ratio = float(rest * (1 - rest) / share) + spread**2 * float(mean)
    return replace(portions(float(mean), ratio), mean=mean)


def _beta_binomial(guests: int, share: float, alike: float) -> list[float]:
    """The chance of each number of takers. `alike` is how far two guests of a night are (their correlation)."""
    if share >= 1:
        return [0.0] * guests + [1.0]
    first, second = share * (1 / alike - 1), (1 - share) * (1 / alike - 1)
    most_likely = max(0, min(guests, int(guests * share)))
    weights = [0.0] * (guests + 1)
    weights[most_likely] = 1.0
    for k in range(most_likely, guests):
        weights[k + 1] = weights[k] * (guests - k) * (k + first) / ((k + 1) * (guests - k - 1 + second))
    for k in range(most_likely, 0, -1):
        weights[k - 1] = weights[k] * k * (guests - k + second) / ((guests - k + 1) * (k - 1 + first))
    total = sum(weights)
    return [weight / total for weight in weights]


def _tilted(guests: int, use: GuestUse, plain: PrepDemand, alike: float) -> PrepDemand:
    """Several portion sizes: nights on which guests take by `use` tilted towards more or towards less, weighed so that
    mean and variance are the Dirichlet-multinomial's."""
    middle = float(sum(amount * chance for amount, chance in use))
    deviation = sqrt(float(sum((amount - middle) ** 2 * chance for amount, chance in use)))
    nights = []
    for tilt, weight in _TILTS:
        by = tilt * sqrt(alike) / deviation
        parts = [max(1, round(float(chance) * (1 + by * (amount - middle)) * _PARTS)) for amount, chance in use]
        total = sum(parts)
        night = tuple((amount, Fraction(part, total)) for (amount, _), part in zip(use, parts, strict=True))
        nights.append((demand(guests, night), weight))
    rows = zip_longest(*(one.cumulative for one, _weight in nights), fillvalue=ONE)
    weights = [weight for _one, weight in nights]
    return replace(plain, cumulative=_in_parts(_weighed(row, weights) for row in rows))


def _weighed(row: tuple[int, ...], weights: list[float]) -> float:
    return sum(chance / ONE * weight for chance, weight in zip(row, weights, strict=True))


def _in_parts(chances: Iterable[float]) -> tuple[int, ...]:
    """Cumulative chances in 2^-64; the last is certainty."""
    found = [min(ONE, round(chance * ONE)) for chance in chances]
    found[-1] = ONE
    return tuple(accumulate(found, max))
