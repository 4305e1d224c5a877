"""Tonight's numbers, and who may set them."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from prepboard.plan.given.state import Tonight
from prepboard.store.actions.food.making import done
from prepboard.store.actions.night.tonight import adjust, count_for, covers, mix, par, standing
from prepboard.store.file.who import Refused, Who

ML = 1_000_000


def test_what_was_set_for_a_sitting_is_read_back(kitchen):
    file, sous, dinner = kitchen.file, kitchen.sous, kitchen.dinner
    assert covers(file, sous, dinner, 84).text == "Dinner Sat: 84 covers"
    covers(file, sous, dinner, 80, came=True)
    mix(file, sous, dinner, {"pressed-lamb": Fraction(11, 50)})
    count_for(file, sous, dinner, "lamb-toast", 12)
    par(file, sous, dinner, "lamb-jus", 900 * ML)
    adjust(file, sous, dinner, -10)
    assert kitchen.state.tonight == {
        dinner: Tonight(
            covers=84,
            came=80,
            percent=-10,
            shares={"pressed-lamb": Fraction(11, 50)},
            counts={"lamb-toast": 12},
            pars={"lamb-jus": 900 * ML},
        )
    }


def test_the_log_keeps_what_was_and_what_is(kitchen):
    covers(kitchen.file, kitchen.sous, kitchen.dinner, 84)
    covers(kitchen.file, kitchen.sous, kitchen.dinner, 92)
    assert [(row["before"], row["after"]) for row in kitchen.log("covers")] == [("60", "84"), ("84", "92")]
    mix(kitchen.file, kitchen.sous, kitchen.dinner, {"pressed-lamb": Fraction(11, 50)})
    (mixed,) = kitchen.log("mix")
    assert (mixed["dish"], mixed["before"], mixed["after"]) == ("pressed-lamb", "50 %", "22 %")


def test_a_par_by_hand_can_be_freed(kitchen):
    par(kitchen.file, kitchen.sous, kitchen.dinner, "lamb-jus", 900 * ML)
    par(kitchen.file, kitchen.sous, kitchen.dinner, "lamb-jus", None)
    assert kitchen.state.tonight == {}


def test_a_standing_par_stays_until_it_is_freed(kitchen):
    standing(kitchen.file, kitchen.sous, "brown-stock", 0)
    kitchen.later(days=400)
    assert kitchen.state.standing == {"brown-stock": 0}
    standing(kitchen.file, kitchen.sous, "brown-stock", None)
    assert kitchen.state.standing == {}


def test_a_guest_takes_one_dish_of_a_course(kitchen, book_folder):
    """Shares of a course come to at most 1; what is refused changes nothing."""
    with pytest.raises(Refused, match="the dishes of main come to 120 %"):
        mix(kitchen.file, kitchen.sous, kitchen.dinner, {"pressed-lamb": Fraction(6, 5)})
    assert kitchen.state.tonight == {}


@pytest.mark.parametrize("wrong", [-1, 10**9])
def test_numbers_that_cannot_be_are_refused(kitchen, wrong):
    for attempt in (
        lambda: covers(kitchen.file, kitchen.sous, kitchen.dinner, wrong),
        lambda: count_for(kitchen.file, kitchen.sous, kitchen.dinner, "pressed-lamb", wrong),
        lambda: adjust(kitchen.file, kitchen.sous, kitchen.dinner, wrong * 100),
    ):
        with pytest.raises(Refused):
            attempt()
    with pytest.raises(Refused):
        par(kitchen.file, kitchen.sous, kitchen.dinner, "lamb-jus", -1)


def test_sittings_long_over_are_in_no_state(kitchen):
    covers(kitchen.file, kitchen.sous, kitchen.dinner, 84)
    kitchen.later(days=2)
    assert kitchen.dinner in kitchen.state.tonight
    kitchen.later(days=1)
    assert kitchen.state.tonight == {}


# Who may


def test_where_the_book_lists_nobody_anyone_may_and_the_log_says_open(kitchen):
    covers(kitchen.file, Who("", ""), kitchen.dinner, 84)
    assert [row["role"] for row in kitchen.log("covers")] == ["open"]


def test_tonights_numbers_are_the_sous_chefs(staffed):
    before = staffed.size_of_tables()
    for who in (staffed.jp, Who("cc", "sauce"), Who("nobody", "sauce"), Who("", "")):
        for attempt in (
            lambda who=who: covers(staffed.file, who, staffed.dinner, 84),
            lambda who=who: mix(staffed.file, who, staffed.dinner, {"pressed-lamb": Fraction(1, 5)}),
            lambda who=who: count_for(staffed.file, who, staffed.dinner, "pressed-lamb", 4),
            lambda who=who: par(staffed.file, who, staffed.dinner, "lamb-jus", ML),
            lambda who=who: standing(staffed.file, who, "lamb-jus", ML),
            lambda who=who: adjust(staffed.file, who, staffed.dinner, 5),
        ):
            with pytest.raises(Refused, match="only a sous chef may do that"):
                attempt()
    assert staffed.size_of_tables() == before
    covers(staffed.file, Who("DK", "sauce"), staffed.dinner, 84)  # initials in either case
    assert [row["role"] for row in staffed.log("covers")] == ["sous"]


def test_unknown_initials_act_as_a_cook(staffed):
    done(staffed.file, Who("zz", "sauce"), prep="lamb-jus")
    assert [row["role"] for row in staffed.log("made")] == ["cook"]
    assert staffed.batches("lamb-jus")[0].day_one == date(2026, 10, 31)
