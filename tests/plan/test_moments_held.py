"""What a line says of its moments, in drawn kitchens and where what was kept is so no more."""

from __future__ import annotations

from datetime import timedelta

import pytest
from conftest import drawn_of
from days.truth import Truth
from msgspec.structs import replace
from plan.test_moments import BOOK, MINUTE, TWO, kept, started
from random_kitchens import NOW
from random_kitchens import kitchen as drawn

from prepboard.boards.rows.line_page import detail
from prepboard.paper import as_text
from prepboard.paper.as_json import Lines
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import plan
from prepboard.plan.demand.occasions import ahead
from prepboard.plan.demand.pars import pars
from prepboard.plan.given.state import Placed, Placement
from prepboard.plan.needs.needs import work_out
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.runs import RunTimes


@pytest.mark.parametrize("seed", range(drawn_of(8)))
def test_no_start_by_is_one_that_cannot_be_and_what_is_late_says_so_whatever_made_it_late(seed):
    """Of drawn kitchens, half of them tight, three hours before dinner: by the book's least times alone, hours and all
    else left out, what begins at its start-by can be ready by its ready-by; what is ready after it is late by that."""
    board = plan(drawn(seed, 12, tight=seed % 2 == 0), NOW + timedelta(hours=29))
    late = 0
    for line in board.make:
        recipe = board.state.book.preps[line.prep]
        least = sum(step.hands_minutes(line.size) + step.wait for step in recipe.steps)
        over = (line.ready_at - line.ready_by) // MINUTE
        assert line.late_minutes == max(0, over)
        assert (line.start_by is None) == (over > 0)
        assert line.begins + least * MINUTE <= line.ready_at
        if line.start_by is not None:
            assert line.start_by + least * MINUTE <= line.ready_by
        late += over > 0
    assert late


def test_an_opened_line_that_nobody_pressed_says_since_when_and_when_it_is_ready_if_it_is_not_on(kitchen, moment):
    """Due on 10:25 for 12:00 in a kitchen with one cook; at 10:32 it is ready 95 minutes from then, if not on."""
    text = BOOK.replace("counts = { d = 10, e = 10 }", "counts = { d = 10 }")
    board = kitchen(text).plan("2026-10-31 08:00")
    (line,) = board.make
    assert line.begins == moment("2026-10-31 10:25")
    later = plan(kept(board), moment("2026-10-31 10:32"))
    (line,) = later.make
    (_heading, said), *_rest = detail(later, line)[1]
    sentence = "due on 10:25, not pressed; if not on: ready 12:07"
    assert said[0] == sentence
    assert sentence in as_text.page("make", later, "B", 100)
    assert Lines(Voice.of(later)).make(line)["notes"][0] == sentence
    assert line.ready_at == moment("2026-10-31 12:07")


STALE = TWO.replace(
    '[preps.pie]\nname = "Pie"', '[services.late]\non = "2026-10-31"\nstarts = "20:00"\nends = "23:00"\n'
    'counts = { terrine = 10 }\n[dishes.terrine]\nname = "Terrine"\nservices = ["late"]\n'
    'plate = { terrine = "100 g" }\n[preps.terrine]\nname = "Terrine"\nstation = "c"\nmakes = "1 kg"\n'
    'keeps = "3 days"\nuses = { sauce = "500 g" }\n'
    'steps = [{ do = "Press", hands_on = "10 min", wait = "10 h 20 min" }]\n[preps.pie]\nname = "Pie"',
).replace('[stations.b]', '[stations.c]\nname = "C"\n[stations.b]').replace(
    'uses = { sauce = "500 g" }\nsteps = [{ do = "Pick", hands_on = "1 h" }]',
    'steps = [{ do = "Pick", hands_on = "1 h" }]',
).replace('{ do = "Bake", hands_on = "1 h" }', '{ do = "Bake", hands_on = "7 h 30 min" }')  # fmt: skip
"""The pie takes the sauce that is there, from 9:00 on; the terrine's sauce is made for it, and is ready at 9:30."""


def test_what_lies_where_it_was_kept_begins_when_what_it_draws_of_now_is_there(kitchen):
    """The batch is dropped: the lines are the same, and so are their sizes, but the pie draws of what is to be made."""
    one = kitchen(STALE)
    batch = one.on_hand("sauce", "500 g", use_by="2026-10-31 18:00")
    board = one.plan("2026-10-31 08:00")
    before = {line.line: (line.size, line.begins) for line in board.make}
    dropped = replace(kept(board), batches=(replace(batch, blocked="dropped"),))
    after = {line.prep: line for line in plan(dropped, board.now + 5 * MINUTE).make}
    assert {line.line: line.size for line in after.values()} == {line: size for line, (size, _) in before.items()}
    assert before[after["pie"].line][1] < after["sauce"].ready_at <= after["pie"].begins
    assert not any(line.late_minutes for line in after.values())


