"""Waste: sums in amount and money, and what was made beyond the need because of recipe size."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from conftest import Kitchen, at
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from prepboard.book.book import Sizes
from prepboard.plan.given.past import Gone, Past, PastRun
from prepboard.plan.leftovers.waste import over_by_size, waste
from prepboard.plan.leftovers.waste_report import report_of
from prepboard.plan.runs.costs import cost_of

BOOK = """
[services.dinner]
days = ["sat", "sun", "mon"]
starts = "18:00"
ends = "22:00"
covers = 20

[dishes.duck]
name = "Duck"
services = ["dinner"]
share = 0.5
plate = { leg = "1 each", custard = "50 g" }

[preps.leg]
name = "Leg"
keeps = "3 days"
makes = "20 each"
also_makes = { fat = "2 kg" }
uses = { raw = "20 each", salt = "100 g" }

[preps.fat]
name = "Fat"
keeps = "2 days"

[preps.eggs]
name = "Whites"
keeps = "2 days"
makes = "300 g"
also_makes = { yolks = "200 g" }
driven_by = ["eggs", "yolks"]
uses = { shell-eggs = "10 each" }

[preps.yolks]
name = "Yolks"
keeps = "2 days"

[preps.custard]
name = "Custard"
keeps = "2 days"
makes = "2 kg"
sizes = { smallest = 1, step = 0.5 }
uses = { roots = "1 kg", yolks = "200 g" }

[preps.water]
name = "Water"
keeps = "2 days"
makes = "1 l"
uses = { tap = "1 l" }

[goods.raw]
name = "Raw legs"
unit = "each"
cost = 2

[goods.salt]
name = "Salt"
unit = "kg"
cost = 1

[goods.shell-eggs]
name = "Eggs"
unit = "each"
cost = 0.30

[goods.roots]
name = "Roots"
unit = "kg"
usable = 0.8
cost = 4

