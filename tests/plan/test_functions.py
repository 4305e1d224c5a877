"""Functions: counted dishes are needed whole when their course is plated; all figures are worked by hand."""

from __future__ import annotations

from datetime import date, time

import pytest
from conftest import Kitchen, at

from prepboard.boards.timeline.rows import lanes_of
from prepboard.boards.timeline.view import scale
from prepboard.plan.changing.hurts import _without
from prepboard.plan.changing.losses import losses, sittings_ahead
from prepboard.plan.demand.expected import asked_of
from prepboard.plan.demand.occasions import occasions
from prepboard.plan.demand.plating import Plating
from prepboard.plan.given.state import Tonight
from prepboard.plan.service.expecting import Evening

TODAY = date(2026, 10, 31)

FEAST = """
[services.feast]
on = "2026-10-31"
starts = "19:00"
ends = "21:00"
set_by = "18:30"
covers = 120
counts = { soup = 120, hen = 80, pie = 40 }
courses = { main = "19:40" }
plate_up = "30 min"

[dishes.soup]
services = ["feast"]
course = "starter"
plate = { broth = "200 ml", sauce = "10 ml" }

[dishes.hen]
services = ["feast"]
course = "main"
plate = { hen = "150 g", sauce = "20 ml" }

[dishes.pie]
services = ["feast"]
course = "main"
plate = { pie = "1 each" }

[preps.broth]
name = "Broth"
keeps = "3 days"
makes = "24 l"

[preps.sauce]
name = "Sauce"
keeps = "3 days"
makes = "1 l"

[preps.hen]
name = "Hen"
keeps = "3 days"
makes = "12 kg"

[preps.pie]
name = "Pie"
keeps = "3 days"
makes = "40 each"
"""


def ready_by(small, prep: str, now: str = "2026-10-31 09:00"):
    return f"{min(line.ready_by for line in small.lines(prep, now)):%H:%M}"


def sent(small, **plates: int) -> None:
    small.more["plated"] = {("feast", TODAY, dish): n for dish, n in plates.items()}
    small.more["plated_at"] = {("feast", TODAY, dish): at("2026-10-31 19:05") for dish in plates}


def going(small, dish: str, until: str, now: str = "2026-10-31 18:00") -> float:
    (feast,) = occasions(small.state, at(now), at("2026-10-31 21:00"))
    evening = Evening(small.state, at(now), feast, asked_of(small.state, at(now), feast))
    return evening.portions(dish, feast.starts, at(f"2026-10-31 {until}"))


def test_a_prep_is_ready_for_its_earliest_course_as_long_before_as_the_room_is_set(kitchen):
    """Set half an hour before the start: the main at 19:40 is ready at 19:10, what the soup takes too at 18:30."""
    small = kitchen(FEAST)
    assert [ready_by(small, prep) for prep in ("broth", "sauce", "hen", "pie")] == ["18:30", "18:30", "19:10", "19:10"]
    assert small.par("sauce").par == small.amount("sauce", "2.8 l"), "whole: 120 of 10 ml and 80 of 20 ml"
    small.tonight["feast", TODAY] = Tonight(moved_to=time(20))
    assert [ready_by(small, prep) for prep in ("broth", "hen")] == ["19:30", "20:10"]


def test_without_times_all_courses_are_plated_at_the_start(kitchen):
    small = kitchen(FEAST.replace('courses = { main = "19:40" }\n', "").replace('set_by = "18:30"\n', ""))
    assert [ready_by(small, prep) for prep in ("broth", "hen")] == ["19:00", "19:00"]


@pytest.mark.parametrize(("until", "plates"), [("19:40", 0), ("19:55", 40), ("20:10", 80), ("21:00", 80)])
def test_the_plates_of_a_course_go_out_evenly_from_its_time_on(kitchen, until, plates):
    assert going(kitchen(FEAST), "hen", until) == pytest.approx(plates)


@pytest.mark.parametrize(("until", "plates"), [("19:40", 0), ("19:41", 80)])
def test_or_at_once_where_no_time_for_it_is_written(kitchen, until, plates):
    assert going(kitchen(FEAST.replace('plate_up = "30 min"\n', "")), "hen", until) == plates


def test_a_plating_longer_than_the_function_lasts_is_over_with_it(kitchen):
    late = FEAST.replace('"19:40"', '"20:50"')
    assert going(kitchen(late), "hen", "20:55") == pytest.approx(40)
    assert going(kitchen(late), "hen", "21:00") == 80


