"""What closed services teach about a dish, reckoned by hand."""

from __future__ import annotations

from datetime import date
from math import exp, log, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lately import numpy as np
from msgspec.structs import replace

from prepboard.plan.demand.bookings import above_usual, learn_booked, usual_covers, weekday_key
from prepboard.plan.demand.history import (
    follows_covers,
    guess,
    has_changed,
    learn,
    learn_kitchen,
    learn_margin,
    outlook,
    renew,
    stage,
    surprise,
)
from prepboard.plan.demand.portions import LARGE, beyond, portions, short_beyond
from prepboard.plan.given.learned import ClosedEvening, Common, Learned

SATURDAY = date(2026, 10, 31)
KEY = "dinner 5"


def evening(plates: int, *, ran_out: bool = False, day: date = SATURDAY) -> ClosedEvening:
    return ClosedEvening("dinner", day, plates, 0, ran_out)


def taught(known: Learned, one: ClosedEvening, above: float = 0.0, *, hit: bool | None = None) -> Learned:
    """What an evening teaches with the outlook from before it, without a margin of the kitchen."""
    key = weekday_key(one.service, one.day)
    return learn(known, one, key, outlook(known, key, above), above, hit=hit)


def test_before_the_first_service_the_outlook_is_the_mixs_mean_with_a_wide_margin():
    """A 20, B 20/21.6; phi (0 + 20·2)/(0 + 20) = 2, k = 2/.02 = 100, w 1: u = 1 + 1/(20/21.6) + 21.6/100."""
    seen = outlook(guess(21.6), KEY)
    assert seen.mean == pytest.approx(21.6)
    assert (seen.scatter, seen.on_weekday) == (2, 2)
    assert seen.unsure == pytest.approx(1 + 1.08 + 0.216)
    assert seen.ratio == pytest.approx(2 * 2.296)


def test_one_service_is_learned_with_the_values_from_before():
    """26 plates where 21.6 were expected: S 4.4²/(21.6·2.296), A .98·20 + 26, B .98·20/21.6 + 1."""
    known = taught(guess(21.6), evening(26))
    missed = 4.4**2 / (21.6 * 2.296)
    assert known.sold == pytest.approx(0.98 * 20 + 26)
    assert known.usual == pytest.approx(0.98 * 20 / 21.6 + 1)
    assert (known.squares, known.weight) == (pytest.approx(missed), 1)
    level = known.sold / known.usual
    assert known.weekdays == {KEY: pytest.approx((26.0, (21.6 + level) / 2, missed, 1.0))}
    assert known.misses == (pytest.approx((4.4, 21.6 * 4.592)),)
    assert known.last_z == pytest.approx(4.4 / sqrt(21.6 * 4.592))


def test_a_second_service_fades_the_first():
    first = taught(guess(21.6), evening(26))
    seen = outlook(first, KEY)
    second = taught(first, evening(15))
    missed = (15 - seen.mean) ** 2 / (seen.mean * seen.unsure)
    assert seen.scatter == pytest.approx((first.squares + 40) / 21)
    assert seen.on_weekday == pytest.approx((first.squares + 40 * seen.scatter) / 41)
    assert second.sold == pytest.approx(0.98 * first.sold + 15)
    assert second.usual == pytest.approx(0.98 * first.usual + seen.weekday)
    assert second.squares == pytest.approx(0.98 * first.squares + missed)
    assert second.weight == pytest.approx(1.98)
    assert second.weekdays[KEY][0] == pytest.approx(0.97 * 26 + 15)
    assert second.weekdays[KEY][2:] == pytest.approx((0.97 * first.squares + missed, 1.97))
    assert second.count == 2


def test_a_miss_counts_no_more_than_six_times_the_scatter():
    assert taught(guess(21.6), evening(900)).squares == 6 * 2


