"""The cooling forecast against the curve itself, against scipy's curve fit, and against its own promise.

Food in a cold place cools as T(t) = E + (T0 - E)·exp(-k·t) (Newton's law of cooling; any text on heat transfer, for
instance Incropera and DeWitt, "Fundamentals of Heat and Mass Transfer", section 5.1, lumped capacitance).
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from random import Random

import pytest
from lately import optimize

from prepboard.book.safety.temperatures import Reading
from prepboard.plan.probes.forecast import READING_OFF, reached

BEGIN = datetime(2026, 10, 31, 12, 0, tzinfo=UTC)
Points = list[tuple[float, float]]


def readings(points: Points, unit: str = "C") -> list[Reading]:
    return [
        Reading("K7F", "batch", BEGIN + timedelta(minutes=at), Fraction(degrees).limit_denominator(10**6), unit)
        for at, degrees in points
    ]


def minutes(at: datetime | None) -> float:
    return (at - BEGIN).total_seconds() / 60 if at else math.inf


def curve(k: float, cold: float, top: float, at: float) -> float:
    return cold + (top - cold) * math.exp(-k * at)


def crossing(k: float, cold: float, top: float, to: float) -> float:
    """The analytic solution."""
    return math.log((top - cold) / (to - cold)) / k


@pytest.mark.parametrize("k", [0.006, 0.012, 0.03])
@pytest.mark.parametrize(("cold", "to"), [(3.0, 21.0), (3.0, 5.0), (0.0, 5.0), (-20.0, 5.0), (1.0, 8.0)])
def test_without_noise_it_is_the_analytic_solution(k, cold, to):
    for times in ((10.0, 40.0), (5.0, 30.0, 45.0), (1.0, 9.0, 20.0, 33.0)):
        found = reached(readings([(at, curve(k, cold, 57.0, at)) for at in times]), to, cold)
        assert minutes(found.at) == pytest.approx(crossing(k, cold, 57.0, to), abs=0.02), times
        assert found.earliest < found.at, times


def test_it_is_the_same_in_fahrenheit():
    celsius = [(at, curve(0.012, 3.0, 57.0, at)) for at in (10.0, 40.0, 60.0)]
    fahrenheit = [(at, degrees * 1.8 + 32) for at, degrees in celsius]
    one, other = reached(readings(celsius), 21.0, 3.0), reached(readings(fahrenheit, "F"), 69.8, 37.4)
    assert minutes(other.at) == pytest.approx(minutes(one.at), abs=0.02)
    assert minutes(other.latest) == pytest.approx(minutes(one.latest), abs=0.05)


@pytest.mark.parametrize("seed", range(5))
def test_with_noise_it_agrees_with_scipys_least_squares(seed):
    """curve_fit solves for T0 and k on the temperatures themselves; ours is weighted so that both ask for the same."""
    random = Random(seed)
    points = [(at, curve(0.012, 3.0, 57.0, at) + random.gauss(0, READING_OFF)) for at in (0.0, 20.0, 40.0, 60.0)]
    (top, k), _cov = optimize.curve_fit(
        lambda at, top, k: 3.0 + (top - 3.0) * math.e ** (-k * at), *zip(*points, strict=True), p0=(57.0, 0.01)
    )
    found = reached(readings(points), 21.0, 3.0)
    assert minutes(found.at) == pytest.approx(crossing(k, 3.0, top, 21.0), abs=0.5)


@pytest.mark.parametrize(("count", "last", "to"), [(2, 35.0, 21.0), (3, 30.0, 21.0), (2, 18.0, 5.0), (4, 12.0, 5.0)])
def test_nine_times_in_ten_the_limit_is_reached_within_what_it_says(count, last, to):
    """Simulated with the errors that it names, for readings and for the place: 200 coolings, of which 90 % are meant;
    at least 83 %, which is three standard errors below, and no more than 1 in 10 later than the latest."""
    random = Random(7)
    inside, late = 0, 0
    for _ in range(200):
        k, cold = random.uniform(0.008, 0.03), 2.0 + random.gauss(0, 0.75)
        whole = crossing(k, cold, 55.0, last)
        times = [whole * part / (count - 1) for part in range(count)]
        found = reached(
            readings([(at, curve(k, cold, 55.0, at) + random.gauss(0, READING_OFF)) for at in times]), to, 2.0
        )
        true = crossing(k, cold, 55.0, to) if to > cold else math.inf
        inside += minutes(found.earliest) <= true <= minutes(found.latest)
        late += true > minutes(found.latest)
    assert inside >= 0.83 * 200
    assert late <= 0.1 * 200


def test_food_that_does_not_come_down_has_no_forecast():
    assert reached(readings([(0.0, 40.0), (30.0, 40.0)]), 21.0, 3.0) is None
    assert reached(readings([(0.0, 40.0), (30.0, 41.0)]), 21.0, 3.0) is None


def test_a_place_that_is_no_colder_than_the_limit_has_no_forecast_and_a_near_one_no_latest():
    cooling = readings([(0.0, 40.0), (30.0, 30.0)])
    assert reached(cooling, 5.0, 5.0) is None
    assert reached(cooling, 5.0, 4.0).latest is None
    assert reached(cooling, 21.0, 4.0).latest is not None


def test_two_readings_close_together_promise_little():
    """A fall that the probe's own error could explain has no latest moment."""
    assert reached(readings([(0.0, 40.0), (1.0, 39.5)]), 21.0, 3.0).latest is None
