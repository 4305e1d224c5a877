"""From closed services to pars: the fold, and what a sous chef sees of it."""

from __future__ import annotations

from datetime import date, time, timedelta
from fractions import Fraction

import pytest
from lately import stats

from prepboard.plan.demand.closed_evenings import fold
from prepboard.plan.demand.history import FROM_HISTORY, guess, learn, learn_kitchen, learn_margin, outlook, surprise
from prepboard.plan.given.learned import ClosedEvening, Common
from prepboard.plan.given.state import Tonight

BOOK = """
[services.dinner]
days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
starts = "17:30"
ends = "22:30"
covers = 100

[dishes.hen]
name = "Hen"
services = ["dinner"]
course = "main"
share = 0.2
plate = { hen = "1 each" }

[preps.hen]
name = "Hen, poached"
keeps = "3 days"
makes = "1 each"
service_level = 0.9
"""

TODAY = date(2026, 10, 31)
PLATES = (24, 19, 31, 22, 27, 18, 25, 30, 21, 26)


def days(n: int) -> list[date]:
    """The n days before today."""
    return [TODAY - timedelta(days=n - at) for at in range(n)]


@pytest.fixture
def served(kitchen):
    """A kitchen whose dinner of each of the days before sold so many plates."""

    def make(plates, text=BOOK, **tonight):
        small = kitchen(text)
        small.more["plated"] = {("dinner", day, "hen"): n for day, n in zip(days(len(plates)), plates, strict=True)}
        for day in days(len(plates)):
            small.tonight["dinner", day] = Tonight(came=100, **tonight)
        return small

    return make


def one_by_one(plates, level=0.9):
    """What is expected of each of the days, and of today, by what is known before it."""
    known, common, found = guess(20), Common(), []
    for day, n in zip([*days(len(plates)), TODAY], [*plates, 0], strict=True):
        key = f"dinner {day.weekday()}"
        found.append(outlook(known, key, 0.0, common))
        one = ClosedEvening("dinner", day, n, 0, False)
        surprised = surprise(found[-1], one, level)[1]
        common = learn_margin(common, [surprised] if known.count >= FROM_HISTORY else [])
        before, known = known, learn(known, one, key, found[-1])
        common = learn_kitchen(common, key, [(before, known)])
    return found


def test_from_the_eighth_service_the_par_is_historys(served):
    before, after = served(PLATES[:7]).par("hen"), served(PLATES[:8]).par("hen")
    assert (before.source, before.stage, before.par) == ("mix", "guess", 25_000_000)
    assert (after.source, after.stage) == ("history", "learning")


def test_the_par_is_the_smallest_number_of_portions_that_covers_at_the_level(served):
    par = served(PLATES).par("hen")
    seen = one_by_one(PLATES)[-1]
    law = stats.nbinom(seen.mean / (seen.ratio - 1), 1 / seen.ratio)
    assert par.par == law.ppf(0.9) * 1_000_000
    assert par.promise == pytest.approx(law.cdf(law.ppf(0.9)), abs=1e-9)
    assert par.chance == par.promise
    assert par.expected == round(seen.mean * 1_000_000)


def test_measured_from_the_twenty_sixth(served):
    assert served([20] * 26).par("hen").stage == "measured"


def test_folding_in_two_parts_is_folding_in_one(served, moment):
    small = served(PLATES)
    whole = fold(small.state, moment("2026-10-31 09:00"))
    kept, now = whole.settled, whole.settled_to
    assert now == date(2026, 10, 28)
    small.more |= {"learned": kept.dishes, "common": kept.common, "learned_to": now}
    again = fold(small.state, moment("2026-10-31 09:00"))
    assert again.now == whole.now
    assert again.settled is None


def test_a_service_under_way_is_not_learned_yet(served, moment):
    small = served(PLATES)
    small.more["plated"]["dinner", TODAY, "hen"] = 90
    assert fold(small.state, moment("2026-10-31 22:29")).now.dishes["hen"].count == 10
    assert fold(small.state, moment("2026-10-31 22:30")).now.dishes["hen"].count == 11


def count_after(small, moment) -> int:
    known = fold(small.state, moment("2026-10-31 09:00")).now.dishes.get("hen")
    return known.count if known else 0


def test_a_special_day_teaches_nothing(served, moment):
    small = served(PLATES)
    small.tonight["dinner", days(10)[3]] = Tonight(came=100, special=True)
    assert count_after(small, moment) == 9


def test_a_dish_that_was_not_offered_learns_nothing(served, moment):
    """Taken off before any went out; or of a sitting counted elsewhere not on its list."""
    small = served([*PLATES, 0])
    small.more["plated"]["dinner", days(11)[10], "bread"] = 80
    assert count_after(small, moment) == 11
    small.tonight["dinner", days(11)[10]] = Tonight(came=100, off=frozenset({"hen"}))
    assert count_after(small, moment) == 10
    small.tonight["dinner", days(11)[10]] = Tonight(came=100, listed=frozenset({"bread"}))
    assert count_after(small, moment) == 10


