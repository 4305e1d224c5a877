"""Numbers typed and not saved: the plan with them, what they would cost, and what somebody else set meanwhile."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from math import ceil

import pytest
from lately import stats

from prepboard.plan.board import plan
from prepboard.plan.changing.difference import difference
from prepboard.plan.changing.drafts import (
    changed_under,
    in_force,
    lay_over,
    mine,
    occasion_of,
    set_to,
    share_freed,
    share_typed,
    still_open,
    theirs,
    typed,
)
from prepboard.plan.demand.mix import dishes_of, shares
from prepboard.plan.given.numbers import Change, Number
from prepboard.plan.given.state import Tonight

SATURDAY = date(2026, 10, 31)
DINNER = ("dinner", SATURDAY)
COVERS = Number("covers", DINNER)

BOOK = """
[stations.sauce]
[stations.roast]

[services.dinner]
days = ["sat"]
starts = "18:00"
ends = "22:00"
covers = 40

[goods.bones]
name = "Bones"
unit = "kg"
cost = 4

[preps.jus]
name = "Jus"
station = "sauce"
keeps = "3 days"
makes = "2 l"
uses = { bones = "1 kg" }
steps = [{ do = "Strain", hands_on_each = "30 min", wait = "1 h" }]

[preps.lamb]
name = "Lamb"
station = "roast"
keeps = "3 days"
makes = "10 each"
sizes = { largest = 1 }
steps = [{ do = "Roast", hands_on = "20 min", wait = "8 h 40 min" }]

[preps.bread]
name = "Bread"
station = "roast"
keeps = "1 day"
makes = "12 each"
par = "12 each"

[dishes.lamb-plate]
name = "Lamb"
services = ["dinner"]
course = "main"
share = 0.5
plate = { jus = "50 ml", lamb = "1 each" }

[dishes.leek-plate]
name = "Leek"
services = ["dinner"]
course = "main"
share = 0.3
plate = { jus = "20 ml" }

