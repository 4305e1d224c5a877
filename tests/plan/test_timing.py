"""Timing: from ready-by back to start-by."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from random import Random
from zoneinfo import ZoneInfo

import pytest
from msgspec.structs import replace
from random_kitchens import NOW
from random_kitchens import kitchen as drawn

from prepboard.book.reading.reader import read_texts
from prepboard.book.safety.life import day_one, use_by
from prepboard.plan.board import plan
from prepboard.plan.given.state import State, Tonight
from prepboard.plan.runs.runs import RunTimes

LONG = """
[stations.sauce]
name = "Sauce"
{hours}

[preps.roll]
name = "Roll"
station = "sauce"
keeps = "5 days"
makes = "1 kg"
steps = [
  {{ do = "Season and leave", hands_on = "{hands}", wait = "6 h", wait_up_to = "{most}" }},
  {{ do = "Cook", wait = "3 h", equipment = "oven", at = "90 C" }},
  {{ do = "Set", wait = "6 h" }},
]

[equipment.oven]
name = "Oven"

[services.dinner]
on = "2026-10-31"
starts = "17:30"
ends = "22:00"
covers = 10

[dishes.roll]
name = "Roll"
services = ["dinner"]
plate = {{ roll = "100 g" }}
share = 1
"""


def long(hours: str = "", hands: str = "0 min", most: str = "24 h") -> str:
    return LONG.format(hours=hours, hands=hands, most=most)


def test_waits_that_need_nobody_ignore_hours(kitchen, moment):
    """Leave 6 h, cook 3 h, set 6 h, no hands-on, ready by 17:30: start by 02:30 (common practice, no source)."""
    (line,) = kitchen(long()).lines("roll", "2026-10-30 12:00")
    assert line.start_by == moment("2026-10-31 02:30")


def test_hands_on_moves_to_the_evening_before_and_the_wait_stretches(kitchen, moment):
    """With 10 min of hands-on first and hands only 08:00 to 23:00 the start is by 22:50 the evening before, and the
    first wait stretches from 6 h to 9 h 30. (No hands are at the oven at 11:30? They are: 08:00 to 23:00.)"""
    (line,) = kitchen(long('hours = "08:00-23:00"', "10 min")).lines("roll", "2026-10-30 12:00")
    assert line.start_by == moment("2026-10-30 22:50")
    assert line.steps[0].hands_until == moment("2026-10-30 23:00")
    assert line.steps[0].ends == line.steps[1].begins == moment("2026-10-31 08:30")


def test_a_wait_that_may_not_stretch_so_far_moves_the_whole_run_earlier(kitchen, moment):
    """With `wait_up_to` 7 h the first wait ends by 06:00, so the oven's 3 h would end at 09:00; the set waits on."""
    (line,) = kitchen(long('hours = "08:00-23:00"', "10 min", "7 h")).lines("roll", "2026-10-30 09:00")
    first, oven, chilled = line.steps
    assert first.hands_until == moment("2026-10-30 23:00")
    assert (oven.begins, oven.ends) == (moment("2026-10-31 06:00"), moment("2026-10-31 09:00"))
    assert chilled.ends == moment("2026-10-31 15:00")


def test_an_ovens_wait_ends_within_hours_since_someone_takes_it_out(kitchen, moment):
    """Ready by 17:30, set 6 h: the oven would end at 11:30, before the station opens at 12:00; it must end by 23:00
    the evening before."""
    (line,) = kitchen(long('hours = "12:00-23:00"')).lines("roll", "2026-10-29 12:00")
    assert line.steps[1].ends == moment("2026-10-30 23:00")
    assert line.steps[1].begins == moment("2026-10-30 20:00")


def test_an_oven_that_could_only_be_emptied_while_nobody_is_there_fits_nowhere(kitchen):
    """It takes 14 hours, and hands are there from 09:00 to 17:00: what goes in then is out between 23:00 and 07:00."""
    book = long('hours = "09:00-17:00"')
    overnight = book.replace('wait = "3 h", equipment', 'hands_on = "10 min", wait = "14 h", equipment')
    assert overnight != book
    (line,) = kitchen(overnight).lines("roll", "2026-10-30 12:00")
    assert [note.facts["why"] for note in line.notes if note.kind == "cannot fit"] == ["hours"]


