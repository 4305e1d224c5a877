"""Needs: from pars to runs."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from conftest import at

from prepboard.plan.demand.occasions import ahead
from prepboard.plan.demand.pars import pars
from prepboard.plan.given.state import Tonight
from prepboard.plan.needs.needs import work_out
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.runs import RunTimes

TODAY = date(2026, 10, 31)

WORKED = """
[services.dinner]
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
covers = 40

[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 0.825
plate = { pie = "1 each" }

[preps.pie]
name = "Pie"
keeps = "2 days"
makes = "12 each"
sizes = { smallest = 0.5, step = 0.5, largest = 4 }
"""


def worked(kitchen):
    """Par 40 by hand, guests even over 17:30 to 22:30, expected use 33."""
    small = kitchen(WORKED)
    small.tonight["dinner", TODAY] = Tonight(pars={"pie": 40_000_000})
    small.on_hand("pie", "14 each")
    small.on_hand("pie", "6 each", "2026-10-31 20:00")
    run = small.under_way("pie", started="2026-10-31 08:00")
    run.outputs = {"pie": 10_000_000}
    return small


def test_what_ends_during_a_service_counts_for_the_guests_who_have_come_by_then(kitchen, moment):
    """14 good to the end, 6 good to 20:00, 10 under way: 30 count, 10 are short; one recipe of 12, ready by the
    start, since 6 is fewer than the 20 guests who have come by 20:00."""
    small = worked(kitchen)
    par = small.par("pie")
    assert (par.on_hand, par.under_way, par.short) == (20_000_000, 10_000_000, 10_000_000)
    (line,) = small.lines("pie")
    assert (line.size, line.amount) == (1, 12_000_000)
    assert line.ready_by == moment("2026-10-31 17:30")


def test_what_a_service_does_not_expect_to_use_is_left_for_tomorrow(kitchen):
    """Expected use 33: of 42, 9 are left. A Sunday lunch that needs 9 then plans nothing, one that needs 10 does."""
    for need, runs in ((9, 1), (10, 2)):
        small = worked(kitchen)
        lunch = WORKED.split("[dishes")[0].replace("dinner", "lunch").replace("10-31", "11-01")
        lunch = lunch.replace("17:30", "12:00").replace("22:30", "15:00").replace("covers = 40", "covers = 0")
        with_lunch = kitchen(WORKED + lunch)
        with_lunch.batches, with_lunch.runs = small.batches, small.runs
        with_lunch.tonight = {
            ("dinner", TODAY): Tonight(pars={"pie": 40_000_000}),
            ("lunch", date(2026, 11, 1)): Tonight(pars={"pie": need * 1_000_000}),
        }
        assert len(with_lunch.lines("pie")) == runs


def test_the_rest_is_due_when_what_ends_covers_by_itself_all_who_have_come(kitchen, moment):
    """25 each good to 20:00 cover the 20 guests who have come by then: the rest is ready by 20:00."""
    small = kitchen(WORKED)
    small.tonight["dinner", TODAY] = Tonight(pars={"pie": 40_000_000})
    small.on_hand("pie", "25 each", "2026-10-31 20:00")
    (line,) = small.lines("pie")
    assert line.ready_by == moment("2026-10-31 20:00")
    assert line.short == 20_000_000


def test_no_new_run_while_what_is_there_is_enough(kitchen):
    """Par 37 at 0.95; 35 on hand cover 40 guests at .825 with chance .87 ≥ .85: thin, not worth a run."""
    small = kitchen(WORKED)
    small.on_hand("pie", "35 each")
    par = small.par("pie")
    assert par.short > 0
    assert par.thin
    assert small.lines("pie") == []


def test_a_standing_par_is_not_made_again_before_it_falls_below_make_below(kitchen):
    book = """
[preps.stock]
name = "Stock"
keeps = "4 days"
makes = "8 l"
par = "5 l"
make_below = "3 l"
"""
    small = kitchen(book)
    small.on_hand("stock", "3 l")
    assert small.lines("stock") == []
    small.batches[0].left -= 1
    assert small.lines("stock")[0].short == 2_000_000_001


def test_above_the_largest_size_there_are_several_runs_full_ones_first(kitchen):
    small = kitchen(WORKED)
    small.tonight["dinner", TODAY] = Tonight(pars={"pie": 110_000_000})
    lines = small.lines("pie")
    assert [line.size for line in lines] == [4, 4, Fraction(3, 2)]
    assert [line.line.n for line in lines] == [0, 1, 2]


CHAIN = (
    WORKED
    + """
uses = { dough = "600 g", filling = "1.2 kg" }
steps = [{ do = "Bake", hands_on = "20 min", wait = "40 min", equipment = "oven", at = "180 C", uses = ["filling"] },
         { do = "Rest", wait = "1 h" }]

[equipment.oven]
name = "Oven"

[preps.dough]
name = "Dough"
keeps = "2 days"
makes = "1 kg"

[preps.filling]
name = "Filling"
keeps = "2 days"
makes = "2 kg"
ready_to_eat = true
"""
)


def test_what_runs_take_becomes_the_needs_of_the_preps_below(kitchen, moment):
    small = kitchen(CHAIN)
    small.tonight["dinner", TODAY] = Tonight(pars={"pie": 12_000_000})
    (pie,), (dough,), (filling,) = (small.lines(prep) for prep in ("pie", "dough", "filling"))
    assert pie.start_by == moment("2026-10-31 15:30")
    assert dough.ready_by == moment("2026-10-31 15:30")
    assert dough.short == 600_000_000_000 // 1000
    assert dough.serves[0].run_of == "pie"
    assert (dough.serves[0].service, dough.serves[0].day) == ("dinner", TODAY)
    assert str(filling.line) == "filling#0@pie#0@dinner.2026-10-31"


def test_a_run_under_way_takes_its_ingredients_before_any_planned_run(kitchen):
    """600 g of dough are there; the pie under way takes them, the planned pie needs new dough."""
    small = kitchen(CHAIN)
    small.tonight["dinner", TODAY] = Tonight(pars={"pie": 24_000_000})
    small.on_hand("dough", "600 g")
    small.on_hand("filling", "5 kg")
    small.under_way("pie", started="2026-10-31 08:30")
    (dough,) = small.lines("dough")
    assert dough.short == 600_000_000


def test_one_run_covers_later_needs_of_the_same_business_day(kitchen):
    lunch = WORKED.split("[dishes")[0].replace("dinner", "lunch").replace("17:30", "12:00").replace("22:30", "15:00")
    book = WORKED.replace('services = ["dinner"]', 'services = ["dinner", "lunch"]') + lunch
    small = kitchen(book)
    small.tonight = {(service, TODAY): Tonight(pars={"pie": 12_000_000}) for service in ("dinner", "lunch")}
    (line,) = small.lines("pie")
    assert [serves.service for serves in line.serves] == ["lunch", "dinner"]
    assert line.serves[0].amount == 12_000_000
    apart = kitchen(book.replace('makes = "12 each"', 'makes = "12 each"\njoins = "none"'))
    apart.tonight = small.tonight
    assert len(apart.lines("pie")) == 2


def test_a_batch_that_ends_during_the_service_is_made_again(kitchen, moment):
    """Crisps keep 2 h: ready at 17:30 they end at 19:30, again at 21:30; each run is for who has come by then."""
    book = WORKED.replace('keeps = "2 days"', 'keeps = "2 h"').replace(
        "smallest = 0.5, step = 0.5", "smallest = 0.25, step = 0.25"
    )
    small = kitchen(book)
    small.tonight["dinner", TODAY] = Tonight(pars={"pie": 40_000_000})
    lines = small.lines("pie")
    assert [line.ready_by for line in lines] == [moment(f"2026-10-31 {t}") for t in ("17:30", "19:30", "21:30")]
    assert [line.amount for line in lines] == [18_000_000, 18_000_000, 9_000_000]
    assert lines[0].notes[0].kind == "make again by"


TOGETHER = """
[preps.yolks]
name = "Yolks"
keeps = "2 days"
makes = "20 each"
also_makes = { whites = "20 each" }
driven_by = ["yolks", "whites"]
sizes = { smallest = 0.5, step = 0.5 }
par = "30 each"

[preps.whites]
name = "Whites"
keeps = "3 days"
par = "50 each"
"""


def test_what_is_made_together_is_sized_by_all_that_drives_it(kitchen):
    line = kitchen(TOGETHER).lines("yolks", "2026-10-31 03:00")[0]
    assert line.size == Fraction(5, 2)
    assert line.outputs == {"yolks": 50_000_000, "whites": 50_000_000}


def test_what_only_comes_along_changes_no_size_and_is_reported_short(kitchen):
    book = TOGETHER.replace('driven_by = ["yolks", "whites"]', "")
    small = kitchen(book)
    assert small.lines("yolks")[0].size == Fraction(3, 2)
    whites = next(par for par in small.plan().pars if par.prep == "whites")
    assert (whites.short, whites.to_make) == (20_000_000, 0)


def test_a_line_keeps_its_name_when_a_run_of_it_was_started(kitchen):
    small = kitchen(WORKED)
    small.tonight["dinner", TODAY] = Tonight(pars={"pie": 60_000_000})
    assert [line.line.n for line in small.lines("pie")] == [0, 1]
    small.more["lines_run"] = {("pie", "dinner.2026-10-31"): 1}
    small.under_way("pie", "4", started="2026-10-31 08:30")
    assert [line.line.n for line in small.lines("pie")] == [1]


def test_what_no_need_within_its_life_takes_is_noted(kitchen):
    small = kitchen(
        WORKED.replace("sizes = { smallest = 0.5, step = 0.5, largest = 4 }", "").replace('"2 days"', '"1 day"')
    )
    small.tonight["dinner", TODAY] = Tonight(covers=10, pars={"pie": 10_000_000})
    (line,) = small.lines("pie", "2026-10-31 12:00")
    assert [note.facts["amount"] for note in line.notes if note.kind == "over"] == [2_000_000]


def test_blocked_past_and_set_aside_batches_do_not_count(kitchen):
    small = kitchen(WORKED)
    small.tonight["dinner", TODAY] = Tonight(pars={"pie": 12_000_000})
    small.on_hand("pie", "12 each", blocked="smells")
    small.on_hand("pie", "12 each", "2026-10-31 08:00")
    small.on_hand("pie", "12 each", set_aside="party.2026-11-01")
    assert small.par("pie").on_hand == 0
    small.on_hand("pie", "12 each", set_aside="dinner.2026-10-31")
    assert small.par("pie").on_hand == 12_000_000


def test_a_short_of_a_service_under_way_is_due_since_it_first_appeared(kitchen, moment):
    """Once kept, the moment stays: the line's ready-by does not move with the minutes."""
    small = kitchen(WORKED)
    board = small.plan("2026-10-31 18:00")
    assert board.new_shorts == {("pie", "dinner.2026-10-31"): TODAY}
    small.more["short_since"] = {("pie", "dinner.2026-10-31"): moment("2026-10-31 18:00")}
    board = small.plan("2026-10-31 18:20")
    assert board.make[0].ready_by == moment("2026-10-31 18:00")
    assert board.new_shorts == {}
    assert board.ended_shorts == {}


def test_a_short_that_was_covered_and_comes_back_is_due_since_it_came_back(kitchen, moment):
    """Enough of it was there from 18:30 on, and expired at 20:00: nothing is late since 18:00."""
    key = "pie", "dinner.2026-10-31"
    small = kitchen(WORKED)
    small.more["short_since"] = {key: moment("2026-10-31 18:00")}
    small.on_hand("pie", "60 each", "2026-10-31 20:00")
    board = small.plan("2026-10-31 18:30")
    assert board.ended_shorts == {key: TODAY}
    small.more["short_since"] = {}
    board = small.plan("2026-10-31 20:00")
    assert board.make[0].ready_by == moment("2026-10-31 20:00")
    assert board.new_shorts == {key: TODAY}


def test_what_is_all_there_is_short_no_more_and_what_is_only_under_way_still_is(kitchen, moment):
    """All that guests still take, to the end: no line is left to make."""
    key = "pie", "dinner.2026-10-31"
    small = kitchen(WORKED)
    small.more["short_since"] = {key: moment("2026-10-31 18:00")}
    small.on_hand("pie", "60 each")
    board = small.plan("2026-10-31 18:30")
    assert (board.make, board.ended_shorts) == ((), {key: TODAY})

    baking = kitchen(WORKED + 'steps = [{ do = "Bake", wait = "2 h" }]\n')
    baking.more["short_since"] = {key: moment("2026-10-31 18:00")}
    baking.under_way("pie", started="2026-10-31 18:15").outputs = {"pie": 60_000_000}
    board = baking.plan("2026-10-31 18:30")
    assert (board.make, board.ended_shorts) == ((), {})


def test_a_run_that_is_late_counts_while_no_new_one_could_be_ready_sooner(kitchen):
    """A run of three hours begun at 16:00 comes at 19:00, an hour and a half late; one begun now comes later still."""
    slow = WORKED + 'steps = [{ do = "Bake", hands_on = "10 min", wait = "2 h 50 min" }]\n'
    small = kitchen(slow)
    small.tonight["dinner", TODAY] = Tonight(pars={"pie": 12_000_000})
    small.under_way("pie", started="2026-10-31 16:00")
    assert small.par("pie", "2026-10-31 16:30").under_way == 12_000_000
    assert small.lines("pie", "2026-10-31 16:30") == []


ROLLS = """
[services.lunch]
on = "2026-10-31"
starts = "12:00"
ends = "14:00"
counts = { roll = 80 }
[services.supper]
on = "2026-10-31"
starts = "18:00"
ends = "21:00"
counts = { roll = 80 }
[dishes.roll]
name = "Roll"
services = ["lunch", "supper"]
plate = { roll = "1 each" }
[preps.roll]
name = "Roll"
keeps = "1 day"
makes = "80 each"
uses = { dough = "5 kg" }
steps = [{ do = "Bake", hands_on = "1 h" }]
[preps.dough]
name = "Dough"
keeps = "2 days"
makes = "5 kg"
steps = [{ do = "Knead", hands_on = "30 min", wait = "8 h" }]
"""


def test_what_joins_never_makes_a_need_wait_for_what_is_not_there_that_would_be_served_by_itself(kitchen):
    """At six there is dough for lunch and a little more; that for supper is kneaded now and ready at half past two."""
    one = kitchen(ROLLS)
    one.on_hand("dough", "6 kg")
    lines = one.plan("2026-10-31 06:00").make
    rolls = [(line.line.need, line.size, line.late_minutes) for line in lines if line.prep == "roll"]
    assert rolls == [("lunch.2026-10-31", 1, 0), ("supper.2026-10-31", 1, 0)]


def test_what_can_be_made_in_time_together_is_one_run(kitchen):
    one = kitchen(ROLLS)
    one.on_hand("dough", "12 kg")
    assert [line.size for line in one.plan("2026-10-31 06:00").make] == [2]


LATE_BAKE = """
[stations.hot]
name = "Hot"
hours = "06:00-14:00"
[stations.stocks]
name = "Stocks"
[services.lunch]
on = "2026-11-01"
starts = "12:00"
ends = "14:00"
covers = 10
[dishes.bake]
name = "Bake"
services = ["lunch"]
share = 1
plate = { bake = "100 g" }
[preps.bake]
name = "Bake"
station = "hot"
keeps = "2 days"
makes = "1 kg"
uses = { stock = "200 g" }
steps = [{ do = "Bake", hands_on = "15 min", wait = "7 h" }]
[preps.stock]
name = "Stock"
station = "stocks"
keeps = "3 days"
makes = "1 kg"
steps = [{ do = "Boil", hands_on = "30 min" }]
"""


def test_what_begins_too_late_takes_nothing_that_is_over_when_its_cooks_come(kitchen):
    """Nobody is at the bench from this evening until six: what is good until five goes into nothing that begins
    then, though by rights it should have begun in the afternoon."""
    small, now = kitchen(LATE_BAKE), at("2026-10-31 21:30")
    small.on_hand("stock", "1 kg", "2026-11-01 05:00")
    until = horizon(small.state, now)
    asked = pars(small.state, now, until, ahead(small.state, now, until))
    needs = work_out(small.state, now, until, asked, RunTimes(small.state, now))
    (bake,) = (run for run in needs.planned if run.recipe.id == "bake")
    ((lot, _),) = bake.takes[0].drawn
    assert (bake.takes[0].at, lot.source) == (at("2026-11-01 06:00"), "planned")
