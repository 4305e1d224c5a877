"""Portions from history against scipy's binomial, Poisson and negative binomial, and against simulated evenings."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import pytest
from conftest import drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st
from lately import numpy as np
from lately import stats

from prepboard.plan.demand.chances import demand
from prepboard.plan.demand.portions import beyond, covering, portions
from prepboard.plan.demand.summed import summed

LEVELS = (0.5, 0.8, 0.9, 0.95, 0.99)


def law(mean, ratio):
    """scipy's distribution with this mean and this variance over the mean."""
    if ratio < 1:
        n = ceil(mean / (1 - ratio))
        return stats.binom(n, mean / n)
    if ratio == 1:
        return stats.poisson(mean)
    return stats.nbinom(mean / (ratio - 1), 1 / ratio)


@pytest.mark.parametrize(
    ("mean", "ratio", "expected"),
    [
        (21.6, 1.0, (21, 25, 28, 30, 33)),
        (21.6, 2.0, (21, 27, 30, 33, 39)),
        (3.0, 1.0, (3, 4, 5, 6, 8)),
        (10.0, 1.0, (10, 13, 14, 15, 18)),
        (40.0, 1.0, (40, 45, 48, 51, 55)),
    ],
)
def test_the_tables_of_poisson_and_negative_binomial(mean, ratio, expected):
    """scipy.stats 1.17.1, poisson.ppf and nbinom.ppf; at 21.6 the Poisson cdf(29) is 0.949858, so that .95 asks 30."""
    assert tuple(portions(mean, ratio).quantile(level) for level in LEVELS) == expected
    assert tuple(covering(mean, ratio, level) for level in LEVELS) == expected
    assert tuple(law(mean, ratio).ppf(LEVELS)) == expected


def test_just_below_the_level_is_not_enough():
    assert portions(21.6, 1.0).chance(29) == pytest.approx(0.949858, abs=5e-7)


@given(st.floats(0.05, 499), st.one_of(st.floats(0.5, 0.999), st.just(1.0), st.floats(1.001, 12)))
@settings(max_examples=drawn_of(100), deadline=None)
def test_quantiles_and_chances_are_scipys(mean, ratio):
    ours, theirs = portions(mean, ratio), law(mean, ratio)
    quantiles = np.array([ours.quantile(level) for level in LEVELS])
    assert [covering(mean, ratio, level) for level in LEVELS] == quantiles.tolist()
    chances = theirs.cdf(quantiles)
    assert [ours.chance(int(quantile)) for quantile in quantiles] == pytest.approx(chances, abs=1e-9)
    assert np.all(chances >= np.array(LEVELS) - 1e-9)
    assert np.all(theirs.cdf(quantiles - 1) < np.array(LEVELS) + 1e-9)


@pytest.mark.parametrize("mean", [501.0, 800.0, 3000.0, 20000.0])
@pytest.mark.parametrize("ratio", [0.5, 1.0, 1.5, 4.0, 12.0])
def test_large_means_take_the_normal_form_with_skewness(mean, ratio):
    """Within one portion of scipy, or a five-hundredth of the deviation where that is more; chances within 0.2 %."""
    ours, theirs = portions(mean, ratio), law(mean, ratio)
    for level in LEVELS:
        assert covering(mean, ratio, level) == ours.quantile(level)
        assert abs(ours.quantile(level) - theirs.ppf(level)) <= max(1, theirs.std() / 500)
        assert ours.chance(int(theirs.ppf(level))) == pytest.approx(theirs.cdf(theirs.ppf(level)), abs=2e-3)