def test_late_is_how_long_after_it_is_needed_it_is_ready(kitchen, moment):
    (line,) = kitchen(long()).lines("roll", "2026-10-31 03:10")
    assert (line.begins, line.start_by) == (moment("2026-10-31 03:10"), None)
    assert line.ready_at == moment("2026-10-31 18:10")
    assert line.late_minutes == 40
    assert line.ready_if_started_now == moment("2026-10-31 18:10")


def test_hands_on_for_each_recipe_grows_with_the_size_and_seconds_round_up(kitchen, moment):
    book = """
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 1

[preps.crisp]
name = "Crisp"
keeps = "1 day"
makes = "10 each"
sizes = { step = 0.5 }
steps = [{ do = "Fry", hands_on = "5 min", hands_on_each = "30 s" }]
"""
    small = kitchen(book)
    small.tonight["dinner", date(2026, 10, 31)] = Tonight(pars={"crisp": 25_000_000})
    (line,) = small.lines("crisp")
    assert line.start_by == moment("2026-10-31 17:53")  # 5 min + 2.5 · 30 s = 6 min 15, so 7 minutes


def test_a_night_on_which_the_clocks_change_has_its_real_length(kitchen, moment):
    """In Dublin clocks go back on 25 October 2026: from 22:00 to 08:00 next morning are 11 hours."""
    book = long().replace("17:30", "08:00").replace("22:00", "10:00").replace("10-31", "10-25")
    dublin = kitchen(book)
    dublin_days = dublin.book.kitchen.days
    days = replace(dublin_days, zone=ZoneInfo("Europe/Dublin"))
    dublin.book = replace(dublin.book, kitchen=replace(dublin.book.kitchen, days=days))
    (line,) = dublin.lines("roll", "2026-10-24 08:00")
    assert line.ready_by == moment("2026-10-25 08:00")  # 08:00 in Dublin is UTC again
    assert line.start_by == moment("2026-10-24 17:00")  # 15 h before, 18:00 on the wall


def test_a_cushion_brings_the_run_forward(kitchen, moment):
    book = long().replace('keeps = "5 days"', 'keeps = "5 days"\nready_before = "30 min"')
    (line,) = kitchen(book).lines("roll", "2026-10-30 12:00")
    assert line.start_by == moment("2026-10-31 02:00")


def test_a_quarter_of_an_hour_of_slack_lies_before_what_a_service_needs_and_makes_nothing_late(kitchen, moment):
    """Unsaid, the kitchen's: what is on a plate is to be ready at 17:15 for 17:30, and is not late until then. What
    only goes into it has none, and a prep may say 0."""
    text = BONES.replace('"18:00"', '"17:30"').replace('hours = "08:00-16:00"', "")
    slack = 'ready_before = "15 min"\n'
    (line,) = kitchen(text, slack).plan("2026-10-31 12:00").make
    assert (line.ready_by, line.ready_at) == (moment("2026-10-31 17:30"), moment("2026-10-31 17:15"))
    (line,) = kitchen(text, slack).plan("2026-10-31 15:55").make
    assert (line.ready_at, line.late_minutes) == (moment("2026-10-31 17:25"), 0)
    (line,) = (
        kitchen(text.replace("[preps.jus]", '[preps.jus]\nready_before = "0 min"'), slack).plan("2026-10-31 12:00").make
    )
    assert line.ready_at == moment("2026-10-31 17:30")
    book = read_texts({"book.toml": text})
    assert [prep.ready_before for prep in book.preps.values()] == [15]


def test_what_is_kept_frozen_is_ready_early_enough_to_thaw(kitchen, moment):
    book = long().replace('keeps = "5 days"', 'store = "frozen"\nkeeps = "60 days"\nthaw = "2 h"')
    (line,) = kitchen(book).lines("roll", "2026-10-30 12:00")
    assert line.start_by == moment("2026-10-31 00:30")


def test_can_start_from_is_as_early_as_its_life_allows(kitchen, moment):
    """It keeps 2 days: cooked on Friday it is good through Saturday; cooked on Thursday it is not. The count begins
    where the oven's 90 °C end, 9 h after the start."""
    book = long().replace('keeps = "5 days"', 'keeps = "2 days"')
    (line,) = kitchen(book).lines("roll", "2026-10-28 12:00")
    assert line.can_start_from == moment("2026-10-29 19:00")  # 9 h later it is 04:00 on Friday, business day Friday


