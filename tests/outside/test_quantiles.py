"""Pars by mix against scipy's binomial, against direct convolution, and against simulated evenings."""

from __future__ import annotations

from fractions import Fraction

import pytest
from conftest import drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st
from lately import numpy as np
from lately import stats

from prepboard.plan.demand.chances import demand


def one_portion(share: Fraction):
    return ((0, 1 - share), (1, share))


@pytest.mark.parametrize(
    ("level", "portions"), [(0.50, 21), (0.80, 25), (0.90, 27), (0.95, 29), (0.975, 30), (0.99, 32)]
)
def test_the_binomial_table_of_120_covers_at_18_percent(level, portions):
    """Binomial(120, .18): scipy.stats.binom.ppf gives the same table."""
    assert demand(120, one_portion(Fraction(18, 100))).quantile(level) == portions
    assert stats.binom.ppf(level, 120, 0.18) == portions


@given(st.integers(1, 600), st.integers(1, 99), st.sampled_from([0.5, 0.8, 0.85, 0.9, 0.95, 0.99]))
@settings(max_examples=drawn_of(150), deadline=None)
def test_binomial_quantiles_and_chances_are_scipys(guests, percent, level):
    ours = demand(guests, one_portion(Fraction(percent, 100)))
    theirs = stats.binom(guests, percent / 100)
    quantile = ours.quantile(level)
    assert ours.chance(quantile) == pytest.approx(theirs.cdf(quantile), abs=1e-12)
    assert theirs.cdf(quantile) >= level - 1e-12
    assert theirs.cdf(quantile - 1) < level + 1e-12


def test_large_parties_take_the_normal_form():
    """Above 4,000 cells: within one portion of scipy's binomial for 5,000 to 50,000 guests."""
    for guests in (5_000, 20_000, 50_000):
        for share in (Fraction(1, 50), Fraction(22, 100), Fraction(9, 10)):
            for level in (0.5, 0.85, 0.95, 0.99):
                ours = demand(guests, one_portion(share)).quantile(level)
                assert abs(ours - stats.binom.ppf(level, guests, float(share))) <= 1


COMPOUND = [
    (92, {0: Fraction(58, 100), 160: Fraction(22, 100), 60: Fraction(20, 100)}),
    (92, {0: Fraction(1, 10_000), 160: Fraction(80, 100), 65: Fraction(1999, 10_000)}),
    (150, {0: Fraction(1, 100), 45: Fraction(98, 100), 90: Fraction(1, 100)}),
    (60, {30: Fraction(1, 2), 0: Fraction(1, 4), 7: Fraction(1, 4)}),
]


def convolved(guests: int, use: dict[int, Fraction]) -> np.ndarray:
    cells = np.zeros(max(use) + 1)
    for amount, chance in use.items():
        cells[amount] = float(chance)
    total = np.array([1.0])
    for _ in range(guests):
        total = np.convolve(total, cells)
    return np.cumsum(total)


@pytest.mark.parametrize(("guests", "use"), COMPOUND)
def test_compound_quantiles_are_those_of_direct_convolution(guests, use):
    """numpy.convolve, guest by guest; among them a guest who takes nothing by a tiny chance only."""
    ours, theirs = demand(guests, tuple(sorted(use.items()))), convolved(guests, use)
    for level in (0.05, 0.5, 0.85, 0.95, 0.99):
        assert ours.quantile(level) == int(np.searchsorted(theirs, level))
        assert ours.chance(ours.quantile(level)) == pytest.approx(theirs[ours.quantile(level)], abs=1e-11)


@pytest.mark.parametrize(("guests", "use"), COMPOUND)
def test_compound_pars_cover_simulated_evenings_as_they_promise(guests, use):
    """200,000 seeded evenings: the par at .95 covers as many of them as its chance says, within 4 standard errors."""
    evenings = np.random.default_rng(31).multinomial(guests, [float(c) for c in use.values()], size=200_000)
    taken = evenings @ np.array(list(use))
    ours = demand(guests, tuple(sorted(use.items())))
    promised = ours.chance(ours.quantile(0.95))
    error = (promised * (1 - promised) / 200_000) ** 0.5
    assert abs((taken <= ours.quantile(0.95)).mean() - promised) <= 4 * error
    assert float(ours.mean) == pytest.approx(taken.mean(), rel=2e-3)