BREAK = """
[stations.a]
name = "A"
cooks = 1
hours = "08:00-14:30, 15:30-22:00"
[stations.b]
name = "B"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10
[dishes.d]
name = "D"
services = ["dinner"]
share = 1
plate = { stock = "100 g", pie = "100 g" }
[preps.stock]
name = "Stock"
keeps = "3 days"
station = "a"
makes = "1 kg"
ready_before = "0 min"
steps = [{ do = "Boil", hands_on = "15 min", wait = "4 h" }]
[preps.tart]
name = "Tart"
keeps = "3 days"
station = "a"
makes = "1 kg"
ready_before = "0 min"
steps = [{ do = "Roll", hands_on = "40 min" }]
[preps.pie]
name = "Pie"
keeps = "3 days"
station = "b"
makes = "1 kg"
ready_before = "0 min"
uses = { tart = "1 kg" }
steps = [{ do = "Fill", hands_on = "10 min", wait = "7 h" }]
"""
"""One cook at A, and nobody from 14:30 to 15:30; all of it is late."""


def test_what_is_late_begins_where_what_nobody_began_has_left_its_cook(kitchen, moment):
    """The tart lay from 13:35 on, the stock behind it: until 13:50 that may still be begun before the break. A minute
    later it does not fit any more, and the cook of the stock is free."""
    small = kitchen(BREAK)
    board = small.plan("2026-10-31 13:30")
    lies = {
        "tart": ("13:35", "14:15", "14:15", "a"),
        "stock": ("14:15", "14:30", "18:30", "a"),
        "pie": ("14:15", "14:25", "21:25", "b"),
    }
    known = {
        str(line.line): Placement(
            line.size,
            line.ready_by,
            None,
            (Placed(0, *(moment(f"2026-10-31 {clock}") for clock in lies[line.prep][:3]), lies[line.prep][3]),),
        )
        for line in board.make
    }
    state = replace(board.state, placements=known, placed_for=board.placing.digest)
    said = {}
    for clock in ("13:50", "13:51", "14:15"):
        later = plan(state, moment(f"2026-10-31 {clock}"))
        said[clock] = {line.prep: f"{line.begins:%H:%M}" for line in later.make}
        assert Truth().look(later) == []
    assert said == {
        "13:50": {"tart": "13:50", "pie": "14:30", "stock": "15:30"},
        "13:51": {"stock": "13:51", "tart": "15:30", "pie": "16:10"},
        "14:15": {"stock": "14:15", "tart": "15:30", "pie": "16:10"},
    }


def test_a_late_run_whose_step_was_begun_sooner_than_it_lay_goes_on_as_early_as_it_may(kitchen, moment):
    """Its chill lay from 12:05 on, behind what is gone by now; it began at 11:10. An hour and five minutes later it may
    be bottled, not at 13:10 where that lay."""
    small = kitchen(BOOK)
    board = small.plan("2026-10-31 10:50")
    line = next(line for line in board.make if line.prep == "q")
    lies = [("11:10", "11:15", "12:05"), ("12:05", "12:10", "13:10"), ("13:10", "13:20", "13:20")]
    steps = tuple(
        Placed(number, *(moment(f"2026-10-31 {clock}") for clock in clocks), "a", "c" if number == 1 else None)
        for number, clocks in enumerate(lies)
    )
    run = started(board, "q", moment("2026-10-31 10:50")).runs[0]
    run = replace(run, step=1, step_began=moment("2026-10-31 11:10"))
    known = {"run.R1": Placement(line.size, line.ready_by, steps[1].begins, steps[1:])}
    state = replace(board.state, runs=(run,), lines_run={("q", line.line.need): 1}, placements=known)
    (under_way,) = plan(state, moment("2026-10-31 11:20")).under_way
    assert (under_way.next_at, under_way.ready_at) == (moment("2026-10-31 12:15"), moment("2026-10-31 12:25"))


def test_what_is_begun_now_goes_into_no_place_before_another_run_has_left_it(kitchen, moment):
    """The chiller's one place is taken to 10:05. The boil begun at 9:00 may wait to 9:40: from then on it is overdue,
    and not ready at 10:35 with two in one place; so it is said once that is kept, too, whoever is asked for first. A
    cook who is busy, though, comes to what cannot wait."""
    small = kitchen(BOOK)
    small.under_way("p", started="2026-10-31 09:00", step=1)
    board = small.plan("2026-10-31 09:00")
    promised = next(line.ready_if_started_now for line in board.make if line.prep == "q")
    assert promised == moment("2026-10-31 11:20")
    state = started(board, "q", board.now)
    state = replace(state, runs=(*small.runs, replace(state.runs[0], code="A1")))
    for looked in (plan(state, board.now), plan(kept(plan(state, board.now)), board.now + MINUTE)):
        runs = {run.prep: run for run in looked.under_way}
        assert (runs["p"].ready_at, runs["q"].ready_at) == (moment("2026-10-31 10:15"), promised)
        assert [f"{step.begins:%H:%M}" for step in runs["q"].steps] == ["09:00", "10:05", "11:10"]
    overdue = {run.prep: run.overdue_minutes for run in plan(state, moment("2026-10-31 09:45")).under_way}
    assert overdue == {"p": 0, "q": 5}