@pytest.mark.parametrize("seed", range(6))
def test_a_search_for_the_earliest_start_reckons_as_the_placement_itself_would(seed):
    """Begins, ready, day 1 and life, of drawn recipes begun at any hour of two days, some waiting for ingredients."""
    chance, state = Random(seed), drawn(seed, 12)
    run_times = RunTimes(state, NOW)
    for recipe in state.book.preps.values():
        start = NOW + timedelta(minutes=chance.randrange(2880))
        there = {chance.randrange(len(recipe.steps)): NOW + timedelta(minutes=chance.randrange(2880))}
        size = recipe.sizes.smallest * chance.randrange(1, 4)
        placed = run_times.after(recipe, size, start, there)
        moments = run_times.moments_after(recipe, size, start, there)
        assert moments == [*(step.begins for step in placed), placed[-1].ends]
        good = use_by(state.book, recipe, recipe.store, _day_one(state, recipe, size, placed), placed[-1].ends).until
        assert run_times.good_from(recipe, recipe.id, moments, moments[-1]) == good
        assert run_times.good_until(recipe, size, recipe.id, placed, placed[-1].ends) == good


def _day_one(state, recipe, size, placed):
    ends = {step.step: step.ends for step in placed}
    started = placed[0].begins
    return day_one(recipe, size, state.book.kitchen, started=started, ready=placed[-1].ends, step_ends=ends)


NIGHT = """
[kitchen]
name = "Night"
time_zone = "{zone}"
rules = "food-code-2022"
[stations.n]
name = "N"
hours = "20:00-05:00"
[services.f]
on = "{day}"
starts = "11:00"
ends = "14:00"
covers = 20
counts = {{ d = 10 }}
[dishes.d]
name = "D"
services = ["f"]
plate = {{ p = "100 g" }}
[preps.p]
name = "P"
keeps = "3 days"
station = "n"
makes = "1 kg"
steps = [{{ do = "Bake", hands_on = "10 min" }}]
"""


@pytest.mark.parametrize(
    ("zone", "day"),
    [
        ("Europe/Dublin", "2026-03-22"),
        ("Europe/Dublin", "2026-03-29"),
        ("Europe/Dublin", "2026-10-25"),
        ("America/Chicago", "2026-03-08"),
        ("America/Chicago", "2026-11-01"),
    ],
)
def test_a_night_in_which_clocks_change_ends_at_its_written_time(zone, day):
    """Hours to 05:00 end when the wall clock says 05:00 (zoneinfo), an hour sooner or later by the stop watch."""
    text = NIGHT.format(zone=zone, day=day).replace("[kitchen]\n", "")
    book = read_texts({"book.toml": text})
    now = datetime.fromisoformat(f"{day}T00:00").replace(tzinfo=ZoneInfo(zone)) - timedelta(hours=10)
    (line,) = plan(State(book), now.astimezone(UTC)).make
    assert line.ready_at.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M") == f"{day} 05:00"


BONES = """
[stations.sauce]
name = "Sauce"
hours = "08:00-16:00"
[goods.bones]
name = "Bones"
unit = "kg"
store = "frozen"
thaw = "4 days"
[preps.jus]
name = "Jus"
station = "sauce"
keeps = "3 days"
makes = "1 l"
uses = { bones = "1 kg" }
steps = [{ do = "Simmer", hands_on = "30 min", wait = "1 h" }]
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10
[dishes.lamb]
name = "Lamb"
services = ["dinner"]
share = 1
plate = { jus = "50 ml" }
"""


def test_what_thaws_for_days_is_asked_for_before_it_is_late(kitchen, moment):
    """Jus begins at 15:30 on Saturday; its bones come out four days before, and are asked for on Monday."""
    (pull,) = kitchen(BONES).plan("2026-10-26 09:00").pull
    assert (pull.item, pull.take_out_at, pull.late) == ("bones", moment("2026-10-27 15:30"), False)


def test_nothing_is_to_be_taken_out_when_nobody_is_there(kitchen, moment):
    """Half a day before 15:30 is at 3:30; the bench leaves at 16:00."""
    (pull,) = kitchen(BONES.replace('"4 days"', '"12 h"')).plan("2026-10-30 09:00").pull
    assert pull.take_out_at == moment("2026-10-30 16:00")


def test_the_plan_looks_as_far_as_a_thaw_and_what_follows_it_take(kitchen, moment):
    """With dinner every evening the first bones that are not late are those of four days and some hours on."""
    pulls = kitchen(BONES.replace('on = "2026-10-31"\n', "")).plan("2026-10-26 09:00").pull
    in_time = [pull.take_out_at for pull in pulls if not pull.late]
    assert in_time == [moment("2026-10-26 15:30")]