def test_a_fixed_count_is_no_demand(served, moment):
    small = served(PLATES)
    small.tonight["dinner", days(10)[9]] = Tonight(came=100, counts={"hen": 26})
    assert count_after(small, moment) == 9


def test_nothing_is_learned_before_the_first_plate(served, moment):
    small = served([0, 0, 0, *PLATES])
    small.more["plated"] |= {("dinner", day, "bread"): 50 for day in days(13)}
    assert count_after(small, moment) == 10


def test_a_dish_ran_out_when_it_hit_nothing_or_was_taken_off_before_the_end(served, moment):
    open_end = served([20] * 10).par("hen").par
    small = served([20] * 10)
    for day in days(10):
        small.tonight["dinner", day] = Tonight(came=100, off=frozenset({"hen"}))
    taken_off = small.par("hen").par
    for day in days(10):
        small.tonight["dinner", day] = Tonight(came=100, out={"hen": moment(f"{day} 21:00")})
    assert small.par("hen").par == taken_off > open_end
    assert small.par("hen").dishes[0].covered == 0
    for day in days(10):
        small.tonight["dinner", day] = Tonight(came=100, out={"hen": moment(f"{day} 22:30")})
    assert small.par("hen").par == open_end


def test_kept_promises_are_counted(served):
    plates = (*PLATES, 70)
    line = served(plates).par("hen").dishes[0]
    assert (line.dish, line.services, line.out_of) == ("hen", 11, 11)
    pars = [seen.par(0.9) for seen in one_by_one(plates)[:-1]]
    assert line.covered == sum(sold <= par for sold, par in zip(plates, pars, strict=True)) == 9


def test_a_shift_is_asked_about_and_not_acted_upon(served):
    assert not served([20] * 30).par("hen").dishes[0].changed
    asked = [served([20] * 24 + [44] * n).par("hen").dishes[0].changed for n in range(1, 9)]
    assert asked.count(True) == 1, "once a fortnight"


def test_a_new_recipe_forgets(served, moment):
    small = served([20] * 30)
    known = fold(small.state, moment("2026-10-31 09:00")).now.dishes["hen"]
    small.more["resets"] = ((moment("2026-10-31 08:00"), "hen"),)
    new = fold(small.state, moment("2026-10-31 09:00")).now.dishes["hen"]
    assert new.sold < known.sold
    assert new.sold / new.usual == pytest.approx(known.sold / known.usual)
    assert small.par("hen").par > served([20] * 30).par("hen").par


def test_on_a_special_day_the_ordinary_par_has_no_promise_and_last_years_count_beside_it(served):
    small = served(PLATES)
    ordinary = small.par("hen")
    small.tonight["dinner", TODAY] = Tonight(special=True)
    small.more["last_year"] = {("dinner", TODAY): (date(2025, 10, 31), {"hen": 61})}
    special = small.par("hen")
    assert special.par == ordinary.par
    assert (special.special, special.promise, special.dishes[0].last_year) == (True, None, 61)
    assert special.chance is None
    assert small.plan().sittings[0].chance_all_stand is None
    assert ordinary.promise is not None


def test_covers_above_usual_raise_the_par_as_far_as_the_dish_followed_them_before(served):
    """Until shown otherwise in proportion; how many came teaches nothing here."""
    small = served(PLATES)
    small.tonight["dinner", TODAY] = Tonight(covers=50)
    full, half = served(PLATES).par("hen"), small.par("hen")
    assert half.expected == pytest.approx(full.expected / 2, rel=0.01)
    few = served(PLATES)
    for day in days(10):
        few.tonight["dinner", day] = Tonight(covers=100, came=50)
    assert few.par("hen").expected == full.expected
    line = small.par("hen").dishes[0]
    assert (line.covers_above, line.usual) == (-50, pytest.approx(full.expected / 1e6))


def test_bookings_that_are_always_too_low_cost_nothing(served):
    """60 of 100 guests booked each night, tonight too: the same par as with 100 booked."""
    low = served(PLATES * 3)
    for day in [*days(30), TODAY]:
        low.tonight["dinner", day] = Tonight(covers=60, came=100)
    assert low.par("hen").par == pytest.approx(served(PLATES * 3).par("hen").par, abs=1_000_000)


def test_all_dishes_of_a_kitchen_share_one_margin(served, moment):
    """A short evening of one dish widens the other's margin as well, by the mean of both surprises."""
    small = served(PLATES, TWO)
    small.more["plated"] |= {("dinner", day, "broth"): 30 for day in days(10)}
    calm = fold(small.state, moment("2026-10-31 09:00")).now.common.margin
    small.more["plated"]["dinner", days(10)[9], "broth"] = 90
    assert fold(small.state, moment("2026-10-31 09:00")).now.common.margin == pytest.approx(calm + 0.05)


