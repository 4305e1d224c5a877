"""What is different today, in the plan."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from random import Random

import pytest
from msgspec.structs import replace
from random_kitchens import NOW, TWO_A_DAY, text_of

from prepboard.book.reading.reader import read_texts
from prepboard.plan.board import plan
from prepboard.plan.floor.placing import place_runs
from prepboard.plan.given.state import State, Tonight
from prepboard.plan.outline import outline
from prepboard.plan.runs.runs import RunTimes
from prepboard.plan.runs.torn import on_anothers_day
from prepboard.plan.shown.lines import NotThere

TODAY = date(2026, 10, 31)
BOOK = """
[stations.sauce]
name = "Sauce"
hours = "08:00-23:00"

[stations.roast]
name = "Roast"
hours = "08:00-23:00"

[services.dinner]
days = ["sat", "sun"]
starts = "18:00"
ends = "22:00"
covers = 40

[dishes.lamb]
name = "Lamb"
services = ["dinner"]
share = 0.5
plate = { jus = "50 ml", pie = "1 each" }

[preps.jus]
name = "Jus"
station = "sauce"
keeps = "3 days"
makes = "1 l"
par = "500 ml"
uses = { stock = "1 l", bones = "1 kg" }
steps = [
  { do = "Roast", hands_on = "10 min", uses = ["bones"] },
  { do = "Reduce", hands_on = "10 min", wait = "40 min", uses = ["stock"] },
]

[preps.stock]
name = "Stock"
station = "sauce"
keeps = "3 days"
makes = "4 l"
uses = { bones = "4 kg" }
steps = [{ do = "Simmer", hands_on = "20 min", wait = "2 h" }]

[preps.pie]
name = "Pie"
station = "roast"
keeps = "1 day"
makes = "10 each"
steps = [{ do = "Bake", hands_on = "30 min" }, { do = "Glaze", hands_on = "5 min", station = "sauce" }]

