"""Running out: the chance that more is asked for than is there, and how much must be asked for until that is likely.

The guests still to come ask by chance (Poisson) at a pace that is itself not known for sure (gamma): together that is
the negative binomial distribution. Its shape is what the expectation is worth and the plates that went out (Gelman,
Carlin, Stern, Dunson, Vehtari, Rubin: Bayesian Data Analysis, 3rd ed., section 2.6, "Poisson model parameterized in
terms of rate and exposure").
"""

from __future__ import annotations

from math import exp, inf, isinf, log1p, sqrt
from statistics import NormalDist

from prepboard.plan.memory import remembered

_NORMAL = NormalDist()

MOST_SUMMED = 600
"""Above so many plates the normal form with its skewness stands in."""


@remembered
def chance_of_more(plates: int, mean: float, shape: float) -> float:
    """The chance that more than `plates` are asked for, with this mean and shape; an infinite shape is Poisson's."""
    if plates < 0:
        return 1.0
    if mean <= 0:
        return 0.0
    if plates > MOST_SUMMED or mean > 2 * MOST_SUMMED:
        return _roughly(plates, mean, shape)
    first = -mean if isinf(shape) else -shape * log1p(mean / shape)
    if first < -700:
        return _roughly(plates, mean, shape)
    term = total = exp(first)
    part = 0.0 if isinf(shape) else mean / (mean + shape)
    for n in range(plates):
        term *= mean / (n + 1) if isinf(shape) else (shape + n) / (n + 1) * part
        total += term
    return max(0.0, 1.0 - total)


def _roughly(plates: int, mean: float, shape: float) -> float:
    variance = mean + (0.0 if isinf(shape) else mean * mean / shape)
    skewness = (1.0 if isinf(shape) else 1 + 2 * mean / shape) / sqrt(variance)
    z = (plates + 0.5 - mean) / sqrt(variance)
    density = exp(-z * z / 2) / sqrt(2 * 3.141592653589793)
    return min(1.0, max(0.0, 1.0 - (_NORMAL.cdf(z) - skewness / 6 * (z * z - 1) * density)))


def pace(out: float, expected: float, surety: float) -> float:
    """What has gone out against what was expected, as far as that may be believed: (out + k)/(expected + k)."""
    return 1.0 if surety == inf else (out + surety) / (expected + surety)