def test_nobody_counts_and_the_clock_says_what_is_gone(kitchen):
    """A third of 80 plates by ten past: 27; what is still to come is 54 whole ones."""
    small = kitchen(FEAST)
    small.on_hand("hen", "12 kg")
    small.on_hand("sauce", "5 l")
    board = small.plan("2026-10-31 19:50")
    assert next(line for line in board.left if line.dish == "hen").plates_left == 80 - 27
    assert next(par for par in board.pars if par.prep == "hen").par == small.amount("hen", "8.1 kg")


def test_a_course_that_is_sent_late_is_still_to_come_whole(kitchen):
    small = kitchen(FEAST)
    small.on_hand("hen", "12 kg")
    small.on_hand("sauce", "5 l")
    sent(small, soup=120)
    board = small.plan("2026-10-31 20:30")
    hen = next(line for line in board.left if line.dish == "hen")
    assert (hen.plates_left, hen.runs_out_at) == (80, None)
    pars = {par.prep: par for par in board.pars}
    assert "broth" not in pars, "the soup is out"
    assert (pars["hen"].par, pars["sauce"].par) == (12_000_000_000, 1_600_000_000)


def test_a_course_that_is_sent_early_asks_for_nothing_more(kitchen):
    small = kitchen(FEAST)
    sent(small, soup=120, hen=80)
    pars = {par.prep: par for par in small.plan("2026-10-31 19:20").pars}
    assert set(pars) == {"pie"}
    assert pars["pie"].par == 40_000_000


def test_when_the_first_course_is_out_its_preps_wait_for_the_next(kitchen):
    small = kitchen(FEAST)
    sent(small, soup=120)
    assert ready_by(small, "sauce", "2026-10-31 19:02") == "19:10"


def test_what_ends_during_the_plating_counts_for_the_plates_before(kitchen):
    """Good until 19:55, halfway through: 6 of the 12 kg count."""
    small = kitchen(FEAST)
    small.on_hand("hen", "12 kg", use_by="2026-10-31 19:55")
    assert small.par("hen").on_hand == small.amount("hen", "6 kg")
    small.batches[0].use_by = at("2026-10-31 19:40")
    assert small.par("hen").on_hand == 0
    small.batches[0].use_by = at("2026-10-31 20:10")
    assert small.par("hen").on_hand == small.amount("hen", "12 kg")


def test_guests_wait_for_a_late_prep_from_the_time_of_its_course_on(kitchen):
    """Ready at 19:55, halfway through the plating: 40 of the 80 plates wait; by the guests' coming it were all."""
    slow = FEAST.replace('makes = "12 kg"', 'makes = "12 kg"\nsteps = [{ do = "Poach", wait = "55 min" }]')
    board = kitchen(slow).plan("2026-10-31 19:00")
    (line,) = (line for line in board.make if line.prep == "hen")
    assert line.ready_at == at("2026-10-31 19:55")
    loss = losses(board, sittings_ahead(board)).by_line[str(line.line)]
    assert (loss.lost, loss.waiting) == (0, pytest.approx(40))


def test_whom_a_change_hurts_is_told_by_the_time_of_the_course():
    """80 plates from 19:40 to 20:10, of which 10 are there: ready at 19:55, 30 guests go without; before it, none."""
    begins, ends = at("2026-10-31 19:40"), at("2026-10-31 20:10")
    small = Kitchen(FEAST)
    (feast,) = occasions(small.state, begins, ends)
    plates = {"hen": 80.0}
    goes = Plating(small.state, at("2026-10-31 18:00"), feast).together(plates)
    assert goes == ((begins, ends, 1.0),)
    assert _without(plates, goes, 10, feast, at("2026-10-31 19:55")) == 30
    assert _without(plates, goes, 10, feast, begins) == 0


def test_another_service_of_the_day_takes_what_the_function_has_not_sent_yet(kitchen):
    """Dinner begins at 18:00: of 90 plates of hen the function's 80 are not dinner's, until they are out."""
    dinner = """
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "23:00"
covers = 20
"""
    small = kitchen(
        dinner
        + FEAST.replace('services = ["feast"]\ncourse = "main"', 'services = ["feast", "dinner"]\ncourse = "main"')
    )
    small.on_hand("hen", "13.5 kg")
    small.on_hand("sauce", "9 l")
    hen = next(line for line in small.plan("2026-10-31 18:10").left if line.dish == "hen")
    assert (hen.plates_left, hen.others) == (10, (("feast", 80),))