STEADY = """
[stations.x]
name = "X"
[services.lunch]
on = "2026-10-31"
starts = "11:00"
ends = "13:00"
counts = { pie = 10 }
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
counts = { tart = 10 }
[dishes.pie]
name = "Pie"
services = ["lunch"]
plate = { pie = "100 g" }
[dishes.tart]
name = "Tart"
services = ["dinner"]
plate = { tart = "100 g" }
[preps.pie]
name = "Pie"
station = "x"
keeps = "1 day"
makes = "1 kg"
steps = [{ do = "Bake", hands_on = "2 h 30 min" }]
[preps.tart]
name = "Tart"
station = "x"
keeps = "1 day"
makes = "1 kg"
steps = [{ do = "Fill", hands_on = "1 h" }]
"""
"""One cook. Begun at 10:00 the pie is there for the last half hour of lunch, if the tart is filled behind it."""


def lying(board, begins):
    """What somebody keeps of a board in which lines of one step lie elsewhere."""
    found = dict(board.placing.placements)
    for line, old in found.items():
        (step,), at = old.steps, begins[line.partition("#")[0]]
        ends = at + (step.ends - step.begins)
        found[line] = replace(old, steps=(replace(step, begins=at, hands_until=ends, ends=ends),))
    return replace(kept(board), placements=found)


@pytest.mark.parametrize("moving", [False, True], ids=["looked at", "pressed"])
def test_what_is_lost_is_saved_by_nothing_that_is_ready_later_than_was_said(kitchen, moment, moving):
    """The tart was to be ready at 12:30, and so it is, whatever somebody presses: five hours later it were in time."""
    board = kitchen(STEADY).plan("2026-10-31 10:00")
    state = lying(board, {"tart": moment("2026-10-31 11:30"), "pie": moment("2026-10-31 12:30")})
    lines = {line.prep: line for line in plan(state, board.now, moving=moving).make}
    assert lines["pie"].too_late
    assert lines["tart"].ready_at == moment("2026-10-31 12:30")


FILLED = STEADY.replace('name = "Pie"\nstation', 'name = "Pie"\nuses = { filling = "100 g" }\nstation')
FILLED += """
[preps.filling]
name = "Filling"
station = "x"
keeps = "1 day"
makes = "100 g"
steps = [{ do = "Stir", hands_on = "5 min", wait = "3 h" }]
"""
"""What there is of the filling is not good any more where the pie lies, and new is there after lunch."""


@pytest.mark.parametrize("unforeseen", [False, True], ids=["as foreseen", "a cook more or less"])
def test_where_something_happened_others_move_for_what_is_lost_as_long_as_they_are_in_time(kitchen, moment, unforeseen):
    """The pie at 10:00 with the filling that is there, the tart after it: that would have been ready at 12:30, and is
    needed at 18:00."""
    here = kitchen(FILLED)
    here.on_hand("filling", "100 g", "2026-10-31 12:00")
    board = here.plan("2026-10-31 10:00")
    state = lying(board, {"tart": moment("2026-10-31 11:30"), "pie": moment("2026-10-31 12:30")})
    if unforeseen:
        state = replace(state, hands={("x", board.now.date()): 1})
    lines = {line.prep: line for line in plan(state, board.now, moving=True).make}
    assert lines["pie"].too_late != unforeseen
    assert (lines["tart"].ready_at == moment("2026-10-31 12:30")) != unforeseen
    assert not lines["tart"].late_minutes


GRAVY = """
[stations.x]
name = "X"
[stations.y]
name = "Y"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
counts = { pie = 10, tart = 10 }
[dishes.pie]
name = "Pie"
services = ["dinner"]
plate = { pie = "100 g" }
[dishes.tart]
name = "Tart"
services = ["dinner"]
plate = { tart = "100 g" }
[preps.pie]
name = "Pie"
station = "x"
keeps = "1 day"
makes = "1 kg"
uses = { gravy = "100 g" }
steps = [{ do = "Bake", hands_on = "1 h", wait = "7 h 30 min" }]
[preps.tart]
name = "Tart"
station = "y"
keeps = "1 day"
makes = "1 kg"
uses = { gravy = "100 g" }
steps = [{ do = "Bake", hands_on = "1 h", wait = "9 h" }]
[preps.gravy]
name = "Gravy"
station = "x"
keeps = "1 day"
makes = "100 g"
steps = [{ do = "Stir", hands_on = "5 min", wait = "3 h" }]
"""
"""There is gravy for one of them, and new comes too late for the tart."""


