"""A dozen fixed days of the obedient kitchen and two of the late one, in seconds; drawn ones by the hundred, in which
somebody looks more often, and the demo are in tests/benchmarks."""

from __future__ import annotations

import os
from datetime import timedelta
from fractions import Fraction

import pytest
from days.late import LITTLE, worked
from days.obedient import COOK, Obedient, opened
from days.small_books import BOOKS
from msgspec.structs import replace
from random_kitchens import NOW, SHIFTS, TWO_A_DAY, text_of

from prepboard.plan.board import plan
from prepboard.store.actions.food.making import start
from prepboard.store.actions.night.today import equip

CHICAGO = {"zone": "America/Chicago", "shifts": ("20:00-05:00", "09:00-23:30")}
NIGHTS = ("20:00-05:00", "18:00-04:30", "09:00-23:30")
DAYS = [
    (11, 36, {"runs": 5}),
    (12, 36, {"runs": 4, "tight": True, "zone": "America/Chicago"}),
    (20, 36, {"runs": 5, "tight": True}),
    (23, 36, {"runs": 5, "shifts": NIGHTS}),
    (4, 36, {"runs": 4, **CHICAGO}),
    (22, 36, {"runs": 4, **CHICAGO}),
    (15, 36, {"runs": 5, "thaws": True}),
    (23, 36, {"runs": 5, "thaws": True}),
    (3098, 17, {"runs": 12, "tight": True, "sittings": TWO_A_DAY}),
    (9262, 21, {"runs": 12, "tight": True, "sittings": TWO_A_DAY}),
    (9642, 13, {"runs": 12, "sittings": TWO_A_DAY}),
    (13036, 28, {"runs": 10}),
    (13040, 30, {"runs": 10, "tight": True, "zone": "America/Chicago"}),
    (15055, 23, {"runs": 10, "tight": True}),
    (29, 36, {"runs": 5, "benches": 3, "racks": 6}),
    *([(15092, 36, {"runs": 8, "shifts": NIGHTS})] if os.environ.get("PREPBOARD_LONG") else []),
]
"""Seed, hours, and what is drawn. The large ones go on beyond the moment at which a promise was broken once."""

TRIED = {9642: 1, 13040: 1}
"""What is started ahead of its time in a large kitchen has all of it placed anew, for half a second each: so many are
tried there, on other days none, and in small kitchens all that are drawn. Each line of four large kitchens is started
by test_started_now.py."""

LOOKS = timedelta(minutes=97)
"""So often somebody looks at the board while nothing is to be done."""

NIGHT_PIES = """
name = "Pies"
time_zone = "UTC"
day_starts = "04:00"
rules = "food-code-2022"
ready_before = "0 min"
[stations.hot]
name = "Hot"
[equipment.oven]
name = "Oven"
places = 3
[services.breakfast]
on = "2026-10-30"
starts = "03:30"
ends = "06:00"
covers = 40
[dishes.pie]
name = "Pie"
services = ["breakfast"]
share = 1
plate = { pie = 1 }
[preps.pie]
name = "Pie"
station = "hot"
keeps = "2 days"
makes = "40 each"
steps = [{ do = "Bake", wait = "1 h", equipment = "oven", at = "180 C" }]
[preps.roast]
name = "Roast"
station = "hot"
keeps = "2 days"
makes = "1 kg"
steps = [{ do = "Roast", hands_on = "5 min" }]
"""
"""Somebody is always there; the business day of the 30th ends at 04:00."""


@pytest.mark.parametrize(("seed", "hours", "settings"), DAYS)
def test_a_kitchen_that_does_what_its_board_says_sees_every_promise_come_true(tmp_path, seed, hours, settings):
    """On most of the days keys are pressed within the minute, on the others just as it begins."""
    tries = TRIED.get(seed, 0) if settings["runs"] > 5 else None
    file = opened(tmp_path, text_of(seed, strict=seed % 2 == 0, **settings), NOW)
    try:
        kitchen = Obedient(file, seed, looks=LOOKS, seconds=seed % 3 > 0, tries=tries)
        found = kitchen.work(NOW + timedelta(hours=hours))
    finally:
        file.close()
    assert found.lines >= 1
    assert found.broken == []


