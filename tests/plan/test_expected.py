"""What a sitting is expected to use is one number, of menus, standing pars, pars by hand and dishes that are off."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from prepboard.plan.demand.expected import at_sitting
from prepboard.plan.demand.occasions import occasions
from prepboard.plan.given.state import Tonight

TODAY = date(2026, 10, 31)

BREAD = """
[services.dinner]
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
covers = 100
[menus.table]
name = "Table"
services = ["dinner"]
share = 0.6
dishes = ["bread"]
[dishes.bread]
name = "Bread"
services = ["dinner"]
share = 1.0
plate = { bread = "1 each" }
[preps.bread]
name = "Bread"
keeps = "1 day"
makes = "10 each"
"""


def test_bread_on_a_menu_is_not_counted_twice(kitchen):
    """0.6 by the menu, and of the other 0.4 of the guests one each: 100 for 100 covers."""
    par = kitchen(BREAD).par("bread")
    assert (par.par, par.expected) == (100_000_000, 100_000_000)


def test_a_par_by_hand_does_not_cap_what_guests_are_expected_to_take(kitchen):
    small = kitchen(BREAD)
    small.tonight["dinner", TODAY] = Tonight(pars={"bread": 40_000_000})
    par = small.par("bread")
    assert (par.par, par.expected) == (40_000_000, 100_000_000)


BUTTER = """
[services.dinner]
starts = "17:30"
ends = "22:30"
covers = 40
[services.late]
on = "2026-10-31"
starts = "23:00"
ends = "23:59"
covers = 12
[dishes.roll]
name = "Roll"
services = ["dinner", "late"]
share = 1.0
plate = { butter = "12 g" }
[preps.butter]
name = "Butter"
keeps = "10 days"
makes = "1.2 kg"
par = "3.6 kg"
"""


def test_a_standing_par_is_asked_once_a_business_day_by_its_first_service(kitchen):
    """Dinner asks for 3.6 kg; the late table of twelve only for its 144 g."""
    small = kitchen(BUTTER)
    small.on_hand("butter", "3.6 kg")
    pars = {(par.service, par.day): par for par in small.plan().pars if par.day == TODAY}
    assert (pars["dinner", TODAY].par, pars["dinner", TODAY].source) == (3_600_000_000, "standing")
    assert (pars["late", TODAY].par, pars["late", TODAY].source) == (144_000_000, "mix")
    during = {(par.service, par.day): par for par in small.plan("2026-10-31 22:45").pars}
    assert during["late", TODAY].par == 144_000_000


MAINS = """
[services.dinner]
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
covers = 100
[dishes.zander]
name = "Zander"
services = ["dinner"]
course = "main"
share = 0.3
plate = { zander = "1 each" }
[dishes.hen]
name = "Hen"
services = ["dinner"]
course = "main"
share = 0.2
plate = { hen = "1 each", roll = "1 each" }
[dishes.leek]
name = "Leek"
services = ["dinner"]
course = "main"
share = 0.4
plate = { leek = "1 each" }
[preps.zander]
name = "Zander"
keeps = "1 day"
makes = "10 each"
[preps.hen]
name = "Hen"
keeps = "1 day"
makes = "10 each"
[preps.leek]
name = "Leek"
keeps = "1 day"
makes = "10 each"
[goods.roll]
name = "Roll"
unit = "each"
"""


def test_guests_of_a_dish_that_is_off_choose_among_the_others_of_its_course(kitchen, moment):
    """Of 90 who take a main, 30 had the zander: hen 20 × 90/60 = 30, leek 40 × 90/60 = 60."""
    small = kitchen(MAINS)
    small.tonight["dinner", TODAY] = Tonight(off=frozenset({"zander"}))
    board = small.plan()
    assert {par.prep: par.expected for par in board.pars} == {"hen": 30_000_000, "leek": 60_000_000}
    assert board.pars[0].par > 30_000_000
    assert [(line.item, line.amount) for line in board.bring if line.kind == "goods"] == [("roll", 30_000_000)]
    (dinner,) = occasions(small.state, moment("2026-10-31 09:00"), moment("2026-10-31 22:00"))
    known = at_sitting(small.state, moment("2026-10-31 09:00"), dinner)
    assert [round(known.portions(dish)) for dish in ("zander", "hen", "leek")] == [0, 30, 60]


def test_a_share_set_for_tonight_and_a_count_are_in_it(kitchen):
    small = kitchen(MAINS)
    small.tonight["dinner", TODAY] = Tonight(shares={"hen": Fraction(1, 10)}, counts={"leek": 7})
    assert {par.prep: par.expected for par in small.plan().pars} == {
        "zander": 30_000_000,
        "hen": 10_000_000,
        "leek": 7_000_000,
    }