# --- the hands that plate --------------------------------------------------------------------------------

BENCHES = """
[stations.grill]
hours = "08:00-23:00"

[stations.pastry]

[services.late]
on = "2026-10-31"
starts = "20:30"
ends = "22:00"
covers = 10

[dishes.tart]
services = ["late"]
share = 1
plate = { tart = "1 each" }

[preps.tart]
name = "Tart"
station = "grill"
keeps = "3 days"
makes = "20 each"
steps = [{ do = "Fill", hands_on = "30 min" }]
""" + FEAST.replace('name = "Hen"', 'name = "Hen"\nstation = "grill"').replace(
    'name = "Pie"', 'name = "Pie"\nstation = "grill"'
).replace('name = "Sauce"', 'name = "Sauce"\nstation = "grill"').replace(
    'name = "Broth"', 'name = "Broth"\nstation = "pastry"'
)


def fills(small, now: str = "2026-10-31 19:01") -> str:
    """When the tart, which takes 30 minutes of hands and is wanted at 20:30, is filled."""
    for prep, amount in (("broth", "24 l"), ("sauce", "9 l"), ("hen", "12 kg"), ("pie", "40 each")):
        small.on_hand(prep, amount)
    (line,) = small.lines("tart", now)
    return f"{line.steps[0].begins:%H:%M}"


def test_while_a_course_is_plated_its_benches_do_nothing_else(kitchen):
    """The starter is out. The main takes the grill from 19:40 to 20:10: 20 minutes are left before half past, so the
    tart is filled by 19:40."""
    small = kitchen(BENCHES)
    sent(small, soup=120)
    assert fills(small) == "19:10"
    assert fills(kitchen(BENCHES.replace('plate_up = "30 min"\n', ""))) == "20:00"


def test_a_bench_that_is_always_there_plates_too(kitchen):
    small = kitchen(BENCHES.replace('hours = "08:00-23:00"\n', ""))
    sent(small, soup=120)
    assert fills(small) == "19:10"


def test_a_bench_with_nothing_on_the_plates_goes_on(kitchen):
    assert fills(kitchen(BENCHES.replace('name = "Tart"\nstation = "grill"', 'name = "Tart"\nstation = "pastry"'))) == (
        "20:00"
    )


def test_the_starter_is_plated_at_the_start(kitchen):
    """The sauce on it is the grill's: from 19:00 to 19:30 too, so the 30 minutes lie before seven."""
    assert fills(kitchen(BENCHES), "2026-10-31 17:00") == "18:30"


def test_hands_are_free_when_the_course_is_out(kitchen):
    small = kitchen(BENCHES)
    sent(small, soup=120, hen=80, pie=40)
    assert fills(small, "2026-10-31 19:06") == "20:00"
    small = kitchen(BENCHES)
    sent(small, soup=120, hen=80)
    assert fills(small, "2026-10-31 19:06") == "19:10", "the pies are not out"


def test_a_function_that_is_moved_takes_its_hands_along(kitchen):
    small = kitchen(BENCHES)
    small.tonight["feast", TODAY] = Tonight(moved_to=time(18))
    assert fills(small, "2026-10-31 17:00") == "20:00"


def test_the_timeline_draws_the_hands_that_plate(kitchen):
    small = kitchen(BENCHES)
    page = scale(at("2026-10-31 18:00"), at("2026-10-31 23:00"), 120)

    def plating(now: str) -> dict[str, list[tuple[str, str]]]:
        lanes = lanes_of(small.plan(now), ("grill", "pastry"), page)
        return {
            lane.heading: [
                (bar.name, f"{bar.spans[0].begins:%H:%M}-{bar.spans[0].hands_until:%H:%M}")
                for bar in lane.bars
                if bar.name.startswith("plating")
            ]
            for lane in lanes
        }

    starter, main = ("plating starter", "19:00-19:30"), ("plating main", "19:40-20:10")
    assert plating("2026-10-31 17:00") == {"GRILL": [starter, main], "PASTRY": [starter]}
    sent(small, soup=120)
    assert plating("2026-10-31 19:06") == {"GRILL": [main], "PASTRY": []}