def test_one_odd_evening_is_clipped_and_a_second_on_the_same_side_counts_in_full():
    """Beyond 2.5 deviations the level learns m + 2.5 deviations; where the miss before was beyond 1.25 on that side,
    all of it."""
    seen = outlook(guess(20), KEY)
    once = taught(guess(20), evening(90))
    assert once.sold == pytest.approx(0.98 * 20 + seen.mean + 2.5 * sqrt(seen.variance))
    assert once.evenings[-1].clipped
    twice = taught(once, evening(90))
    assert twice.sold == pytest.approx(0.98 * once.sold + 90)
    assert not twice.evenings[-1].clipped
    other_side = taught(replace(guess(20), last_z=-2.0), evening(90))
    assert other_side.evenings[-1].clipped
    few = replace(guess(20), squares=1.0, weight=20.0)
    assert taught(few, evening(0)).evenings[-1].clipped


def test_a_run_out_teaches_what_may_have_been_asked_for():
    seen = outlook(guess(21.6), KEY)
    asked, square = beyond(seen.mean, seen.ratio, 20)
    known = taught(guess(21.6), evening(20, ran_out=True))
    assert asked > 25
    assert known.sold == pytest.approx(0.98 * 20 + asked)
    assert known.squares == pytest.approx(square / (seen.mean * seen.unsure))


def test_a_weekday_that_sells_more_is_learned_apart_from_the_level():
    known = guess(20)
    for week in range(20):
        known = taught(known, evening(14, day=date.fromordinal(SATURDAY.toordinal() + 7 * week - 3)))
        known = taught(known, evening(26, day=date.fromordinal(SATURDAY.toordinal() + 7 * week)))
    assert outlook(known, "dinner 2").mean == pytest.approx(14, rel=0.12)
    assert outlook(known, "dinner 5").mean == pytest.approx(26, rel=0.12)


def test_a_weekday_whose_sales_scatter_more_has_a_wider_margin():
    known = guess(20)
    for week in range(20):
        known = taught(known, evening(20, day=date.fromordinal(SATURDAY.toordinal() + 7 * week - 3)))
        known = taught(known, evening(8 if week % 2 else 32, day=date.fromordinal(SATURDAY.toordinal() + 7 * week)))
    assert outlook(known, "dinner 5").ratio > 1.5 * outlook(known, "dinner 2").ratio


@pytest.mark.parametrize(
    ("leans", "fade"),
    [(0.0, 0.98), (1.1, 0.98), (1.85, 0.865), (2.6, 0.75), (9.0, 0.75), (-1.85, 0.865)],
)
def test_the_more_the_last_six_evenings_lean_to_one_side_the_faster_the_level_follows(leans, fade):
    """Standard errors of the six misses together: five whose sum makes up for the sixth, which is 0."""
    seen = outlook(guess(20), KEY)
    variance = seen.mean * seen.ratio
    known = replace(guess(20), misses=((0.0, variance),) * 4 + ((leans * sqrt(6 * variance), variance),))
    assert learn(known, evening(20), KEY, seen).sold == pytest.approx(fade * 20 + 20)


def test_what_six_evenings_say_is_not_asked_of_fewer():
    known = replace(guess(20), misses=((90.0, 40.0),) * 4)
    assert learn(known, evening(20), KEY, outlook(guess(20), KEY)).sold == pytest.approx(0.98 * 20 + 20)


def test_a_weekday_counts_as_far_as_weekdays_are_seen_to_differ():
    """Two weekdays that expected 200 each and sold 240 and 160, scatter 2: each counts (200/220)² = .8264, and is .2²
    - 2/200 = .03 beyond chance. On top of .02 twice: (.04 + .04959)/(2 + 1.6529) = .02453, so k = 2/.02453 = 81.5."""
    weekdays = {"dinner 4": (160.0, 200.0, 40.0, 20.0), KEY: (240.0, 200.0, 40.0, 20.0)}
    known = replace(guess(20), squares=28.0, weight=14.0, weekdays=weekdays)
    assert outlook(known, KEY).scatter == 2
    assert outlook(known, KEY).weekday == pytest.approx((240 + 81.54) / (200 + 81.54), abs=1e-4)
    same = replace(known, weekdays={name: (200.0, *rest) for name, (_sold, *rest) in weekdays.items()})
    assert outlook(same, KEY).unsure < outlook(known, KEY).unsure