def test_a_dish_that_does_not_follow_covers_is_learned_by_the_sitting(served):
    book = BOOK.replace("share = 0.2", "share = 0.2\nuse_covers = false")
    full, half = served(PLATES, book), served(PLATES, book)
    half.tonight["dinner", TODAY] = Tonight(covers=50)
    assert half.par("hen").expected == full.par("hen").expected


def test_a_share_set_for_tonight_counts_more_than_history(served):
    small = served(PLATES)
    small.tonight["dinner", TODAY] = Tonight(shares={"hen": Fraction(1, 2)})
    assert (small.par("hen").source, small.par("hen").expected) == ("mix", 50_000_000)


def test_while_the_service_runs_it_is_history_of_the_guests_still_to_come(served):
    whole, half = served(PLATES).par("hen"), served(PLATES).par("hen", "2026-10-31 20:00")
    assert half.source == "history"
    assert half.expected == pytest.approx(whole.expected / 2, abs=1)
    assert half.par < whole.par


def test_the_level_from_money_is_taken_of_what_history_says(served):
    book = BOOK.replace("service_level = 0.9", "cost_short = 3\ncost_over = 1")
    par = served(PLATES, book).par("hen")
    seen = one_by_one(PLATES, 0.75)[-1]
    law = stats.nbinom(seen.mean / (seen.ratio - 1), 1 / seen.ratio)
    assert (par.source, par.stage, par.par) == ("money", "learning", law.ppf(0.75) * 1_000_000)


TWO = (
    BOOK
    + """
[dishes.broth]
name = "Broth"
services = ["dinner"]
course = "starter"
share = 0.3
plate = { hen = "1 each" }
"""
)


def test_dishes_that_share_a_prep_are_added_up_each_for_itself(served):
    """Hen by history, broth still by mix: the convolution of scipy's two distributions."""
    par = served(PLATES, TWO).par("hen")
    seen = one_by_one(PLATES)[-1]
    hens = stats.nbinom(seen.mean / (seen.ratio - 1), 1 / seen.ratio).pmf(range(200))
    broths = stats.binom(100, 0.3).pmf(range(101))
    both = [sum(hens[k - j] * broths[j] for j in range(min(k, 100) + 1) if k - j < 200) for k in range(200)]
    wanted = next(k for k in range(200) if sum(both[: k + 1]) >= 0.9)
    assert par.par == wanted * 1_000_000
    assert par.expected == pytest.approx((seen.mean + 30) * 1_000_000, abs=1)
    assert (par.source, par.stage) == ("history", "guess")


def test_a_dish_that_does_not_follow_covers_needs_none(served):
    book = BOOK.replace("share = 0.2", "share = 0.2\nuse_covers = false").replace("covers = 100\n", "")
    small = served(PLATES, book)
    assert small.par("hen").source == "history"
    small.tonight["dinner", TODAY] = Tonight(covers=0)
    assert [par for par in small.plan().pars if par.day == TODAY] == []


def test_a_special_day_is_among_what_is_different(served):
    small = served(PLATES)
    small.tonight["dinner", TODAY] = Tonight(special=True)
    assert [(change.kind, change.what) for change in small.plan().changes] == [("special", "dinner")]


def test_an_evening_that_was_counted_in_part_only_teaches_nothing(served, moment):
    """Ten of about 24 plates by 18:00 and none after: nobody knows what was sold. Ended by a person, or with a plate in
    the last hour, it is a quiet night that counts."""
    small, last = served([*PLATES, 10]), ("dinner", days(11)[10], "hen")
    small.more["plated_at"] = {last: moment("2026-10-30 18:00")}
    assert count_after(small, moment) == 10
    small.more["plated_at"] = {last: moment("2026-10-30 21:40")}
    assert count_after(small, moment) == 11
    small.more["plated_at"] = {last: moment("2026-10-30 18:00")}
    small.tonight["dinner", days(11)[10]] = Tonight(ended=moment("2026-10-30 22:40"))
    assert count_after(small, moment) == 11
    half = served([*PLATES, 13])
    half.more["plated_at"] = {last: moment("2026-10-30 18:00")}
    assert count_after(half, moment) == 11


def test_a_sitting_is_learned_from_the_minute_in_which_it_is_over_however_often_somebody_looked_before(served):
    """One memory for all moments of the same state."""
    small = served(PLATES[:3])
    state = small.state
    ends = state.book.kitchen.days.span(days(3)[-1], time(17, 30), time(22, 30))[1]
    counts = []
    for minutes in (-90, -1, 0, 1, -30):
        known = fold(state, ends + timedelta(minutes=minutes)).now.dishes.get("hen")
        counts.append(known.count if known else 0)
    assert counts == [2, 2, 3, 3, 2]