def test_what_came_too_late_is_saved_by_the_first_press_and_what_others_were_told_then_stays(tmp_path):
    """Lunch comes into sight at 18:00, with a dish that is lost as all lies. The next press, at 19:05, saves it and has
    others move, which stay in time; two hours later, when a line was begun in its minute, they moved."""
    settings = {"runs": 10, "tight": True, "zone": "America/Chicago"}
    file = opened(tmp_path, text_of(12031, strict=False, **settings), NOW)
    try:
        found = Obedient(file, 12031, looks=LOOKS, seconds=True, tries=0).work(NOW + timedelta(hours=12))
        lines = plan(file.read(), file.clock.now()).make
    finally:
        file.close()
    assert found.broken == []
    assert {line.prep: line.too_late for line in lines if line.line.need == "lunch.2026-11-01"} == {
        "p0": False,
        "p2": False,
    }


def test_what_was_lost_is_saved_by_an_unforeseen_press_though_another_is_late_for_it(tmp_path):
    """p3 is lost as all lies. Begun a day early, p7 is there for it, too: p5 waits an hour for the cook of p3."""
    file = opened(tmp_path, text_of(9736, strict=True, runs=10), NOW)
    try:
        before = {line.prep: line for line in plan(file.read(), NOW).make}
        start(file, COOK, "p7", before["p7"].size, before["p7"].line)
        after = {line.prep: line for line in plan(file.read(), NOW).make}
    finally:
        file.close()
    assert [(before[prep].too_late, after[prep].too_late) for prep in ("p3", "p5")] == [(True, False), (False, False)]
    assert [(before[prep].late_minutes, after[prep].late_minutes) for prep in ("p3", "p5")] == [(1140, 0), (0, 59)]


@pytest.mark.parametrize(
    ("seed", "hours", "settings"),
    [
        (39055, 20, {"runs": 10, "tight": True}),
        (39147, 9, {"runs": 8, "zone": "America/Chicago", "shifts": ("20:00-05:00", *SHIFTS)}),
        (50037, 3, {"runs": 10, "tight": True}),
    ],
)
def test_another_service_that_comes_into_sight_takes_nothing_back(tmp_path, seed, hours, settings):
    """Lunch comes into sight while nobody presses anything, and what goes into a dish of dinner goes into one of lunch
    as well: it is named for that, lay nowhere any more, and dinner's dish was late behind it, or lost. Or it saves a
    dish that was lost: that is said once, and stays so."""
    file = opened(tmp_path, text_of(seed, strict=seed % 2 == 0, **settings), NOW)
    try:
        kitchen = Obedient(file, seed, looks=timedelta(minutes=37), seconds=seed % 3 > 0, tries=0)
        found = kitchen.work(NOW + timedelta(hours=hours))
        lines = plan(file.read(), file.clock.now()).make
    finally:
        file.close()
    assert {line.line.need for line in lines if "@" not in line.line.need} >= {"lunch.2026-11-01"}
    assert found.broken == []


@pytest.mark.parametrize(("name", "hours"), [("bakery", 17), ("cafe", 24), ("late bar", 40)])
def test_a_small_book_sees_every_promise_come_true(tmp_path, name, hours):
    """As many guests come as are expected; by then the bakery has baked for its first guests."""
    file = opened(tmp_path, BOOKS[name], NOW)
    try:
        found = Obedient(file, 5, looks=LOOKS, seconds=True, guests=True).work(NOW + timedelta(hours=hours))
    finally:
        file.close()
    assert found.lines >= 3
    assert found.broken == []