def test_a_dish_takes_from_the_kitchen_how_much_weekdays_differ():
    """Evidence of .3 beyond chance, weight 3, on top of .02 three times: .06."""
    common = Common(differ=(0.3, 3.0))
    once = replace(guess(20), weekdays={KEY: (30.0, 20.0, 0.0, 1.0)})
    assert outlook(once, KEY, common=common).weekday > outlook(once, KEY).weekday
    alone = outlook(guess(20), KEY, common=common)
    assert alone.unsure == pytest.approx(1 + 1 + 20 / (2 / 0.06))


def test_what_a_sitting_teaches_about_weekdays_fades():
    """One dish that expected 20 and sold 30, scatter 2: weight (20/40)², beyond chance .25 - .1."""
    one = replace(guess(20), squares=28.0, weight=14.0, weekdays={KEY: (30.0, 20.0, 0.0, 1.0)})
    common = learn_kitchen(Common(differ=(0.1, 2.0)), KEY, [(guess(20), one), (guess(20), one)])
    assert common.differ == pytest.approx((0.098 + 2 * 0.25 * 0.15, 1.96 + 2 * 0.25))


def test_a_dish_takes_from_the_kitchen_how_much_its_sales_scatter():
    """Two misses of 5 and 1 on top of 2 six times: (12 + 6)/8 = 2.25; a dish that was never missed by more than .5 in
    ten services: (5 + 20·2.25)/30."""
    known = [replace(guess(20), squares=squares, weekdays={KEY: (20.0, 20.0, 0.0, 1.0)}) for squares in (5.0, 1.0)]
    common = learn_kitchen(Common(), KEY, [(guess(20), one) for one in known])
    assert common.scatter == pytest.approx((6.0, 2.0))
    assert outlook(guess(20), KEY, common=common).scatter == pytest.approx(2.25)
    calm = replace(guess(20), squares=5.0, weight=10.0)
    assert outlook(calm, KEY, common=common).scatter == pytest.approx((5 + 20 * 2.25) / 30)


def test_in_a_kitchen_without_a_pattern_a_weekday_hardly_moves_a_dish():
    """Sixteen weeks of chance alone (numpy, Poisson of 20, six dishes): what a weekday's own figures make of the mean
    is off by less than half of what they would be without the kitchen's evidence."""
    draw = np.random.default_rng(8)
    dishes, common = [guess(20)] * 6, Common()
    for day in range(112):
        key = f"dinner {day % 7}"
        before = dishes
        dishes = [learn(one, evening(int(draw.poisson(20))), key, outlook(one, key, common=common)) for one in dishes]
        common = learn_kitchen(common, key, zip(before, dishes, strict=True))

    def off(of: Common) -> float:
        return sum((outlook(one, f"dinner {n}", common=of).weekday - 1) ** 2 for one in dishes for n in range(7))

    assert off(common) < off(replace(common, differ=(0.3, 3.0))) / 4


def test_what_is_usual_to_be_booked_is_learned_by_weekday():
    """Wednesdays 40, Saturdays 100: what is booked is above the usual of its own day."""
    common = Common()
    for _week in range(30):
        common = learn_booked(common, "dinner", "dinner 2", 40)
        common = learn_booked(common, "dinner", "dinner 5", 100)
    assert usual_covers(common, "dinner", "dinner 2", 70) == pytest.approx(40, rel=0.1)
    assert usual_covers(common, "dinner", "dinner 5", 70) == pytest.approx(100, rel=0.1)
    assert above_usual(common, "dinner", "dinner 5", 150) == pytest.approx(0.4, abs=0.08)
    assert above_usual(common, "dinner", "dinner 5", 10**6) == 1.5
    assert above_usual(Common(), "dinner", "dinner 5", 80) == 0.0
    assert usual_covers(common, "lunch", "lunch 5", 70) == 70, "each service for itself"
    assert learn_booked(common, "dinner", "dinner 5", 0) is common


@pytest.mark.parametrize(("follows", "least", "most"), [(True, 0.85, 1.2), (False, 0.0, 0.15)])
def test_how_far_a_dish_follows_its_covers_is_learned(follows, least, most):
    """Covers count fully until shown otherwise."""
    assert follows_covers(guess(20)) == 1.0
    known = guess(20)
    for n in range(40):
        above = 0.4 if n % 2 else -0.4
        known = taught(known, evening(round(20 * exp(above)) if follows else 20), above)
    assert least <= follows_covers(known) <= most
    assert outlook(known, KEY, 0.4).mean == pytest.approx(20 * exp(follows_covers(known) * 0.4), rel=0.1)