[goods.bones]
name = "Bones"
unit = "kg"
"""


@pytest.fixture
def small(kitchen):
    return kitchen(BOOK)


def test_a_prep_that_is_given_away_is_on_the_other_benchs_list_that_day(small):
    small.more["given"] = {("jus", TODAY): "roast"}
    board = small.plan("2026-10-31 13:00")
    benches = {line.serves[0].day: line.station for line in board.make if line.prep == "jus"}
    assert benches[TODAY] == "roast"
    assert benches[date(2026, 11, 1)] == "sauce"
    before = {work.station: work.work_minutes for work in small_without(small).work}
    after = {work.station: work.work_minutes for work in board.work}
    assert (before["sauce"] - after["sauce"], after["roast"] - before["roast"]) == (20, 20)


def small_without(small):
    small.more.pop("given")
    return small.plan("2026-10-31 13:00")


def test_a_station_that_a_new_book_has_lost_makes_nothing(small):
    small.more["given"] = {("jus", TODAY): "grill"}
    board = small.plan("2026-10-31 13:00")
    assert {line.station for line in board.make if line.prep == "jus"} == {"sauce"}
    (change,) = board.changes
    assert (change.kind, change.what, change.of, change.known) == ("given", "jus", "grill", False)


def test_hands_that_are_missing_are_missing_in_the_work_left(small):
    small.more["hands"] = {("sauce", TODAY): 0, ("roast", TODAY): 2}
    hands = {work.station: work.hands_minutes for work in small.plan("2026-10-31 13:00").work}
    assert hands == {"sauce": 0, "roast": 2 * 5 * 60}


def test_a_run_waits_for_goods_and_is_not_ready_before_they_come(small, moment):
    """Stock takes bones when it starts: not before 16:00, and 2 h 20 later it is ready for the second step of the jus.
    Whoever starts either at once has bones, whatever is written down; then the jus waits for the stock as it lies."""
    small.more["missing"] = {"bones": moment("2026-10-31 16:00")}
    lines = {line.prep: line for line in small.plan("2026-10-31 13:00").make if line.serves[0].day == TODAY}
    assert lines["stock"].can_start_from == moment("2026-10-31 16:00")
    assert lines["jus"].can_start_from == moment("2026-10-31 18:10")
    assert lines["stock"].ready_if_started_now == moment("2026-10-31 15:20")
    assert lines["jus"].ready_if_started_now == lines["stock"].ready_at + timedelta(minutes=50)
    assert lines["stock"].lacks == lines["jus"].lacks == (NotThere("bones", None),)
    notes = [note.facts for note in lines["stock"].notes if note.kind == "waits for"]
    assert notes == [{"item": "bones", "at": moment("2026-10-31 16:00")}]


def test_a_time_that_is_over_holds_up_no_more_than_now_and_stays_on_the_line(small, moment):
    small.more["missing"] = {"bones": moment("2026-10-31 10:00")}
    now = "2026-10-31 13:00"
    late = {line.prep: line for line in small.plan(now).make}
    small.more.clear()
    there = {line.prep: line for line in small.plan(now).make}
    assert late["stock"].ready_if_started_now == there["stock"].ready_if_started_now
    assert any(note.kind == "waits for" for note in late["stock"].notes)


def test_goods_that_nobody_knows_the_time_of_are_named(small):
    small.more["missing"] = {"bones": None}
    (line,) = [line for line in small.plan("2026-10-31 13:00").make if line.prep == "stock"]
    assert [note.facts for note in line.notes if note.kind == "waits for"] == [{"item": "bones", "at": None}]


def test_a_portion_is_that_of_its_day(small):
    """20 plates of 50 ml are expected today and tomorrow; at 25 ml today it is half of it today only."""
    small.more["portions"] = {(TODAY, "lamb", "jus"): 25_000_000}
    expected = {
        par.day: par.expected for par in small.plan("2026-10-31 09:00").pars if par.prep == "jus" and par.service
    }
    assert expected == {TODAY: 500_000_000, date(2026, 11, 1): 1_000_000_000}


def test_a_standing_par_of_a_weekday_counts_on_that_day_only(small):
    small.more["standing_on"] = {("jus", 5): 5_000_000_000}
    pars = {par.day: (par.par, par.source) for par in small.plan("2026-10-31 09:00").pars if par.prep == "jus"}
    assert pars[TODAY] == (5_000_000_000, "standing")
    assert pars[date(2026, 11, 1)][1] == "mix"


def test_a_cancelled_sitting_asks_for_nothing(small):
    small.tonight["dinner", TODAY] = Tonight(cancelled=True)
    board = small.plan("2026-10-31 09:00")
    assert not [par for par in board.pars if par.service and par.day == TODAY]
    assert [(change.kind, change.what) for change in board.changes] == [("cancelled", "dinner")]


BREAKS = """
[stations.a]
name = "A"
hours = "06:00-10:00, 11:00-20:00"
[stations.b]
name = "B"
hours = "06:00-20:00"
[services.dinner]
on = "2026-10-31"
starts = "13:00"
ends = "15:00"
covers = 10
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = "100 g" }
[preps.pie]
name = "Pie"
station = "a"
keeps = "2 days"
makes = "1 kg"
steps = [
  { do = "Reduce", hands_on = "5 min", wait = "50 min", wait_up_to = "50 min" },
  { do = "Chill", hands_on = "12 min", wait = "1 h" },
]
"""


def test_a_prep_that_is_given_away_has_the_other_benchs_hours(kitchen, moment):
    """At 9:20 nobody at its own bench could chill it in their break: 11:00. The other one has none: ready at 11:27."""
    one = kitchen(BREAKS)
    (own,) = one.plan("2026-10-31 09:20").make
    assert own.can_start_from == moment("2026-10-31 11:00")
    one.more["given"] = {("pie", TODAY): "b"}
    (line,) = one.plan("2026-10-31 09:20").make
    assert (line.station, line.late_minutes, line.begins) == ("b", 0, moment("2026-10-31 10:53"))
    assert line.can_start_from == moment("2026-10-31 09:20")
    assert line.ready_if_started_now == moment("2026-10-31 11:27")


def test_if_started_now_is_on_the_bench_that_it_was_given_to_today(kitchen, moment):
    """The line is of tomorrow, and its own bench's then; begun today it is the other one's, which has no break."""
    one = kitchen(BREAKS.replace('wait_up_to = "50 min"', 'wait_up_to = "4 h"'))
    one.more["given"] = {("pie", TODAY - timedelta(days=1)): "b"}
    (line,) = one.plan("2026-10-30 09:20").make
    assert line.station == "a"
    assert line.ready_if_started_now == moment("2026-10-30 11:27")


def test_what_lies_on_another_day_is_made_by_the_bench_that_makes_it_then(kitchen, moment):
    """Nobody began it on Friday, on which another bench makes it: on Saturday it is its own bench's again."""
    one = kitchen(BREAKS.replace("13:00", "07:00"))
    one.more["given"] = {("pie", TODAY - timedelta(days=1)): "b"}
    (line,) = one.plan("2026-10-30 21:00").make
    assert (line.begins, line.late_minutes > 0) == (moment("2026-10-31 06:00"), True)
    assert (line.station, {step.station for step in line.steps}) == ("a", {"a"})


