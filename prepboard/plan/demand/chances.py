"""Demand: how much of one prep the guests of one sitting will take, as a distribution.

Each guest chooses independently. One guest's use of a prep is a small table of amounts and chances; the sitting's
is that table's N-th power on the grid of the amounts' common divisor. It is worked out in whole numbers with as
many digits to spare as can be lost on the way; above `MOST_CELLS` a normal distribution with the same mean,
variance and skewness takes over.
"""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from itertools import accumulate
from math import ceil, exp, gcd, lcm, lgamma, log, log2, pi, sqrt
from statistics import NormalDist

from msgspec import Struct
from msgspec.structs import replace

from prepboard.plan.demand.grids import A_THOUSANDTH, grid
from prepboard.plan.memory import remembered

GuestUse = tuple[tuple[int, Fraction], ...]
"""What one guest takes: (amount in millionths, chance), chances adding up to 1."""

MOST_CELLS = 4000
_BITS = 64
ONE = 1 << _BITS
"""Certainty, in 2^-64."""

_NORMAL = NormalDist()


class PrepDemand(Struct, frozen=True):
    """A sitting's use of one prep, in millionths: `at_least` for certain, and whole `step`s above it by chance."""

    mean: Fraction
    at_least: int
    step: int
    cumulative: tuple[int, ...]
    """Chance of at most k steps, in 2^-64; empty when the normal form stands in."""
    deviation: float = 0.0
    skewness: float = 0.0
    tolerance: int = 0
    """What lacks less than this, a thousandth of a portion, lacks nothing: portions are rounded to millionths."""
    loose: float = 0.0
    """By how much of itself a sum of steps may be more than the portions that it stands for."""

    def quantile(self, level: float) -> int:
        """The smallest amount that covers the sitting with at least this chance."""
        if self.cumulative:
            steps = bisect_left(self.cumulative, round(level * ONE))
            return self.at_least + min(steps, len(self.cumulative) - 1) * self.step
        z = _NORMAL.inv_cdf(min(max(level, 1e-9), 1 - 1e-9))
        steps_above = (float(self.mean) - self.at_least) / self.step
        steps_above += self.deviation * (z + (z * z - 1) * self.skewness / 6)
        return self.at_least + max(0, ceil(steps_above - 0.5)) * self.step

    def chance(self, amount: int) -> float:
        """The chance that `amount` covers the sitting."""
        amount += self.tolerance + (int(amount * self.loose) if self.loose else 0)
        if amount < self.at_least:
            return 0.0
        steps = (amount - self.at_least) // self.step
        if self.cumulative:
            return self.cumulative[min(steps, len(self.cumulative) - 1)] / ONE
        z = (steps + 0.5 - (float(self.mean) - self.at_least) / self.step) / self.deviation
        density = exp(-z * z / 2) / sqrt(2 * pi)
        return min(1.0, max(0.0, _NORMAL.cdf(z) - self.skewness / 6 * (z * z - 1) * density))

    def scaled(self, amount: int) -> PrepDemand:
        """The demand when each of its units takes this amount."""
        return replace(
            self,
            mean=self.mean * amount,
            at_least=self.at_least * amount,
            step=self.step * amount,
            tolerance=amount // A_THOUSANDTH,
        )


@remembered
def demand(guests: int, use: GuestUse) -> PrepDemand:
    """The demand of so many guests, each of whom takes by `use`."""
    least = min(amount for amount, _ in use)
    mean = guests * sum((amount * chance for amount, chance in use), Fraction(0))
    above = tuple(amount - least for amount, _ in use if amount > least)
    tolerance = min((amount for amount, _ in use if amount), default=0) // A_THOUSANDTH
    if not above or guests == 0:
        return PrepDemand(mean, guests * least, 1, (ONE,), tolerance=tolerance)
    laid = grid(above, MOST_CELLS // guests)
    if laid is None:
        step = gcd(*above)
        cells = {(amount - least) // step: chance for amount, chance in use}
        return _normal(mean, guests, least, step, cells)
    cells = {0: sum((chance for amount, chance in use if amount == least), Fraction(0))}
    for cell, (_, chance) in zip(laid.cells, (one for one in use if one[0] > least), strict=True):
        cells[cell] = cells.get(cell, Fraction(0)) + chance
    chances = tuple(accumulate(_power(cells, guests)))
    return PrepDemand(mean, guests * least, laid.cell, chances, tolerance=tolerance, loose=laid.loose)


def _normal(mean: Fraction, guests: int, least: int, step: int, cells: dict[int, Fraction]) -> PrepDemand:
    """The normal form: mean, variance and third moment add up over independent guests."""
    middle = sum(k * chance for k, chance in cells.items())
    variance = float(sum((k - middle) ** 2 * chance for k, chance in cells.items()))
    third = float(sum((k - middle) ** 3 * chance for k, chance in cells.items()))
    skewness = third / (variance**1.5 * sqrt(guests)) if variance else 0.0
    return PrepDemand(mean, guests * least, step, (), max(sqrt(guests * variance), 1e-9), skewness)


def _power(cells: dict[int, Fraction], times: int) -> list[int]:
    """The distribution of a sum of `times` independent draws from `cells`, in 2^-64.

    If h = f^N then f h' = N f' h, which gives each coefficient of h from the ones before it (Euler; Knuth, The Art
    of Computer Programming 2, 4.7). The end with the larger chance is the pivot. Errors grow no faster than the
    coefficients of f^-(N+1), so that many binary digits are kept beyond those that are asked for; what is left of
    the whole when less than 2^-64 of it remains is nothing. A sum that no choice makes has chance 0, and an error
    that can be below it.
    """
    last = max(cells)
    mirrored = cells.get(last, 0) > cells[0]
    whole = lcm(*(chance.denominator for chance in cells.values()))
    parts = {(last - k if mirrored else k): int(chance * whole) for k, chance in cells.items() if chance}
    pivot = parts.pop(0)
    count = times * last + 1
    digits = _BITS + _spare_digits(pivot, parts, times, count)
    everything = (whole**times << digits) // pivot**times
    powers = [1 << digits]
    left, others = everything - powers[0], tuple(parts.items())
    for k in range(1, count):
        if left < everything >> _BITS:
            break
        total = 0
        for j, part in others:
            if j <= k:
                total += ((times + 1) * j - k) * part * powers[k - j]
        powers.append(total // (k * pivot))
        left -= powers[k]
    chances = [(max(0, power) << _BITS) // everything for power in powers]
    return [0] * (count - len(chances)) + chances[::-1] if mirrored else chances


def _spare_digits(pivot: int, parts: dict[int, int], times: int, count: int) -> int:
    """Binary digits that `count` steps of the recurrence can lose: |coefficient k of f^-(N+1)| is at most
    C(k + N, N) / r^k, where r is the least modulus that a root of f can have."""
    low, high = 0.0, 1.0
    if sum(parts.values()) <= pivot:
        low = 1.0
    while high - low > 1e-6 and low < 1.0:
        middle = (low + high) / 2
        if sum(part * middle**j for j, part in parts.items()) > pivot:
            high = middle
        else:
            low = middle
    choices = (lgamma(count + times + 1) - lgamma(count + 1) - lgamma(times + 1)) / log(2)
    return ceil(count * -log2(max(low, 1e-9)) + choices + log2(count + 1)) + 8
