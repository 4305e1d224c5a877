"""Run-outs against simulated evenings, and the distribution behind them against scipy's.

Guests come by the arrival curve (inverse transform) and choose by chance; the simulation knows nothing of the plan.
With 2,000 evenings, and a pace that drifts, it prints its figures: tests/benchmarks/run_outs.py.
"""

from __future__ import annotations

import pytest
from benchmarks.run_outs import PARTS, Look, announced, looks, said_and_true
from lately import stats

from prepboard.plan.service.lasts import Piece, Taker, lasts
from prepboard.plan.service.running_out import MOST_SUMMED, chance_of_more, pace

EVENINGS = 500


@pytest.fixture(scope="module")
def found() -> list[Look]:
    return list(looks(EVENINGS, 7, "fixed"))


@pytest.mark.parametrize("part", PARTS)
def test_what_is_said_to_run_out_does_so_as_often_as_is_said(found: list[Look], part: float):
    """Within 4 points at 30, 50 and 70 % of the arrivals."""
    n, said, true = said_and_true([look for look in found if look.part == part])
    assert n > 100
    assert abs(said - true) <= 0.04


def test_of_dishes_that_end_short_by_much_at_most_one_in_ten_is_unannounced_half_an_hour_before():
    told, every = announced(200, 8, "fixed")
    assert every > 80
    assert told >= 0.9 * every


@pytest.mark.parametrize("shape", [1.5, 20.0, 100.0, 137.0])
@pytest.mark.parametrize(("plates", "mean"), [(0, 0.4), (3, 5.0), (24, 20.0), (80, 92.0), (300, 310.0)])
def test_the_chance_of_more_is_the_negative_binomials(plates: int, mean: float, shape: float):
    """scipy.stats.nbinom: n the shape, p = shape/(shape + mean)."""
    assert chance_of_more(plates, mean, shape) == pytest.approx(
        stats.nbinom.sf(plates, shape, shape / (shape + mean)), abs=1e-9
    )


@pytest.mark.parametrize(("plates", "mean"), [(0, 0.4), (24, 20.0), (300, 310.0)])
def test_where_the_pace_is_certain_it_is_poissons(plates: int, mean: float):
    assert chance_of_more(plates, mean, float("inf")) == pytest.approx(stats.poisson.sf(plates, mean), abs=1e-9)


@pytest.mark.parametrize("mean", [600.0, 650.0, 720.0])
def test_above_what_is_summed_the_normal_form_is_close(mean: float):
    plates = MOST_SUMMED + 1
    exact = stats.nbinom.sf(plates, 100, 100 / (100 + mean))
    assert chance_of_more(plates, mean, 100) == pytest.approx(exact, abs=0.003)


def test_the_pace_is_the_mean_of_gamma_after_poisson():
    """A gamma pace of mean 1 and shape 100, 30 plates where 20 were expected: shape 130, rate 120 (the conjugate
    posterior; numbers by hand)."""
    assert pace(30, 20.0, 100.0) == pytest.approx(130 / 120)
    assert pace(30, 20.0, float("inf")) == 1.0


def test_a_prep_of_two_dishes_runs_out_as_often_as_their_sum_does(moment):
    """20 plates that take 45 ml and 10 that take 90 ml, each certain of its pace, of 1.8 l: the chance that 45·A + 90·B
    is above 1800 for independent Poisson A and B, summed term by term with scipy's; as plates of one size it is said
    within two points."""
    start, end = moment("2026-10-31 18:00"), moment("2026-10-31 22:00")

    def taker(size: int, plates: float) -> Taker:
        return Taker(size, start, lambda since, until: plates * ((until - since) / (end - start)), float("inf"))

    seen = lasts("jus", [Piece(start, 1800, None)], [taker(45, 20.0), taker(90, 10.0)], start, end)
    exact = sum(
        stats.poisson.pmf(b, 10) * stats.poisson.sf((1800 - 90 * b) // 45, 20) for b in range(21)
    ) + stats.poisson.sf(20, 10)
    assert seen.chance == pytest.approx(exact, abs=0.03)