@pytest.mark.parametrize(
    ("pies", "roast"),
    [
        ('wait = "1 h", equipment = "oven", at = "180 C"', ""),
        ('wait = "1 h", equipment = "oven", at = "180 C", racks = 2', 'wait = "5 h", equipment = "oven", racks = 2'),
        ('hands_on = "10 min", wait = "50 min", equipment = "oven", at = "180 C"', 'hands_on = "5 h"'),
        (
            'hands_on = "30 min", wait = "30 min"',
            'wait = "10 min", wait_up_to = "11 min" }, { do = "Carve", hands_on = "290 min"',
        ),
        (
            'hands_on = "10 min", wait = "20 min", wait_up_to = "20 min" }, { do = "Bake", hands_on = "30 min"',
            'wait = "15 min", wait_up_to = "15 min" }, { do = "Carve", hands_on = "285 min"',
        ),
    ],
    ids=[
        "it does not work",
        "one place is free",
        "the cook is busy",
        "the cook is wanted before it is over",
        "the cook is busy when it is to go on",
    ],
)
def test_no_line_could_go_on_in_a_place_and_with_hands_that_are_not_there(tmp_path, pies, roast):
    """Three ovens, and none of them, two or the cook are not there from 23:00 to 04:00: it is late, and waits; whoever
    pressed start would be told of midnight, as of whatever others have."""
    book = NIGHT_PIES.replace('wait = "1 h", equipment = "oven", at = "180 C"', pies)
    file = opened(
        tmp_path, book.replace('hands_on = "5 min"', roast or 'hands_on = "5 min"'), NOW + timedelta(hours=13)
    )
    try:
        if roast:
            start(file, COOK, "roast", Fraction(1))
        else:
            equip(file, COOK, NOW.date(), "oven", 0)
        board = plan(file.read(), file.clock.at)
        kitchen = Obedient(file)
        kitchen._try_start(board)
    finally:
        file.close()
    assert board.make[0].late_minutes == 90
    assert (kitchen.found.starts_tried, kitchen.found.broken) == (1, [])


def test_a_late_line_that_waits_while_nothing_is_in_its_way_is_found(tmp_path):
    """It is to be begun now, and a board that says an hour later is found out."""
    file = opened(tmp_path, NIGHT_PIES, NOW + timedelta(hours=17))
    try:
        board = plan(file.read(), file.clock.at)
        (line,) = [line for line in board.make if line.prep == "pie"]
        hour = timedelta(hours=1)
        said = replace(line, begins=line.begins + hour, ready_at=line.ready_at + hour)
        kitchen = Obedient(file)
        kitchen._try_start(replace(board, make=(said,)))
    finally:
        file.close()
    assert line.late_minutes
    assert kitchen.found.broken == [
        "31 03:00 pie#0@breakfast.2026-10-30: waits to 31 04:00 and could go on at 31 03:00"
    ]


@pytest.mark.parametrize("lost", [False, True])
def test_a_late_line_waits_where_another_is_lost_if_it_goes_on(tmp_path, lost):
    file = opened(tmp_path, NIGHT_PIES, NOW + timedelta(hours=17))
    try:
        board = plan(file.read(), file.clock.at)
        (line,) = [line for line in board.make if line.prep == "pie"]
        hour, day, moments = timedelta(hours=1), timedelta(days=1), ("begins", "hands_until", "ends")
        steps = (replace(step, **{name: getattr(step, name) + day for name in moments}) for step in line.steps)
        cake = replace(line, line=replace(line.line, prep="cake"), steps=tuple(steps))
        said = replace(line, begins=line.begins + hour, ready_at=line.ready_at + hour)
        code = start(file, COOK, line.prep, line.size, line.line).run
        after = plan(file.read(), file.clock.at)
        (run,) = [run for run in after.under_way if run.run == code]
        kitchen = Obedient(file)
        after = replace(after, make=(replace(cake, too_late=lost),))
        kitchen._check_waiting(replace(board, make=(said, cake)), said, run, after)
    finally:
        file.close()
    assert bool(kitchen.found.broken) is not lost


@pytest.mark.parametrize(("seed", "tight"), [(27, True), (35, False)])
def test_a_kitchen_that_is_late_is_told_nothing_that_is_not_true(tmp_path, seed, tight):
    file = opened(tmp_path, text_of(seed, runs=4, tight=tight), NOW)
    try:
        kitchen = worked(file, seed, timedelta(hours=34), looks=LOOKS)
    finally:
        file.close()
    assert kitchen.found.lines >= 3
    assert kitchen.truth.checked > 400
    assert kitchen.found.broken == []
    assert max(kitchen.compared.later) <= LITTLE