def test_a_short_evening_widens_all_margins_by_a_tenth_and_a_covered_one_narrows_them_by_a_hundredth():
    """The margin is half the logarithm of the variance's factor: e^0.09, and e^-0.01, at a promise of 0.9."""
    assert exp(learn_margin(Common(), [1 - 0.1]).margin) == pytest.approx(1.094, abs=0.001)
    assert exp(learn_margin(Common(), [0 - 0.1]).margin) == pytest.approx(0.990, abs=0.001)
    assert learn_margin(Common(), [0.9, -0.1]).margin == pytest.approx(0.04)
    assert learn_margin(Common(margin=1.0), [0.9]).margin == 1.0
    assert learn_margin(Common(margin=-0.9), [-0.9]).margin == pytest.approx(log(0.4))
    assert outlook(guess(20), KEY, common=Common(margin=0.5)).ratio == pytest.approx(
        outlook(guess(20), KEY).ratio * exp(1)
    )


def test_a_surprise_is_measured_by_the_promise_that_whole_portions_make():
    seen = outlook(guess(20), KEY)
    par, surprised = surprise(seen, evening(5), 0.9)
    assert surprised == pytest.approx(portions(seen.mean, seen.ratio).chance(par) - 1)
    assert surprise(seen, evening(par + 1), 0.9)[1] == pytest.approx(surprised + 1)
    ran_out = surprise(seen, evening(12, ran_out=True), 0.9)[1] - surprised
    assert ran_out == pytest.approx(short_beyond(seen.mean, seen.ratio, 12, par))
    assert 0 < ran_out < 1


def test_a_new_recipe_makes_what_was_learned_weigh_less():
    known = guess(20)
    for _ in range(30):
        known = taught(known, evening(20))
    new = renew(known)
    scatter = outlook(known, KEY).scatter
    assert new.sold == pytest.approx(10 * scatter)
    assert new.sold / new.usual == pytest.approx(known.sold / known.usual)
    assert outlook(new, KEY).unsure > outlook(known, KEY).unsure
    assert renew(new).sold == pytest.approx(new.sold)


def test_stages():
    known = guess(20)
    assert [stage(replace(known, count=n)) for n in (0, 7, 8, 25, 26)] == [
        "guess", "guess", "learning", "learning", "measured",
    ]  # fmt: skip
    assert stage(None) == "guess"


def test_the_board_asks_when_six_misses_add_up_to_more_than_three_standard_errors():
    """And asks at most once a fortnight: after the service that made it so."""
    known = guess(20)
    for day in range(30):
        known = taught(known, evening(20, day=date.fromordinal(SATURDAY.toordinal() + day)))
    assert not has_changed(known)
    asked = []
    for day in range(30, 60):
        known = taught(known, evening(60, day=date.fromordinal(SATURDAY.toordinal() + day)))
        asked.append(has_changed(known))
    assert 1 <= sum(asked) <= 2
    assert asked[asked.index(True) + 1 : asked.index(True) + 14] == [False] * 13


def test_only_the_last_services_are_kept():
    known = guess(20)
    for n in range(80):
        known = taught(known, evening(20), hit=n >= 40)
    assert (known.count, len(known.misses), len(known.hits), len(known.evenings)) == (80, 6, 60, 12)
    assert known.hits.count("1") == 40


@given(st.lists(st.tuples(st.integers(0, 400), st.floats(-1.5, 1.5), st.booleans()), max_size=12))
@settings(max_examples=25, deadline=None)
def test_whatever_happened_the_outlook_is_a_distribution(evenings):
    known = guess(20)
    for plates, above, ran_out in evenings:
        known = taught(known, evening(plates, ran_out=ran_out), above)
    seen = outlook(known, KEY, 0.5)
    assert seen.mean >= 0.05
    assert seen.ratio >= 0.5
    if seen.mean <= LARGE:
        assert portions(seen.mean, seen.ratio).chance(seen.par(0.95)) >= 0.95