@pytest.mark.parametrize(("minutes", "has_it"), [(30, "pie"), (90, "tart")], ids=["about to begin", "later"])
def test_what_somebody_is_about_to_begin_has_what_is_there_before_what_lies_nowhere_yet(
    kitchen, moment, minutes, has_it
):
    """A tart that nobody asked for before has to be begun at 9:30. The pie was to be begun at ten, with the gravy."""
    here = kitchen(GRAVY)
    here.on_hand("gravy", "100 g")
    board = here.plan("2026-10-31 09:30")
    pie = next(line for line in board.placing.placements if line.startswith("pie"))
    state = lying(board, dict.fromkeys(("pie", "tart", "gravy"), board.now + minutes * MINUTE))
    state = replace(state, placements={pie: state.placements[pie]})
    lines = plan(state, board.now).make
    assert [line.line.need.partition("#")[0] for line in lines if line.prep == "gravy"] == [
        "tart" if has_it == "pie" else "pie"
    ]


GLAZED = (
    GRAVY.replace('uses = { gravy = "100 g" }', 'uses = { gravy = "100 g", glaze = "100 g" }', 1)
    + """
[preps.glaze]
name = "Glaze"
station = "x"
keeps = "1 day"
makes = "100 g"
uses = { gravy = "100 g" }
steps = [{ do = "Stir", hands_on = "5 min", wait = "2 h" }]
"""
)


@pytest.mark.parametrize("minutes", [55, 65])
def test_nobody_is_about_to_begin_what_waits_for_what_nobody_began(kitchen, minutes):
    """A pie lies about an hour from now, and its glaze should have been begun two hours ago: the pie will not begin
    then. From an hour before on it was reckoned to take the gravy that is there, and new was asked for by other names:
    time alone lost a dish that was to have it in a drawn kitchen."""
    here = kitchen(GLAZED.replace("tart = 10", "tart = 0"))
    here.on_hand("gravy", "100 g")
    board = here.plan("2026-10-31 09:00")
    over = board.now - 120 * MINUTE
    state = lying(board, {"pie": board.now + minutes * MINUTE, "glaze": over, "gravy": over})
    until = horizon(state, board.now)
    known = pars(state, board.now, until, ahead(state, board.now, until))
    planned = work_out(state, board.now, until, known, RunTimes(state, board.now)).planned
    takes = {run.recipe.id: need.drawn for run in planned for need in run.takes if need.prep == "gravy"}
    assert {item: [lot.source for lot, _ in drawn] for item, drawn in takes.items()} == {
        "glaze": ["batch"],
        "pie": ["planned"],
    }


NIGHT = """
[stations.b]
name = "B"
hours = "12:00-20:00"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10
[dishes.d]
name = "Dish"
services = ["dinner"]
share = 1
plate = { p = "100 g" }
[preps.p]
name = "P"
station = "b"
keeps = "1 day"
makes = "1 kg"
steps = [
    { do = "Soak", hands_on = "40 min", wait = "4 h", wait_up_to = "4 h 30 min" },
    { do = "Boil", hands_on = "30 min", wait_up_to = "1 day" },
    { do = "Finish", hands_on = "15 min" },
]
"""


@pytest.mark.parametrize("there", ["as it was", "another cook"])
def test_where_nobody_is_there_to_go_on_in_time_the_steps_after_that_lie_where_they_lay(kitchen, moment, there):
    """Soaked at 01:26, it is to be boiled at 06:06, six hours before anybody is there: somebody comes. It is finished
    at 12:25, behind what others had of the cook then. In another kitchen it was finished at 12:00 as if it lay nowhere,
    though the plan that was kept had it there at 12:25, and with it all that follows."""
    small = kitchen(NIGHT)
    board = small.plan("2026-10-31 01:26")
    run = started(board, "p", moment("2026-10-31 01:26")).runs[0]
    lies = [("01:26", "02:06", "06:06"), ("06:06", "06:36", "12:25"), ("12:25", "12:40", "12:40")]
    steps = tuple(
        Placed(number, *(moment(f"2026-10-31 {clock}") for clock in clocks), "b") for number, clocks in enumerate(lies)
    )
    known = {run.key: Placement(run.size, None, steps[0].ends, steps)}
    state = replace(board.state, runs=(run,), lines_run={("p", run.line.need): 1}, placements=known)
    state = replace(state, placed_for=board.placing.digest if there == "as it was" else "another")
    (under_way,) = plan(state, moment("2026-10-31 05:45")).under_way
    assert [f"{step.begins:%H:%M}" for step in under_way.steps] == ["01:26", "06:06", "12:25"]