@pytest.mark.parametrize(("mean", "ratio"), [(3.0, 1.0), (12.5, 0.6), (21.6, 2.0), (80.0, 4.0), (300.0, 1.0)])
def test_what_a_run_out_may_have_asked_for(mean, ratio):
    """E[D | D ≥ y] and E[(D − m)² | D ≥ y] by scipy's probabilities, summed."""
    theirs = law(mean, ratio)
    k = np.arange(int(mean + 40 * (mean * ratio) ** 0.5) + 40)
    for y in (0, int(mean / 2), int(mean), int(mean + 2 * (mean * ratio) ** 0.5)):
        p = np.where(k >= y, theirs.pmf(k), 0.0)
        expected = (k * p).sum() / p.sum(), ((k - mean) ** 2 * p).sum() / p.sum()
        assert beyond(mean, ratio, y) == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_a_large_run_out_goes_by_the_truncated_normal():
    """scipy.stats.truncnorm, its lower end half a portion below."""
    mean, ratio, y = 900.0, 2.0, 930
    deviation = (mean * ratio) ** 0.5
    theirs = stats.truncnorm((y - 0.5 - mean) / deviation, np.inf, mean, deviation)
    assert beyond(mean, ratio, y) == pytest.approx(
        (theirs.mean(), theirs.var() + (theirs.mean() - mean) ** 2), rel=1e-6
    )


def test_a_run_out_far_beyond_all_expectation_is_taken_as_it_is():
    assert beyond(2.0, 1.0, 90) == (90.0, 88.0**2)
    assert beyond(900.0, 1.0, 2000) == (2000.0, 1100.0**2)


DISHES = [
    [(12.4, 2.0, 160), (30.2, 1.5, 60)],
    [(3.3, 1.0, 45), (20.0, 0.7, 45), (8.8, 3.0, 45)],
    [(6.0, 4.0, 130), (14.0, 1.0, 65)],
    [(650.0, 2.0, 100), (20.0, 1.0, 30)],
]


@pytest.mark.parametrize("dishes", DISHES)
def test_dishes_that_share_a_prep_cover_simulated_evenings_as_they_promise(dishes):
    """200,000 seeded evenings: the par at .95 covers as many of them as its chance says, within 4 standard errors."""
    ours = summed(tuple(portions(mean, ratio).scaled(amount) for mean, ratio, amount in dishes))
    draw = np.random.default_rng(23)
    taken = sum(law(mean, ratio).rvs(200_000, random_state=draw) * amount for mean, ratio, amount in dishes)
    promised = ours.chance(ours.quantile(0.95))
    error = (promised * (1 - promised) / 200_000) ** 0.5
    assert abs((taken <= ours.quantile(0.95)).mean() - promised) <= 4 * error
    assert float(ours.mean) == pytest.approx(taken.mean(), rel=3e-3)


@pytest.mark.parametrize("guests", [6, 15, 27])
def test_amounts_that_no_choice_adds_up_to_have_no_chance(guests):
    """Three choices that leave gaps on their grid, alone and beside a dish of history; numpy.convolve."""
    by_mix = demand(guests, ((0, Fraction(7, 10)), (30, Fraction(1, 5)), (95, Fraction(1, 10))))
    one = np.zeros(96)
    one[[0, 30, 95]] = 0.7, 0.2, 0.1
    total = np.array([1.0])
    for _guest in range(guests):
        total = np.convolve(total, one)
    assert np.diff([0, *by_mix.cumulative]).min() == 0
    assert [by_mix.chance(amount) for amount in range(len(total))] == pytest.approx(np.cumsum(total), abs=1e-12)
    history = np.zeros(121 * 16)
    history[::16] = law(9.3, 1.7).pmf(np.arange(121))
    ours, theirs = summed((by_mix, portions(9.3, 1.7).scaled(16))), np.cumsum(np.convolve(total, history))
    for level in LEVELS:
        assert ours.quantile(level) == int(np.searchsorted(theirs, level))


def test_sums_are_those_of_direct_convolution():
    """numpy.convolve, with guests who choose from the mix among them."""
    by_mix = demand(40, ((0, Fraction(7, 10)), (6, Fraction(3, 10))))
    ours = summed((portions(9.3, 1.7).scaled(16), by_mix, portions(4.0, 0.8).scaled(10)))
    total = np.array([1.0])
    for one, amount in ((law(9.3, 1.7), 16), (stats.binom(40, 0.3), 6), (law(4.0, 0.8), 10)):
        cells = np.zeros(120 * amount + 1)
        cells[::amount] = one.pmf(np.arange(121))
        total = np.convolve(total, cells)
    theirs = np.cumsum(total)
    for level in LEVELS:
        assert ours.quantile(level) == int(np.searchsorted(theirs, level))
        assert ours.chance(ours.quantile(level)) == pytest.approx(theirs[ours.quantile(level)], abs=1e-10)