def at(board, begins):
    """What somebody keeps of a board whose only line lies elsewhere."""
    ((line, old),) = board.placing.placements.items()
    by, moments = begins - old.steps[0].begins, ("begins", "hands_until", "ends")
    steps = (replace(step, station="", **{name: getattr(step, name) + by for name in moments}) for step in old.steps)
    lies = {line: replace(old, steps=tuple(steps))}
    return replace(board.state, placements=lies, placed_for="another time", placed_at=board.now)


def test_a_press_goes_back_to_the_day_on_which_another_bench_makes_it(kitchen, moment):
    """A pie for seven in the morning lay on Saturday, late, on which its own bench makes it. On Friday the other one
    does, in the afternoon."""
    one = kitchen(BREAKS.replace("13:00", "07:00").replace(", 11:00-20:00", "").replace("06:00-20:00", "12:00-20:00"))
    one.more["given"] = {("pie", TODAY - timedelta(days=1)): "b"}
    board = one.plan("2026-10-30 12:00")
    (line,) = plan(at(board, moment("2026-10-31 06:00")), board.now, moving=True).make
    assert (line.station, line.begins.day, line.late_minutes) == ("b", 30, 0)


@pytest.mark.parametrize(("station", "begins"), [("", "2026-10-31 15:00"), ("b", "2026-10-31 06:00")])
def test_what_was_found_by_the_hands_of_another_bench_is_not_kept_there(kitchen, moment, station, begins):
    """A pie is lost where it lay. A file does not say whose hands that was found by; while a plan is made it is known,
    and its own bench may be sooner."""
    board = kitchen(BREAKS.replace("13:00", "07:00")).plan("2026-10-31 06:00")
    lost = at(board, moment("2026-10-31 15:00"))
    ((line, old),) = lost.placements.items()
    lies = {line: replace(old, steps=tuple(replace(step, station=station) for step in old.steps))}
    (found,) = plan(replace(lost, placements=lies), board.now).make
    assert found.begins == moment(begins)


def test_what_fits_no_hours_of_its_own_bench_fits_where_another_makes_it(kitchen):
    """Nine and a half hours of hands fit on neither side of the break of its own bench; the other one has none."""
    text = BREAKS.replace('hands_on = "5 min", wait = "50 min", wait_up_to = "50 min"', 'hands_on = "9 h 30 min"')
    one = kitchen(text.replace("13:00", "19:00").replace("15:00", "21:00"))
    (own,) = one.plan("2026-10-31 08:00").make
    assert {note.kind for note in own.notes} >= {"cannot fit"}
    one.more["given"] = {("pie", TODAY): "b"}
    (line,) = one.plan("2026-10-31 08:00").make
    assert "cannot fit" not in {note.kind for note in line.notes}
    assert line.late_minutes == 0


TORN = """
[stations.night]
name = "Night"
hours = "20:00-05:00"
[stations.day]
name = "Day"
hours = "09:00-23:30"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = "100 g" }
[preps.pie]
name = "Pie"
station = "night"
keeps = "3 days"
makes = "1 kg"
steps = [{ do = "Bake", hands_on = "85 min" }]
"""


