"""The level from money against worked examples of the single-period (newsvendor) rule.

FoSCT: Snyder and Shen, Fundamentals of Supply Chain Theory, 2nd ed. 2019, the figures as the docstrings of stockpyl
1.0.2 give them. Amounts are in millionths, so that continuous examples hold to six digits.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from lately import stats
from msgspec.structs import replace

from prepboard.plan.demand.chances import PrepDemand, demand
from prepboard.plan.demand.levels import level_from_money
from prepboard.plan.demand.portions import portions

ONE = 1_000_000


def level(kitchen, short, over):
    """The level of a prep whose book says what one short and one over cost."""
    book = kitchen(
        f'[preps.hen]\nname = "Hen"\nkeeps = "3 days"\nmakes = "1 each"\ncost_short = {short}\ncost_over = {over}\n'
    )
    return level_from_money(book.book.preps["hen"])


def normal(mean, deviation):
    return PrepDemand(Fraction(mean * ONE), 0, 1, (), deviation * ONE, 0.0)


def test_the_level_is_the_margin_lost_against_the_cost_thrown_away(kitchen):
    """FoSCT example 4.3: p 0.70, h 0.18, ratio 0.7954545."""
    assert level(kitchen, 0.70, 0.18) == pytest.approx(0.7954545, abs=1e-7)


def test_normal_demand(kitchen):
    """FoSCT example 4.3: N(50, 8) asks for 56.603955927; scipy.stats.norm.ppf says the same."""
    asked = normal(50, 8).quantile(level(kitchen, 0.70, 0.18)) / ONE
    assert asked == pytest.approx(56.603955927, abs=2e-6)
    assert asked == pytest.approx(stats.norm.ppf(0.70 / 0.88, 50, 8), abs=2e-6)


def test_poisson_demand(kitchen):
    """FoSCT example 4.7: h 1, p 4, Poisson(6) asks for 8, cdf(7) 0.74398, cdf(8) 0.84724."""
    six = portions(6.0, 1.0)
    assert six.quantile(level(kitchen, 4, 1)) == 8
    assert (six.chance(7), six.chance(8)) == pytest.approx((0.74398, 0.84724), abs=5e-6)


def test_a_larger_poisson_demand(kitchen):
    """stockpyl 1.0.2, newsvendor_poisson: h 0.18, p 0.70, Poisson(50) asks for 56."""
    assert portions(50.0, 1.0).quantile(level(kitchen, 0.70, 0.18)) == 56


def test_a_high_level_of_a_small_poisson_demand():
    """A bookstore's Poisson(4.25) at 99.6 % asks for 11: cdf(10) is 0.99557."""
    few = portions(4.25, 1.0)
    assert few.quantile(0.996) == 11
    assert few.chance(10) == pytest.approx(0.99557, abs=5e-6)


def test_a_table_of_chances(kitchen):
    """Hillier and Lieberman's newspapers: cu 1, co 1, 15 to 18 with .4 .2 .3 .1 asks for 16."""
    use = tuple(zip((15, 16, 17, 18), map(Fraction, ("0.4", "0.2", "0.3", "0.1")), strict=True))
    assert demand(1, use).quantile(level(kitchen, 1, 1)) == 16


def test_wide_normal_demands(kitchen):
    """Cachon and Terwiesch, Matching Supply with Demand, 3rd ed.: Q12.1d, cu 8, co 4, N(200, 80) asks for 234.458
    (exact; the book's rounded table gives 235.2); the bear, cu 12, co 10, N(2100, 1200) for 2237.02, of which 3000
    cover 0.77337."""
    assert normal(200, 80).quantile(level(kitchen, 8, 4)) / ONE == pytest.approx(234.458, abs=1e-3)
    bears = normal(2100, 1200)
    assert bears.quantile(level(kitchen, 12, 10)) / ONE == pytest.approx(2237.02, abs=5e-3)
    assert bears.chance(3000 * ONE) == pytest.approx(0.77337, abs=5e-6)


def test_without_both_costs_there_is_no_level_from_money(kitchen):
    hen = kitchen('[preps.hen]\nname = "Hen"\nkeeps = "3 days"\nmakes = "1 each"\n').book.preps["hen"]
    assert level_from_money(hen) is None
    assert level_from_money(replace(hen, cost_short=Fraction(0), cost_over=Fraction(0))) is None


def test_where_one_side_costs_nothing_the_par_is_none_or_all_that_can_be(kitchen):
    """Of 120 guests, half of whom take one: nothing lost when short asks for none, nothing lost when over for so
    many that scipy's chance of more is nothing in double precision."""
    guests = demand(120, ((0, Fraction(1, 2)), (1, Fraction(1, 2))))
    assert guests.quantile(level(kitchen, 0, 5)) == 0
    assert stats.binom.sf(guests.quantile(level(kitchen, 5, 0)), 120, 0.5) < 1e-15