[dishes.pie-plate]
name = "Pie"
services = ["dinner"]
course = "main"
share = 0.2
plate = { jus = "30 ml" }
"""


@pytest.fixture
def small(kitchen):
    return kitchen(BOOK)


def test_a_number_counts_as_it_was_set_else_as_the_book_has_it(small):
    share, count = Number("mix", DINNER, "leek-plate"), Number("count", DINNER, "leek-plate")
    assert (in_force(small.state, COVERS), in_force(small.state, share), in_force(small.state, count)) == (
        40,
        Fraction(3, 10),
        None,
    )
    small.tonight[DINNER] = Tonight(covers=50, shares={"leek-plate": Fraction(1, 4)}, counts={"leek-plate": 7})
    assert (in_force(small.state, COVERS), in_force(small.state, share), in_force(small.state, count)) == (
        50,
        Fraction(1, 4),
        7,
    )
    assert set_to(small.state, Number("standing par", None, "bread")) is None


@pytest.mark.parametrize(
    ("number", "to"),
    [
        (COVERS, 94),
        (Number("percent", DINNER), -5),
        (Number("mix", DINNER, "leek-plate"), Fraction(1, 7)),
        (Number("count", DINNER, "leek-plate"), 12),
        (Number("par", DINNER, "jus"), 10**9),
        (Number("standing par", None, "bread"), 6 * 10**6),
    ],
)
def test_every_kind_is_laid_over_the_state_and_can_be_taken_away(small, number, to):
    laid = lay_over(small.state, [Change(number, None, to)])
    assert set_to(laid, number) == to
    freed = lay_over(laid, [Change(number, to, None)])
    assert set_to(freed, number) == set_to(small.state, number)
    assert set_to(small.state, number) in (None, 0)


def test_the_board_with_a_draft_is_the_board_once_it_is_saved(small, moment):
    small.on_hand("jus", "500 ml")
    now = moment("2026-10-31 09:00")
    preview = plan(lay_over(small.state, [Change(COVERS, None, 94)]), now)
    small.tonight[DINNER] = Tonight(covers=94)
    saved = plan(small.state, now)
    assert preview.pars == saved.pars
    assert [line.size for line in preview.make] == [line.size for line in saved.make]


def test_a_number_typed_back_is_no_change(small):
    draft = typed({}, small.state, COVERS, 94)
    assert draft == {COVERS: Change(COVERS, None, 94)}
    assert typed(draft, small.state, COVERS, 40) == {}  # as booked
    assert typed(draft, small.state, COVERS, None) == {}
    small.tonight[DINNER] = Tonight(covers=62)
    assert typed({}, small.state, COVERS, 62) == {}
    assert typed({}, small.state, COVERS, None) == {COVERS: Change(COVERS, 62, None)}


def test_a_share_makes_the_others_of_its_course_give_room_in_proportion(small):
    """0.5 of a course that all guests take leaves 0.5 for lamb and pie, which stand 5 to 2."""
    draft = share_typed({}, small.state, DINNER, "leek-plate", Fraction(1, 2))
    assert {number.item: change.to for number, change in draft.items()} == {
        "leek-plate": Fraction(1, 2),
        "lamb-plate": Fraction(5, 14),
        "pie-plate": Fraction(1, 7),
    }
    laid = lay_over(small.state, draft.values())
    assert shares(laid.book, occasion_of(laid, DINNER), "leek-plate", Fraction(3, 10))["lamb-plate"] == Fraction(1, 2)
    assert share_freed(draft, small.state, DINNER, "leek-plate") == {}


def test_what_a_sitting_expects_of_each_dish_and_where_it_comes_from(small, moment):
    """The 25 who would have had the lamb choose the leek: of its course it is all that is left to choose."""
    small.tonight[DINNER] = Tonight(covers=50, counts={"pie-plate": 9}, off=frozenset({"lamb-plate"}))
    found = dishes_of(small.state, moment("2026-10-31 09:00"), occasion_of(small.state, DINNER))
    lamb, leek, pie = found
    assert (lamb.off, lamb.portions, lamb.parts) == (True, 0, ())
    assert (leek.share, leek.portions, leek.count) == (Fraction(3, 10), 40, None)
    assert leek.parts == (("share", 15), ("moved", 25))
    assert (pie.count, pie.portions, pie.parts) == (9, 9, (("count", 9),))


# What it would cost


def both(small, moment, *changes):
    now = moment("2026-10-31 09:00")
    return difference(plan(small.state, now), plan(lay_over(small.state, changes), now))


def test_more_covers_cost_runs_and_hands(small, moment):
    """Lamb in runs of 10 at 20 minutes each, for the 0.95 quantile of the guests of whom half take it (scipy)."""
    lines = both(small, moment, Change(COVERS, None, 80))
    few, many = (ceil(stats.binom.ppf(0.95, covers, 0.5) / 10) for covers in (40, 80))
    assert many - few == 2
    assert [line.prep for line in lines.more] == ["lamb"] * 2
    assert [line.prep for line in lines.larger] == ["jus"]
    assert lines.work == {"roast": 2 * 20, "sauce": 30 * int(lines.larger[0].size - 1)}
    assert lines.work_minutes == sum(lines.work.values())
    assert lines.fewer == lines.smaller == lines.in_time == ()


def test_fewer_covers_leave_food_over_and_say_until_when(small, moment):
    small.on_hand("lamb", "30 each", "2026-11-02 00:00")
    lines = both(small, moment, Change(COVERS, None, 20))
    (lamb,) = [left for left in lines.left_over if left.prep == "lamb"]
    assert lamb.amount == 10 * 10**6  # expected use falls from 20 to 10
    assert lamb.good_until == moment("2026-11-02 00:00")


def test_nothing_typed_changes_nothing(small, moment):
    small.on_hand("lamb", "3 each")
    lines = both(small, moment)
    assert (lines.more, lines.fewer, lines.larger, lines.smaller, lines.later, lines.left_over) == ((),) * 6
    assert lines.work == {}
    assert all(chance.before == chance.after for chance in lines.chances)


def test_what_becomes_late_and_what_comes_in_time_again(small, moment):
    now = moment("2026-10-31 09:30")  # 9 h of lamb before 18:00 is 30 min too late
    small.on_hand("lamb", "40 each")
    few, many = plan(small.state, now), plan(lay_over(small.state, [Change(COVERS, None, 120)]), now)
    worse, better = difference(few, many), difference(many, few)
    assert {one.line.prep for one in worse.later} == {"lamb"}
    # Three runs of it, 20 min of one cook's hands each.
    assert {(one.before, one.line.late_minutes) for one in worse.later} == {(0, 30), (0, 50), (0, 70)}
    assert worse.in_time == ()
    assert better.later == ()
    assert {line.prep for line in better.fewer} == {"lamb"}


def test_a_bench_without_cooks_is_late_with_all_that_needs_hands(small, moment):
    """Lamb is roasted by hand, bread has no steps."""
    day = Number("hands", item="roast", day=SATURDAY)
    small.on_hand("lamb", "20 each")
    now = moment("2026-10-31 05:00")
    as_it_is = plan(small.state, now)
    without = plan(lay_over(small.state, [Change(day, None, 0)]), now)
    lines = difference(as_it_is, without)
    assert {one.line.prep for one in lines.later} | {one.line.prep for one in lines.troubles} == {"lamb"}
    back = difference(without, as_it_is)
    assert {line.prep for line in back.in_time} == {one.line.prep for one in lines.later}
    assert back.troubles == ()


def test_a_par_by_hand_moves_the_chance_that_every_dish_stands(small, moment):
    lines = both(small, moment, Change(Number("par", DINNER, "lamb"), None, 20 * 10**6))
    dinner = next(chance for chance in lines.chances if chance.sitting == DINNER)
    assert dinner.before > 0.9
    assert dinner.after < 0.6


# Two who type at once


def test_what_somebody_else_set_meanwhile_is_found_and_settled(small):
    draft = typed(typed({}, small.state, COVERS, 94), small.state, Number("percent", DINNER), 5)
    small.tonight[DINNER] = Tonight(covers=80, pars={"jus": 1})
    assert changed_under(draft, small.state) == [Change(COVERS, None, 94)]
    kept = mine(draft, small.state, [COVERS])
    assert kept[COVERS] == Change(COVERS, 80, 94)
    assert changed_under(kept, small.state) == []
    assert list(theirs(draft, [COVERS])) == [Number("percent", DINNER)]


def test_what_is_in_the_file_by_now_is_typed_no_more(small):
    draft = typed(typed({}, small.state, COVERS, 94), small.state, Number("percent", DINNER), 5)
    small.tonight[DINNER] = Tonight(covers=94)
    assert changed_under(draft, small.state) == []
    assert list(still_open(draft, small.state)) == [Number("percent", DINNER)]