@pytest.mark.parametrize("moving", [False, True])
def test_a_run_lies_on_a_day_of_the_bench_that_makes_it(kitchen, moment, moving):
    """The last hands of its own bench before dinner are there until five in the morning, which is Friday still, and on
    Friday the other bench makes it; whose last ones before dinner are there on Saturday, when its own bench does. So
    the other one makes it on Friday evening."""
    small = kitchen(TORN)
    small.more["given"] = {("pie", TODAY - timedelta(days=1)): "day"}
    (line,) = plan(small.state, moment("2026-10-30 10:30"), moving=moving).make
    assert (line.station, line.begins, line.ready_at) == (
        "day",
        moment("2026-10-30 22:05"),
        moment("2026-10-30 23:30"),
    )


@pytest.mark.parametrize(
    ("seed", "hours", "settings"),
    [
        (0, 26, {"runs": 10}),
        (24, 8, {"runs": 12, "sittings": TWO_A_DAY}),
        (29, 0, {"runs": 8, "shifts": ("20:00-05:00", "18:00-04:30", "09:00-23:30")}),
        (50, 0, {"runs": 10, "thaws": True}),
    ],
)
def test_no_run_lies_on_a_day_on_which_another_bench_makes_it(seed, hours, settings):
    """Kitchens in which two preps in five are made by a bench that was drawn for a day: a run that was bound to a bench
    stayed on a day of the other one, since what it was placed for had not changed, or what it takes was reckoned from
    there."""
    state, chance = State(read_texts({"book.toml": text_of(seed, strict=seed % 2 == 0, **settings)})), Random(seed)
    days = [TODAY - timedelta(days=1), TODAY, TODAY + timedelta(days=1)]
    benches = list(state.book.stations)
    given = {(prep, day): chance.choice(benches) for prep in state.book.preps for day in days if chance.random() < 0.4}
    found = outline(replace(state, given=given), NOW + timedelta(hours=hours), moving=True)
    benches_of, lies = found.placing.stations, found.placing.placements
    assert any(run.name in benches_of for run in found.needs.planned)
    assert on_anothers_day(found.needs.planned, benches_of, lies, found.run_times) == set()
    lay = {run.name: run.begins for run in found.needs.planned if run.name in lies}
    assert lay == {name: lies[name].steps[0].begins for name in lay}


def test_what_is_bound_to_a_bench_that_makes_it_on_no_day_in_reach_has_no_place(kitchen, moment):
    """No board falls for it: the day on which the bench makes it lies beyond what is planned."""
    small, now = kitchen(TORN), moment("2026-10-30 10:30")
    found = outline(small.state, now)
    run_times = RunTimes(small.state, now)
    run_times.bound = {run.name: "day" for run in found.needs.planned}
    placing, _ = place_runs(small.state, found.needs.planned, (), run_times)
    assert placing.placements == {}


LATE_BENCH = """
[stations.early]
name = "Early"
hours = "06:00-14:00"
[stations.late]
name = "Late"
hours = "09:00-23:30"
[services.lunch]
on = "2026-11-01"
starts = "12:00"
ends = "14:00"
covers = 10
[dishes.pie]
name = "Pie"
services = ["lunch"]
share = 1
plate = { pie = "100 g" }
[preps.pie]
name = "Pie"
station = "early"
keeps = "2 days"
makes = "1 kg"
steps = [{ do = "Bake", hands_on = "1 h", wait = "5 h", wait_up_to = "6 h" }]
"""


@pytest.mark.parametrize("given", [False, True], ids=["its own bench", "given away today"])
def test_what_another_bench_had_for_a_day_is_begun_the_next_day_by_its_own(kitchen, moment, given):
    """Late at night the other bench has gone: tomorrow it would not begin before nine, too late for lunch, but the
    bench that makes it then begins at six. It was lost, and no press saved it."""
    at = kitchen(LATE_BENCH)
    if given:
        at.more["given"] = {("pie", date(2026, 10, 31)): "late"}
    run_times = RunTimes(at.state, moment("2026-10-31 23:45"))
    pie = at.book.preps["pie"]
    assert run_times.after(pie, Fraction(1), run_times.now)[0].begins == moment("2026-11-01 06:00")
    assert run_times.moments_after(pie, Fraction(1), run_times.now)[0] == moment("2026-11-01 06:00")
    (line,) = at.lines("pie", "2026-10-31 23:45")
    assert (line.station, line.too_late, line.late_minutes) == ("early", False, 0)
