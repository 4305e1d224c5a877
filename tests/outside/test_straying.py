"""Pars by mix of guests who are alike, against scipy's beta-binomial and numpy's Dirichlet-multinomial."""

from __future__ import annotations

from fractions import Fraction

import pytest
from lately import hermite_e, stats
from lately import numpy as np

from prepboard.plan.demand.chances import demand
from prepboard.plan.demand.straying import _TILTS, each, straying

SPREAD = 0.1


def one_portion(share: Fraction):
    return ((0, 1 - share), (1, share))


@pytest.mark.parametrize(("guests", "percent"), [(120, 18), (40, 30), (300, 5), (12, 90), (2, 50)])
def test_one_portion_size_is_the_beta_binomial(guests, percent):
    """Variance N q (1 - q) (1 + spread² m), and no more than the covers: scipy.stats.betabinom."""
    share = percent / 100
    alike = SPREAD**2 * guests * share / (guests - 1)
    theirs = stats.betabinom(guests, share * (1 / alike - 1), (1 - share) * (1 / alike - 1))
    assert theirs.var() == pytest.approx(guests * share * (1 - share) * (1 + SPREAD**2 * guests * share))
    ours = straying(guests, one_portion(Fraction(percent, 100)), SPREAD)
    for portions in range(guests + 1):
        assert ours.chance(portions) == pytest.approx(theirs.cdf(portions), abs=1e-9)
    assert ours.quantile(0.9999999) <= guests


def test_without_spread_guests_are_independent():
    use = ((0, Fraction(58, 100)), (60, Fraction(20, 100)), (160, Fraction(22, 100)))
    assert straying(92, use, 0.0) == demand(92, use)
    assert straying(120, one_portion(Fraction(18, 100)), 0.0).quantile(0.95) == 29


def test_several_portion_sizes_keep_what_they_promise_on_nights_that_stray():
    """200,000 seeded nights of a Dirichlet-multinomial with the same variance: covered as promised within a point."""
    use = {0: 0.58, 60: 0.20, 160: 0.22}
    guests, chances = 92, np.array(list(use.values()))
    alike = SPREAD**2 * guests * 0.42 / (guests - 1)
    draw = np.random.default_rng(7)
    nights = draw.multinomial(guests, draw.dirichlet(chances * (1 / alike - 1), size=200_000))
    taken = nights @ np.array(list(use))
    ours = straying(guests, tuple((amount, Fraction(str(chance))) for amount, chance in use.items()), SPREAD)
    for level in (0.8, 0.9, 0.95):
        par = ours.quantile(level)
        assert (taken <= par).mean() == pytest.approx(ours.chance(par), abs=0.01)
        assert par > demand(guests, tuple((a, Fraction(str(c))) for a, c in use.items())).quantile(level)


def test_the_five_points_are_those_of_gauss_and_hermite():
    points, weights = hermite_e.hermegauss(5)
    assert [point for point, _ in _TILTS] == pytest.approx(points, abs=1e-6)
    assert [weight for _, weight in _TILTS] == pytest.approx(weights / np.sqrt(2 * np.pi), abs=1e-6)


def test_bread_strays_as_a_whole():
    """q 1.4 a guest: mean N q, variance/mean r (1 - r)/q + spread² m, here above 1: scipy's negative binomial."""
    mean, ratio = 168.0, 0.4 * 0.6 / 1.4 + 0.01 * 168
    ours = each(120, Fraction(14, 10), SPREAD)
    for level in (0.5, 0.9, 0.95):
        assert ours.quantile(level) == stats.nbinom.ppf(level, mean / (ratio - 1), 1 / ratio)
    assert each(120, Fraction(14, 10), 0.0).quantile(0.95) == 120 + 57
    assert each(120, Fraction(2), 0.0).quantile(0.95) == 240


def test_a_large_party_takes_the_normal_form_with_its_wider_scatter():
    share, guests = 0.2, 8000
    alike = SPREAD**2 * guests * share / (guests - 1)
    theirs = stats.betabinom(guests, share * (1 / alike - 1), (1 - share) * (1 / alike - 1))
    ours = straying(guests, one_portion(Fraction(2, 10)), SPREAD).quantile(0.9)
    assert ours == pytest.approx(theirs.ppf(0.9), rel=0.005)
