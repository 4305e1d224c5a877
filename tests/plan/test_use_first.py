"""Use it first: where what expires or is left over could go, and that nothing is given away twice."""

from __future__ import annotations

from datetime import timedelta

from conftest import Kitchen, at, drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st

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
plate = { leg = "1 each", jus = "50 ml" }

[dishes.custard]
name = "Custard"
services = ["dinner"]
share = 0.5
plate = { custard = "100 g" }

[preps.leg]
name = "Leg"
keeps = "3 days"
makes = "20 each"
also_makes = { fat = "2 kg" }

[preps.fat]
name = "Fat"
keeps = "2 days"

[preps.jus]
name = "Jus"
keeps = "3 days"
makes = "1 l"
uses = { stock = "2 l" }
takes_if_there = { trim-stock = "1 l" }
steps = [{ do = "Reduce", wait = "2 h" }]

[preps.stock]
name = "Stock"
keeps = "3 days"
makes = "10 l"

[preps.trim-stock]
name = "Trim stock"
keeps = "3 days"
makes = "3 l"

[preps.yolks]
name = "Yolks"
keeps = "2 days"
makes = "200 g"
also_makes = { whites = "300 g" }

[preps.whites]
name = "Whites"
keeps = "2 days"

[preps.custard]
name = "Custard"
keeps = "2 days"
makes = "2 kg"
uses = { yolks = "200 g" }

[preps.meringue]
name = "Meringue"
keeps = "9 days"
makes = "40 each"
par = "20 each"
uses = { whites = "240 g" }
steps = [{ do = "Dry", wait = "3 h" }]

[preps.ice]
name = "Ice"
keeps = "9 days"
makes = "1 kg"
uses = { whites = "100 g" }
"""

NOW = "2026-10-31 15:00"


def of(small, code: str, now: str = NOW):
    return next(line for line in small.plan(now).using_up if line.name == code)


def ways(line):
    return [(one.kind, one.item, one.amount // 10**6) for one in line.outlets]


def test_first_what_the_plan_gives_it_to_then_what_could_take_the_rest_and_staff_last(kitchen, moment):
    """Dinner is expected to eat ten legs of eighteen: the rest are eight plates more, or the staff meal."""
    small = kitchen(BOOK)
    small.on_hand("leg", "18 each", "2026-11-01 00:00")
    line = of(small, "B0")
    assert ways(line) == [("service", "", 10), ("dish", "duck", 8), ("staff meal", "", 8)]
    assert (line.left_over, line.outlets[1].plates) == (8 * 10**6, 8)
    assert line.outlets[1].by == moment("2026-10-31 22:00")
    assert line.outlets[2].by == moment("2026-11-01 00:00")


def test_a_recipe_of_what_is_needed_takes_it_if_what_it_gives_lasts_until_then(kitchen):
    """Forty meringues are there, so no run is planned; another one would take the whites. Nothing ahead needs ice."""
    small = kitchen(BOOK)
    small.on_hand("meringue", "40 each")
    small.on_hand("whites", "500 g", "2026-11-01 12:00")
    assert ways(of(small, "B1")) == [("recipe", "meringue", 240), ("staff meal", "", 500)]


def test_what_a_planned_run_takes_anyway_is_no_further_run(kitchen):
    small = kitchen(BOOK)
    small.on_hand("whites", "300 g", "2026-11-01 12:00")
    assert ways(of(small, "B0")) == [("run", "meringue", 240), ("staff meal", "", 60)]


def test_a_run_that_is_planned_without_it_takes_it_if_it_is_there(kitchen, moment):
    small = kitchen(BOOK)
    small.on_hand("trim-stock", "3 l", "2026-11-01 12:00")
    line = of(small, "B0")
    assert ("if there", "jus", 1000) in ways(line)
    assert line.outlets[0].by == moment("2026-10-31 16:00")
    assert line.left_over == 3000 * 10**6


def test_what_comes_along_in_a_pot_counts_too(kitchen):
    """Yolks for the custard leave whites, under way as well as only planned: the meringue takes of them."""
    small = kitchen(BOOK)
    small.on_hand("meringue", "40 each")
    run = small.under_way("yolks", started="2026-10-31 14:30")
    line = next(one for one in small.plan(NOW).using_up if one.source == "run")
    assert (line.name, line.prep) == (run.code, "whites")
    assert ("recipe", "meringue", 240) in ways(line)
    small.runs.clear()
    planned = [one for one in small.plan(NOW).using_up if one.source == "planned"]
    assert {one.prep for one in planned} >= {"fat"}
    assert not {one.prep for one in planned} & {"leg", "yolks", "custard", "jus"}, "what drives a run is no by-product"


def test_what_is_past_its_use_by_blocked_or_frozen_is_offered_to_nobody(kitchen):
    small = kitchen(BOOK)
    small.on_hand("leg", "5 each", NOW)
    small.on_hand("leg", "5 each", "2026-11-01 00:00", blocked="missed 21 °C")
    small.on_hand("leg", "5 each", "2026-11-01 00:00", store="frozen")
    assert [line.name for line in small.plan(NOW).using_up if line.source == "batch"] == []


held = st.tuples(
    st.sampled_from(["leg", "fat", "jus", "whites", "trim-stock"]), st.integers(1, 70), st.integers(1, 9_000)
)


@given(st.lists(held, max_size=8))
@settings(max_examples=drawn_of(40), deadline=None)
def test_what_is_planned_and_what_is_left_over_are_all_there_is_and_every_way_out_is_in_time(batches):
    small = Kitchen(BOOK)
    for prep, hours, amount in batches:
        small.on_hand(prep, "1").left = amount * 10**6
        small.batches[-1].use_by = at(NOW) + timedelta(hours=hours)
    whole = {batch.code: batch.left for batch in small.batches}
    for line in small.plan(NOW).using_up:
        planned = sum(one.amount for one in line.outlets if one.kind in ("service", "run"))
        assert planned + line.left_over == line.amount == whole.get(line.name, line.amount)
        assert all(0 < one.amount <= line.amount and one.by <= line.good_until for one in line.outlets)
        kinds = [one.kind for one in line.outlets]
        assert "staff meal" not in kinds[:-1]
        assert ("staff meal" in kinds) == (line.left_over > 0)


def test_the_order_of_the_lines_is_by_use_by(kitchen):
    small = kitchen(BOOK)
    small.on_hand("leg", "5 each", "2026-11-01 20:00")
    small.on_hand("jus", "1 l", "2026-10-31 20:00")
    assert [line.name for line in small.plan(NOW).using_up if line.source == "batch"] == ["B1", "B0"]


def test_what_is_raw_is_not_offered_to_the_staff_meal(kitchen):
    """Trout frames are for the fumet; nobody eats them."""
    small = kitchen(BOOK.replace("[preps.whites]", "[preps.whites]\nready_to_eat = false", 1))
    small.on_hand("whites", "500 g", "2026-11-01 00:00")
    assert [one.kind for one in of(small, "B0").outlets if one.kind == "staff meal"] == []
    small = kitchen(BOOK)
    small.on_hand("whites", "500 g", "2026-11-01 00:00")
    assert [one.kind for one in of(small, "B0").outlets if one.kind == "staff meal"] == ["staff meal"]
