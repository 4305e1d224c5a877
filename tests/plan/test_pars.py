"""Pars: from covers to amounts."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from prepboard.plan.given.state import Tonight

DINNER = """
[services.dinner]
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
covers = 120

[dishes.hen]
name = "Hen"
services = ["dinner"]
course = "main"
share = 0.18
plate = { hen = "1 each" }

[preps.hen]
name = "Hen, poached"
keeps = "3 days"
makes = "1 each"
"""

TODAY = date(2026, 10, 31)


def test_the_par_covers_the_sitting_with_the_service_level(kitchen):
    """120 covers, share 0.18, one each, level 0.95: 29 by the binomial; expected 21.6."""
    par = kitchen(DINNER).par("hen")
    assert par.par == 29_000_000
    assert par.expected == 21_600_000
    assert par.source == "mix"
    assert par.stage == "guess"
    assert par.chance == pytest.approx(0.965909, abs=1e-6)


def test_a_higher_level_of_the_prep_itself_asks_for_more(kitchen):
    assert kitchen(DINNER + "service_level = 0.99\n").par("hen").par == 32_000_000


def test_the_level_from_money_is_the_margin_lost_against_the_cost_thrown_away(kitchen):
    """cu / (cu + co) = 9 / (9 + 1) = 0.9: the quantile at 0.9 is 27."""
    par = kitchen(DINNER + "cost_short = 9\ncost_over = 1\n").par("hen")
    assert (par.par, par.source) == (27_000_000, "money")


def test_a_share_above_one_is_its_whole_part_for_certain(kitchen):
    """Bread, 1.4 a guest: 120 for certain and Binomial(120, 0.4) above it, whose 0.95 quantile is 57."""
    book = DINNER.replace('course = "main"\n', "").replace("share = 0.18", "share = 1.4")
    par = kitchen(book).par("hen")
    assert par.par == (120 + 57) * 1_000_000
    assert par.expected == 168_000_000


SHARED = (
    DINNER
    + """
[dishes.broth]
name = "Broth"
services = ["dinner"]
course = "main"
share = 0.3
plate = { hen = "2 each" }
"""
)


def test_dishes_of_one_course_exclude_each_other(kitchen):
    """One guest takes 1 with chance .18, 2 with .3; variance .18 + 4·.3 − .78² = .7716 a guest."""
    par = kitchen(SHARED).par("hen")
    assert par.expected == pytest.approx(120 * 0.78 * 1e6)
    independent = kitchen(
        SHARED.replace('name = "Broth"\n', 'name = "Broth"\n').replace(
            'course = "main"\nshare = 0.3', 'course = "soup"\nshare = 0.3'
        )
    ).par("hen")
    assert par.par < independent.par


MENU = (
    SHARED
    + """
[menus.table]
name = "Table"
services = ["dinner"]
share = 0.4
dishes = ["hen"]
"""
)


def test_a_menus_guests_take_its_dishes_and_no_other_of_those_courses(kitchen):
    """q = menu share + (1 − menu share) × own share: 0.4 + 0.6·0.18 of hen, 0.6·0.3 of broth with two each."""
    par = kitchen(MENU).par("hen")
    assert par.expected == pytest.approx(120 * ((0.4 + 0.6 * 0.18) + 2 * 0.6 * 0.3) * 1e6)


FUNCTION = """
[services.party]
on = "2026-10-31"
starts = "19:00"
ends = "20:00"
covers = 342
counts = { hen = 210, pie = 132 }
over = 0.03

[dishes.hen]
name = "Hen"
services = ["party"]
course = "main"
plate = { hen = "150 g" }

[dishes.pie]
name = "Pie"
services = ["party"]
course = "main"
plate = { hen = "70 g" }

[dishes.soup]
name = "Soup"
services = ["party"]
share = 0.5
plate = { hen = "20 g" }

