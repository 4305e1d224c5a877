"""The life that a plan reckons with is the one that the batch gets."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

from conftest import at
from days.obedient import COOK, opened
from random_kitchens import NOW

from prepboard.plan.board import plan
from prepboard.store.actions.food.making import done, start, step

HAM = """
time_zone = "UTC"
day_starts = "04:00"
rules = "food-code-2022"
[stations.hot]
name = "Hot"
[equipment.oven]
name = "Oven"
[preps.ham]
name = "Ham"
station = "hot"
keeps = "2 days"
makes = "2 kg"
par = "2 kg"
steps = [
  { do = "Salt", hands_on = "10 min", wait = "1 h", wait_up_to = "20 h" },
  { do = "Roast", hands_on = "5 min", wait = "1 h", equipment = "oven", at = "160 C" },
  { do = "Glaze", hands_on = "5 min", wait = "1 h", equipment = "oven", at = "160 C" },
  { do = "Slice", hands_on = "10 min", wait = "1 h" },
]
"""


def test_a_run_under_way_lives_as_its_batch_will_whatever_step_it_is_at(tmp_path):
    """Salted in the evening, roasted the next morning: day 1 begins with the end of the roasting, also when two steps
    came after it. What was salted as long as it must be at least would be of the evening before."""
    file = opened(tmp_path, HAM, NOW + timedelta(hours=10))
    said = []
    try:
        run = start(file, COOK, "ham", Fraction(1)).run
        file.clock.at += timedelta(hours=12)
        for _ in range(3):
            step(file, COOK, run)
            (ham,) = [lot for lot in plan(file.read(), file.clock.at).lots["ham"] if lot.source == "run"]
            said.append(ham.good_until)
            file.clock.at += timedelta(hours=1, minutes=10)
        done(file, COOK, run=run)
        (batch,) = file.read().batches
    finally:
        file.close()
    assert batch.use_by == NOW.replace(hour=0) + timedelta(days=3)
    assert said == [batch.use_by] * 3


TWO_OF_ONE_COOK = """
time_zone = "UTC"
rules = "food-code-2022"
stations.hot = { name = "Hot", cooks = 1 }
services.dinner = { on = "2026-10-31", starts = "18:00", ends = "22:00", covers = 40 }
dishes.duck = { name = "Duck", services = ["dinner"], share = 1, plate = { barley = "50 g", soup = "50 g" } }
[preps.barley]
name = "Barley"
station = "hot"
keeps = "30 h"
makes = "4 kg"
steps = [{ do = "Cook", hands_on = "1 h" }]
[preps.soup]
name = "Soup"
station = "hot"
keeps = "30 h"
makes = "4 kg"
steps = [{ do = "Cook", hands_on = "1 h" }]
"""


def test_what_is_over_is_good_as_long_as_the_batch_is_that_lies_there(tmp_path):
    """Nobody began either: the second one lies an hour from now, behind the first, and not as if it were begun now."""
    file = opened(tmp_path, TWO_OF_ONE_COOK, NOW)
    try:
        lines = plan(file.read(), NOW + timedelta(hours=31, minutes=30)).make
    finally:
        file.close()
    over = [note.facts["until"] for line in lines for note in line.notes if note.kind == "over"]
    assert [line.begins.hour for line in lines] == [17, 18]
    assert over == [line.use_by for line in lines]


CREAM_AND_BREAD = """
[stations.day]
name = "Day"
hours = "09:00-00:30"
[stations.night]
name = "Night"
hours = "18:00-04:00"
[services.breakfast]
on = "2026-11-01"
starts = "06:00"
ends = "08:00"
covers = 10
[dishes.tart]
name = "Tart"
services = ["breakfast"]
share = 1
plate = { tart = "100 g" }
[dishes.bread]
name = "Bread"
services = ["breakfast"]
share = 1
plate = { bread = "100 g" }
[preps.tart]
name = "Tart"
station = "night"
keeps = "2 days"
makes = "1 kg"
uses = { cream = "100 g" }
steps = [{ do = "Fill", hands_on = "1 h" }]
[preps.cream]
name = "Cream"
station = "day"
keeps = "1 day"
makes = "1 kg"
steps = [{ do = "Whip", hands_on = "1 h", wait = "30 min", wait_up_to = "30 min" }]
[preps.bread]
name = "Bread"
station = "day"
keeps = "2 days"
makes = "1 kg"
steps = [{ do = "Bake", hands_on = "2 h" }]
"""


def test_what_keeps_to_the_end_of_its_day_is_not_placed_to_be_over_before_midnight_for_what_comes_after(kitchen):
    """Whipped cream that is there after midnight is good until the kitchen's day ends, at four; what is there before
    is good to midnight. The tart is filled at three: the bread bakes first, though both would fit the other way too."""
    lies = {line.prep: line for line in kitchen(CREAM_AND_BREAD).plan("2026-10-31 15:00").make}
    assert [(line.prep, line.late_minutes) for line in lies.values()] == [("bread", 0), ("cream", 0), ("tart", 0)]
    assert (lies["cream"].ready_at, lies["tart"].begins) == (at("2026-11-01 00:30"), at("2026-11-01 03:00"))
    assert "cannot fit" not in {note.kind for line in lies.values() for note in line.notes}
