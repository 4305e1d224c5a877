"""What closed services teach about a dish, reckoned by hand."""

from __future__ import annotations

from datetime import date
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from prepboard.plan.demand.history import (
    guess,
    has_changed,
    learn,
    learn_covers,
    outlook,
    renew,
    stage,
    usual_error,
)
from prepboard.plan.demand.portions import LARGE, beyond, portions
from prepboard.plan.given.learned import CoversError, Evening

SATURDAY = date(2026, 10, 31)
KEY = "dinner 5"


def evening(plates: int, *, ran_out: bool = False, day: date = SATURDAY) -> Evening:
    return Evening("dinner", day, plates, 0, ran_out)


def test_before_the_first_service_the_outlook_is_the_mixs_share_with_a_wide_margin():
    """A 20, B 20/.18; phi (0 + 12)/(0 + 6) = 2, k = 20, w 1: m = .18·120, u = 1 + 120/(20/.18) + 21.6/20."""
    seen = outlook(guess(0.18), KEY, 120)
    assert seen.mean == pytest.approx(21.6)
    assert seen.scatter == 2
    assert seen.unsure == pytest.approx(1 + 1.08 + 1.08)
    assert seen.ratio == pytest.approx(2 * 3.16)


def test_one_service_is_learned_with_the_values_from_before():
    """26 plates of 120 covers where 21.6 were expected: S 4.4²/(21.6·3.16), A .95·20 + 26, B .95·111.1 + 120."""
    known = learn(guess(0.18), evening(26), 120)
    assert known.sold == pytest.approx(45.0)
    assert known.covers == pytest.approx(0.95 * 20 / 0.18 + 120)
    assert known.squares == pytest.approx(4.4**2 / (21.6 * 3.16))
    assert known.weight == 1
    level = known.sold / known.covers
    assert known.weekdays == {KEY: pytest.approx((26.0, 120 * (0.18 + level) / 2))}
    assert known.misses == (pytest.approx((4.4, 21.6 * 6.32)),)


def test_a_second_service_fades_the_first():
    first = learn(guess(0.18), evening(26), 120)
    seen = outlook(first, KEY, 100)
    second = learn(first, evening(15), 100)
    assert seen.scatter == pytest.approx((first.squares + 12) / 7)
    assert second.sold == pytest.approx(0.95 * first.sold + 15)
    assert second.covers == pytest.approx(0.95 * first.covers + 100 * seen.weekday)
    assert second.squares == pytest.approx(0.98 * first.squares + (15 - seen.mean) ** 2 / (seen.mean * seen.unsure))
    assert second.weight == pytest.approx(1.98)
    assert second.weekdays[KEY][0] == pytest.approx(0.97 * 26 + 15)
    assert second.count == 2


def test_a_miss_counts_no_more_than_six_times_the_scatter():
    assert learn(guess(0.18), evening(900), 120).squares == 6 * 2


def test_a_run_out_teaches_what_may_have_been_asked_for():
    seen = outlook(guess(0.18), KEY, 120)
    asked, square = beyond(seen.mean, seen.ratio, 20)
    known = learn(guess(0.18), evening(20, ran_out=True), 120)
    assert asked > 25
    assert known.sold == pytest.approx(0.95 * 20 + asked)
    assert known.squares == pytest.approx(square / (seen.mean * seen.unsure))


def test_a_weekday_that_sells_more_is_learned_apart_from_the_level():
    known = guess(0.2)
    for week in range(20):
        known = learn(known, evening(14, day=date.fromordinal(SATURDAY.toordinal() + 7 * week - 3)), 100)
        known = learn(known, evening(26, day=date.fromordinal(SATURDAY.toordinal() + 7 * week)), 100)
    assert outlook(known, "dinner 2", 100).mean == pytest.approx(14, rel=0.12)
    assert outlook(known, "dinner 5", 100).mean == pytest.approx(26, rel=0.12)


def test_booked_covers_that_are_off_widen_the_margin():
    """The variance grows by (m·cv)², so that variance over mean grows by m·cv²."""
    known = guess(0.2)
    assert outlook(known, KEY, 100, 0.1).ratio - outlook(known, KEY, 100).ratio == pytest.approx(20 * 0.01)


def test_the_usual_error_of_covers_is_known_from_eight_sittings():
    error = CoversError()
    for came in (110, 90) * 3 + (110,):
        error = learn_covers(error, 100, came)
    assert usual_error(error) == 0.0
    assert usual_error(learn_covers(error, 100, 90)) == pytest.approx(0.1)
    assert learn_covers(error, 0, 12) is error


def test_a_new_recipe_makes_what_was_learned_weigh_less():
    known = guess(0.2)
    for _ in range(30):
        known = learn(known, evening(20), 100)
    new = renew(known)
    scatter = outlook(known, KEY, 100).scatter
    assert new.sold == pytest.approx(10 * scatter)
    assert new.sold / new.covers == pytest.approx(known.sold / known.covers)
    assert outlook(new, KEY, 100).unsure > outlook(known, KEY, 100).unsure
    assert renew(new).sold == pytest.approx(new.sold)


def test_stages():
    known = guess(0.2)
    assert [stage(replace(known, count=n)) for n in (0, 7, 8, 25, 26)] == [
        "guess", "guess", "learning", "learning", "measured",
    ]  # fmt: skip
    assert stage(None) == "guess"


def test_the_board_asks_when_six_misses_add_up_to_more_than_three_standard_errors():
    known = replace(guess(0.2), misses=((10.0, 36.0),) * 5)
    assert not has_changed(known)
    just = 3 * sqrt(6 * 36.0) / 6
    assert not has_changed(replace(known, misses=((just - 0.01, 36.0),) * 6))
    assert has_changed(replace(known, misses=((just + 0.01, 36.0),) * 6))
    assert has_changed(replace(known, misses=((-just - 0.01, 36.0),) * 6))


def test_only_the_last_services_are_kept():
    known = guess(0.2)
    for n in range(80):
        known = learn(known, evening(20), 100, hit=n >= 40)
    assert (known.count, len(known.misses), len(known.hits), len(known.evenings)) == (80, 6, 60, 12)
    assert known.hits.count("1") == 40


@given(st.lists(st.tuples(st.integers(0, 400), st.integers(1, 900), st.booleans()), max_size=12))
@settings(max_examples=25, deadline=None)
def test_whatever_happened_the_outlook_is_a_distribution(evenings):
    known = guess(0.2)
    for plates, covers, ran_out in evenings:
        known = learn(known, evening(plates, ran_out=ran_out), covers)
    seen = outlook(known, KEY, 80)
    assert seen.mean >= 0.05
    assert seen.ratio >= 0.5
    if seen.mean <= LARGE:
        assert portions(seen.mean, seen.ratio).chance(seen.par(0.95)) >= 0.95