[preps.hen]
name = "Hen, poached"
keeps = "3 days"
makes = "10 kg"
"""


def test_a_function_goes_by_its_counts_and_the_margin_in_whole_portions(kitchen):
    """⌈210 · 1.03⌉ = 217 and ⌈132 · 1.03⌉ = 136 portions; the soup without a count gets nothing."""
    par = kitchen(FUNCTION).par("hen")
    assert par.par == (217 * 150 + 136 * 70) * 1_000_000
    assert par.expected == (210 * 150 + 132 * 70) * 1_000_000
    assert (par.source, par.chance) == ("count", None)


def test_a_par_by_hand_wins_over_all(kitchen):
    small = kitchen(DINNER)
    small.tonight["dinner", TODAY] = Tonight(pars={"hen": 5_000_000})
    assert (small.par("hen").par, small.par("hen").source) == (5_000_000, "by hand")


def test_covers_set_for_tonight_take_the_books_place(kitchen):
    small = kitchen(DINNER)
    small.tonight["dinner", TODAY] = Tonight(covers=0)
    assert [par for par in small.plan().pars if par.day == TODAY] == []


def test_a_dish_taken_off_needs_nothing(kitchen):
    small = kitchen(DINNER)
    small.tonight["dinner", TODAY] = Tonight(off=frozenset({"hen"}))
    assert [par for par in small.plan().pars if par.day == TODAY] == []


def test_a_share_set_for_tonight_takes_the_books_place(kitchen):
    small = kitchen(DINNER)
    small.tonight["dinner", TODAY] = Tonight(shares={"hen": Fraction(1, 2)})
    assert small.par("hen").expected == 60_000_000


def test_the_larger_of_the_computed_and_the_standing_par_holds(kitchen):
    assert kitchen(DINNER + 'par = "40 each"\n').par("hen").source == "standing"
    assert kitchen(DINNER + 'par = "20 each"\n').par("hen").par == 29_000_000


def test_a_standing_par_on_no_dish_is_needed_at_the_first_service_with_expected_use_nothing(kitchen):
    book = (
        DINNER
        + """
[preps.stock]
name = "Stock"
keeps = "4 days"
makes = "8 l"
par = { sat = "5 l", else = "3 l" }
"""
    )
    par = kitchen(book).par("stock")
    assert (par.service, par.par, par.expected, par.source) == ("dinner", 5_000_000_000, 0, "standing")


def test_a_standing_par_on_a_day_without_service_is_needed_when_the_station_opens(kitchen, moment):
    book = """
[stations.sauce]
name = "Sauce"
hours = "08:00-15:00"

[preps.stock]
name = "Stock"
station = "sauce"
keeps = "4 days"
makes = "8 l"
par = "5 l"
"""
    line = kitchen(book).lines("stock", "2026-10-31 05:00")[0]
    assert line.ready_by == moment("2026-10-31 08:00")


def test_while_a_service_runs_the_par_is_that_of_the_guests_still_to_come(kitchen):
    """Half of 120 evenly arriving guests have come by 20:00: expected use is that of 60."""
    par = kitchen(DINNER).par("hen", "2026-10-31 20:00")
    assert par.expected == 10_800_000
    assert par.par == 16_000_000  # Binomial(60, .18) at .95: cdf(15) = .9371, cdf(16) = .9666 (scipy.stats.binom)


def test_after_its_end_a_service_asks_for_nothing(kitchen):
    board = kitchen(DINNER).plan("2026-10-31 22:30")
    assert [par for par in board.pars if par.day == TODAY] == []


def test_a_par_by_hand_shrinks_by_what_went_out(kitchen):
    small = kitchen(DINNER)
    small.tonight["dinner", TODAY] = Tonight(pars={"hen": 30_000_000})
    small.more["plated"] = {("dinner", TODAY, "hen"): 12}
    assert small.par("hen", "2026-10-31 19:00").par == 18_000_000


def test_after_a_closure_the_next_sitting_is_planned_though_the_plan_does_not_look_so_far(kitchen):
    """Open on Saturdays and Thursdays; the plan looks two days ahead. On Saturday Thursday's dinner counts too, and of
    a kitchen that is open on Sunday as well, it does not."""
    book = """
[services.dinner]
days = ["sat", "thu"]
starts = "18:00"
ends = "22:00"
covers = 10

[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = "1 each" }

[preps.pie]
name = "Pie"
keeps = "2 days"
makes = "12 each"
"""
    closed = kitchen(book, 'plan_ahead = "2 days"\n')
    assert [line.day for line in closed.plan().sittings] == [date(2026, 10, 31), date(2026, 11, 5)]
    open_ = kitchen(book.replace('"thu"', '"sun", "thu"'), 'plan_ahead = "2 days"\n')
    assert [line.day for line in open_.plan().sittings] == [date(2026, 10, 31), date(2026, 11, 1)]