[goods.tap]
name = "Tap water"
unit = "l"
"""

CUSTARD = Kitchen(BOOK).book.preps["custard"]
KG = 10**9
EACH = 10**6
DAY = date(2026, 10, 31)


@pytest.fixture(scope="module")
def book():
    return Kitchen(BOOK).book


def gone(item: str, amount: int, reason: str = "spoiled", when: str = "2026-10-31 22:00", **more) -> Gone:
    return Gone(at(when), more.pop("kind", "discard"), item, reason, amount, more.pop("station", "s"), **more)


def run(book, prep: str, size: str = "1", *, lost: bool = False, when: str = "2026-10-31 15:00") -> PastRun:
    recipe = book.preps[prep]
    outputs = {item: round(amount * Fraction(size)) for item, amount in recipe.outputs.items()}
    return PastRun(recipe, Fraction(size), lost, at(when), "s", outputs)


def test_what_comes_along_costs_nothing_its_cost_lies_on_what_drives_the_run(book):
    """Twenty legs at 2.00 and 100 g of salt at 1.00 a kilo: a leg costs 2.005, the fat of the same pot nothing."""
    assert cost_of(book, "leg", 10 * EACH) == Fraction("20.05")
    assert cost_of(book, "fat", 2 * KG) == 0


def test_where_the_book_names_two_drivers_the_cost_lies_on_both(book):
    """Ten eggs at 0.30 are 3.00: half on 300 g of whites, half on 200 g of yolks."""
    assert cost_of(book, "eggs", 300 * EACH) == cost_of(book, "yolks", 200 * EACH) == Fraction("1.5")


def test_without_any_price_nothing_is_known(book):
    assert cost_of(book, "water", KG) is None
    (line,) = waste(book, Past((gone("water", KG),), (), {}))
    assert line.cost is None


def test_a_recipe_is_paid_for_as_bought(book):
    """A kilo of usable roots is 1.25 kg bought at 4.00, and 200 g of yolks 1.50: 6.50 for two kilos."""
    assert cost_of(book, "custard", 2 * KG) == Fraction("6.5")


def test_goods_are_thrown_away_as_they_were_bought(book):
    (line,) = waste(book, Past((gone("roots", KG),), (), {}))
    assert line.cost == 4


def test_lines_are_added_up_by_day_station_item_and_reason_and_nothing_else(book):
    past = Past(
        (
            gone("leg", EACH), gone("leg", 2 * EACH), gone("leg", EACH, "dropped"), gone("leg", EACH, station="t"),
            gone("leg", EACH, when="2026-11-01 03:59"), gone("leg", EACH, when="2026-11-01 04:00"),
            gone("leg", EACH, "staff", kind="use"),
        ),
        (),
        {},
    )  # fmt: skip
    found = {(line.day, line.kind, line.station, line.reason): line.amount // EACH for line in waste(book, past)}
    assert found == {
        (DAY, "discard", "s", "spoiled"): 4,
        (DAY, "discard", "s", "dropped"): 1,
        (DAY, "discard", "t", "spoiled"): 1,
        (DAY, "use", "s", "staff"): 1,
        (date(2026, 11, 1), "discard", "s", "spoiled"): 1,
    }


def test_a_lost_run_is_waste_and_every_run_has_its_trim(book):
    """Two runs of custard take 2 kg of usable roots: 2.5 kg bought, half a kilo of trim at 4.00 a kilo."""
    lines = waste(book, Past((), (run(book, "custard"), run(book, "custard", lost=True)), {}))
    found = {(line.kind, line.item): (line.amount, line.cost) for line in lines}
    assert found == {("lost", "custard"): (2 * KG, Fraction("6.5")), ("trim", "roots"): (KG // 2, Fraction(2))}


@pytest.mark.parametrize(
    ("made", "thrown", "because"),
    [
        # The least is one recipe of 2 kg, then half a recipe more: 2, 3, 4 kg.
        (2000, 500, 500),  # 1.5 kg were used; the smallest run would have left as much
        (4000, 1500, 500),  # 2.5 kg were used; a run of 3 kg would have left 500 g, the rest was simply not needed
        (4000, 1000, 0),  # 3 kg were used, and a run of 3 kg there is
        (2000, 2000, 0),  # none was used: no run would have been right
    ],
)
def test_made_beyond_the_need_because_of_recipe_size(book, made, thrown, because):
    assert over_by_size(book.preps["custard"], "custard", made * EACH, thrown * EACH) == because * EACH


@settings(max_examples=50)
@given(
    st.fractions(Fraction(1, 4), 3, max_denominator=4),
    st.fractions(Fraction(1, 4), 2, max_denominator=4),
    st.integers(1, 40),
    st.integers(0, 100),
)
def test_what_size_is_to_blame_for_is_never_more_than_was_thrown_away_or_than_the_smallest_step(
    smallest, step, steps, percent
):
    recipe = replace(CUSTARD, sizes=Sizes(smallest, step, None))
    made = round(2 * KG * (smallest + steps * step))
    thrown = made * percent // 100
    because = over_by_size(recipe, "custard", made, thrown)
    assert 0 <= because <= thrown
    assert because <= 2 * KG * max(smallest, step) + 1


def test_parts_of_one_batch_thrown_away_one_after_the_other_are_reckoned_together(book):
    """4 kg made, 1.5 kg thrown away in three parts: 500 g because of size, however it is parted."""
    parts = [
        gone("custard", KG // 2, "not-needed", batch="B1", made=4 * KG, run=run(book, "custard")) for _ in range(3)
    ]
    (line,) = waste(book, Past(tuple(parts), (), {}))
    assert (line.amount, line.because_of_size) == (3 * KG // 2, KG // 2)


def test_spoiled_food_and_by_products_are_no_over_making(book):
    spoiled = gone("custard", KG // 2, "spoiled", batch="B1", made=2 * KG, run=run(book, "custard"))
    fat = gone("fat", KG, "past-use-by", batch="B2", made=2 * KG, run=run(book, "leg"))
    assert [line.because_of_size for line in waste(book, Past((spoiled, fat), (), {}))] == [0, 0]


@pytest.mark.parametrize(("per", "firsts"), [
    ("day", [date(2026, 10, 31), date(2026, 11, 1), date(2026, 11, 2)]),
    ("week", [date(2026, 10, 26), date(2026, 11, 2)]),
    ("month", [date(2026, 10, 1), date(2026, 11, 1)]),
])  # fmt: skip
def test_every_day_week_or_month_has_its_sums_and_together_they_are_all(book, per, firsts):
    """Saturday 31 October to Monday 2 November; Saturday's guests were counted, the others' are the book's."""
    past = Past(
        (
            gone("leg", 10 * EACH), gone("leg", EACH, "staff", kind="use"),
            gone("leg", EACH, "dropped", when="2026-11-02 20:00", kind="again"),
        ),
        (run(book, "custard", when="2026-11-01 10:00"),),
        {("dinner", DAY): 25},
    )  # fmt: skip
    report = report_of(book, past, at("2026-10-31 04:00"), at("2026-11-03 04:00"), per)
    assert [period.first for period in report.periods] == firsts
    assert sum(period.waste for period in report.periods) == Fraction("22.055")
    assert sum(period.no_waste for period in report.periods) == Fraction("2.005")
    assert sum(period.trim for period in report.periods) == 1
    assert sum(period.covers for period in report.periods) == 25 + 20 + 20
    first = report.periods[0]
    assert first.per_cover == first.waste / first.covers


def test_before_the_first_record_nothing_is_said_of_waste_also_where_sales_are_known(book):
    """Guests of 30 October come from an older table of sales; the first bin is on the 31st."""
    past = Past((gone("leg", EACH),), (), {("dinner", date(2026, 10, 30)): 40, ("dinner", DAY): 25})
    before, day = report_of(book, past, at("2026-10-30 04:00"), at("2026-11-01 04:00"), "day").periods
    assert (before.covers, before.recorded, before.per_cover) == (40, False, None)
    assert (day.recorded, day.per_cover) == (True, Fraction("2.005") / 25)


def test_no_guests_are_made_up_for_the_days_before_anything_is_known(book):
    """The first bin is on 31 October; the dinners of the week before had guests, and nobody knows how many."""
    past = Past((gone("leg", EACH),), (), {})
    days = report_of(book, past, at("2026-10-24 04:00"), at("2026-11-02 04:00"), "day").periods
    assert [period.covers for period in days] == [0] * 7 + [20, 20]
