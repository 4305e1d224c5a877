"""Too late, and too much: what the plan says can still be done."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from days.truth import Truth
from msgspec.structs import replace

from prepboard.boards.pars.late_rows import late
from prepboard.boards.pars.rows import pars
from prepboard.boards.rows.lists import to_make
from prepboard.boards.rows.not_for import not_for
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import plan
from prepboard.plan.given.state import TaskDone
from prepboard.plan.outline import lies_in, outline
from prepboard.plan.shown.lines import MakeLine

TODAY = date(2026, 10, 31)

BOOK = """
[stations.sauce]
name = "Sauce"
hours = "08:00-23:00"

[stations.roast]
name = "Roast"
hours = "08:00-23:00"

[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10

[services.lunch]
on = "2026-11-01"
starts = "12:00"
ends = "14:00"
covers = 10

[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = "100 g" }

[preps.pie]
name = "Pie"
station = "sauce"
keeps = "5 days"
makes = "250 g"
sizes = { smallest = 1, step = 1 }
steps = [{ do = "Work", hands_on_each = "30 min", wait = "1 h" }]
"""
TOMORROW = """
[dishes.tart]
name = "Tart"
services = ["lunch"]
share = 1
plate = { tart = "100 g" }

[preps.tart]
name = "Tart"
station = "sauce"
keeps = "5 days"
makes = "1 kg"
steps = [{ do = "Work", hands_on = "90 min", wait = "20 h" }]
"""


def said(line: MakeLine) -> dict[str, dict[str, object]]:
    return {note.kind: dict(note.facts) for note in line.notes}


def test_a_late_line_says_by_how_much_and_what_is_there_in_time(kitchen, moment):
    """Of 10 portions 3 stand ready; the other 7 ask for 3 recipes, 1 h 30 of hands and an hour to wait."""
    late = kitchen(BOOK)
    late.on_hand("pie", "300 g")
    (line,) = late.lines("pie", "2026-10-31 16:00")
    assert line.size == 3
    notes = said(line)
    assert notes["late by"] == {"minutes": 30, "at": moment("2026-10-31 18:30")}
    in_time = {"item": "pie", "amount": 300_000_000, "par": 1_000_000_000, "at": moment("2026-10-31 18:30")}
    assert notes["in time"] == in_time
    assert notes["smaller in time"] == {"size": 2, "item": "pie", "amount": 500_000_000}
    assert "off until" not in notes


def test_what_lateness_costs_is_reckoned_to_the_last_part_of_a_weighed_minute(kitchen, moment):
    """Half an hour for 35 guests of a hundred is ten weighed minutes and a half: more than a little."""
    late = kitchen(BOOK.replace("share = 1", "share = 0.35"))
    (line,) = late.lines("pie", "2026-10-31 16:30")
    assert line.late_minutes == 30
    assert lies_in(outline(late.state, moment("2026-10-31 16:30"))).late == Fraction("10.5")


def test_what_is_made_again_while_guests_come_is_not_there_as_they_come(kitchen, moment):
    """It keeps two hours, and so the last guests get of a second run at 20:40: at 18:00 nothing stands ready."""
    short = BOOK.replace('keeps = "5 days"', 'store = "hot"\nkeeps = "2 h"').replace(', wait = "1 h"', "")
    first, again = kitchen(short.replace("250 g", "500 g")).lines("pie", "2026-10-31 17:40")
    assert (first.ready_at, again.ready_at) == (moment("2026-10-31 18:40"), moment("2026-10-31 20:40"))
    notes = said(first)
    assert (notes["in time"]["amount"], notes["in time"]["at"]) == (0, first.ready_at)
    assert notes["off until"] == {"dishes": ("pie",), "at": first.ready_at}
    assert "in time" not in said(again)


def test_a_late_line_that_also_serves_tomorrow_speaks_of_tonight_only(kitchen):
    """Tomorrow's lunch takes of the same run, and has it long before it begins."""
    both = BOOK.replace('services = ["dinner"]', 'services = ["dinner", "lunch"]').replace(
        "makes", 'joins = "1 day"\nmakes'
    )
    late = kitchen(both)
    late.on_hand("pie", "300 g")
    line = late.lines("pie", "2026-10-31 17:00")[0]
    assert len(line.serves) == 2
    assert [note.facts["par"] for note in line.notes if note.kind == "in time"] == [1_000_000_000]


def test_a_dish_of_which_nothing_is_there_in_time_is_off_until_then(kitchen, moment):
    (line,) = kitchen(BOOK).lines("pie", "2026-10-31 17:30")
    assert said(line)["off until"] == {"dishes": ("pie",), "at": moment("2026-10-31 20:30")}


def test_a_line_that_is_late_only_because_of_others_names_who_could_give_way(kitchen):
    """One cook at 14:00: 90 minutes for tomorrow's tart, then two hours for tonight's pie, which alone would do."""
    lines = {line.prep: said(line) for line in kitchen(BOOK + TOMORROW).plan("2026-10-31 14:00").make}
    assert lines["pie"]["late by"]["minutes"] == 30
    assert lines["pie"]["could give way"]["item"] == "tart"
    assert "late by" not in lines["tart"]


def test_work_left_counts_what_should_begin_before_service_and_names_what_to_move(kitchen):
    """Two hours of hands-on for dinner, and one hour of hands at sauce: 60 minutes too much, and roast has room."""
    board = kitchen(BOOK).plan("2026-10-31 17:00")
    sauce, roast = board.work
    assert (sauce.hands_minutes, sauce.work_minutes, sauce.over_minutes) == (60, 120, 60)
    assert roast.moves == ()
    idle = kitchen(BOOK)
    idle.more["hands"] = {("roast", TODAY): 3}
    (move,) = idle.plan("2026-10-31 17:00").work[0].moves
    assert (move.prep, move.minutes, move.to) == ("pie", 120, "roast")


def test_work_left_counts_the_tasks_that_are_due_before_service_until_they_are_done(kitchen, moment):
    """Half an hour of filters at 17:30 counts; the fryer at close does not."""
    tasks = """
[tasks.filters]
name = "Change the filters"
station = "roast"
when = "17:30"
hands_on = "30 min"

[tasks.fryer]
name = "Drain the fryer"
station = "roast"
when = "close"
hands_on = "20 min"
"""
    here = kitchen(BOOK + tasks)
    assert [work.work_minutes for work in here.plan("2026-10-31 17:00").work] == [120, 30]
    here.more["tasks_done"] = {("filters", TODAY): TaskDone(moment("2026-10-31 17:05"), "LM", "roast")}
    assert [work.work_minutes for work in here.plan("2026-10-31 17:10").work] == [120, 0]


def test_what_is_not_for_this_service_is_the_first_to_move(kitchen):
    """At 15:00 there are 180 minutes of hands for 120 of pie tonight and 90 of tart for tomorrow."""
    sauce = kitchen(BOOK + TOMORROW).plan("2026-10-31 15:00").work[0]
    assert (sauce.hands_minutes, sauce.work_minutes, sauce.over_minutes) == (180, 210, 30)
    assert [(move.prep, move.minutes, move.to) for move in sauce.moves] == [("tart", 90, "")]


def test_hands_of_several_days_are_each_days_own(kitchen):
    later = kitchen(BOOK.replace('on = "2026-10-31"', 'on = "2026-11-01"'))
    later.more["hands"] = {("sauce", TODAY): 2}
    sauce = later.plan("2026-10-31 20:00").work[0]
    assert sauce.hands_minutes == 2 * 3 * 60 + 4 * 60  # to 23:00 today, and from 08:00 to lunch at 12:00 tomorrow


FILLED = BOOK.replace("[preps.pie]", '[preps.pie]\nuses = { filling = "100 g" }').replace('"1 h"', '"6 h"')
FILLED += """
[preps.filling]
name = "Filling"
station = "sauce"
keeps = "5 days"
makes = "1 kg"
steps = [{ do = "Work", hands_on = "30 min" }]
"""


def test_what_is_ready_when_its_sitting_is_over_is_too_late_and_so_is_what_only_that_takes(kitchen):
    """At 17:30 half an hour for the filling, two hours for the pies and six to wait: after 22:00."""
    late = {line.prep: line.too_late for line in kitchen(FILLED).plan("2026-10-31 17:30").make}
    assert late == {"pie": True, "filling": True}


def test_each_of_them_says_for_which_sitting_it_is_not_though_itself_it_would_be_there(kitchen):
    """The filling is ready at 18:00, its pie after 22:00."""
    board = kitchen(FILLED).plan("2026-10-31 17:30")
    assert [(line.prep, line.late_minutes, line.not_for) for line in board.make] == [
        ("filling", 0, (("dinner", TODAY),)),
        ("pie", 480, (("dinner", TODAY),)),
    ]
    assert {Voice.of(board).begins(line) for line in board.make} == {"not for Dinner"}
    assert {row.cells[3].text for row in late(board)[1]} == {"not for Dinner"}


def test_what_a_later_sitting_takes_of_too_is_not_too_late(kitchen):
    """The pie is, but not its filling: a tart for tomorrow's lunch draws what is left of it."""
    tart = TOMORROW.replace("[preps.tart]", '[preps.tart]\nuses = { filling = "100 g" }').replace("20 h", "1 h")
    late = {line.prep: line.too_late for line in kitchen(FILLED + tart).plan("2026-10-31 17:30").make}
    assert late == {"pie": True, "filling": False, "tart": False}


def test_what_is_for_one_that_is_too_late_and_one_that_cannot_be_made_is_for_nobody(kitchen):
    """The tart of tomorrow asks for sixteen hours of hands in fifteen. The filling was said to be ready in time, for
    nobody who would ever take it: that no plan moves, and whoever obeyed made it where its moment had passed."""
    tart = TOMORROW.replace("[preps.tart]", '[preps.tart]\nuses = { filling = "100 g" }').replace(
        'hands_on = "90 min", wait = "20 h"', 'hands_on = "16 h"'
    )
    lines = {line.prep: line for line in kitchen(FILLED + tart).plan("2026-10-31 17:30").make}
    assert {prep: line.too_late for prep, line in lines.items()} == {"pie": True, "filling": True, "tart": False}
    assert [prep for prep, line in lines.items() if "cannot fit" in said(line)] == ["tart"]


BREAD = """
[stations.bakery]
name = "Bakery"
hours = "08:00-23:00"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 40
[services.lunch]
on = "2026-11-01"
starts = "12:00"
ends = "14:00"
covers = 40
[dishes.bread]
name = "Bread"
services = ["dinner"]
share = 1
plate = { sourdough = "100 g" }
[dishes.soup]
name = "Soup"
services = ["lunch"]
share = 0.5
plate = { crumb = "20 g" }
[preps.sourdough]
name = "Sourdough"
station = "bakery"
keeps = "3 days"
makes = "5 kg"
steps = [{ do = "Shape", hands_on = "10 min", wait = "8 h", wait_up_to = "20 h" }, { do = "Bake", hands_on = "20 min" }]
[preps.crumb]
name = "Rye crumb"
station = "bakery"
keeps = "3 days"
makes = "400 g"
uses = { sourdough = "400 g" }
steps = [{ do = "Crumb", hands_on = "20 min" }]
"""
"""A bread that proves overnight, and crumb of it for tomorrow."""


def test_what_is_over_for_dinner_and_not_for_a_run_that_takes_of_it_says_for_which(kitchen, moment):
    """At 17:00 the bread is ready on Sunday: it is not too late for all that it is for."""
    board = kitchen(BREAD).plan("2026-10-31 17:00")
    bread = next(line for line in board.make if line.prep == "sourdough")
    assert (bread.too_late, bread.ready_at) == (False, moment("2026-11-01 08:20"))
    said = [note_text(note, Voice.of(board)) for note in bread.notes if note.kind == "too late"]
    assert said == ["ready Sun 08:20: not for Dinner, for Rye crumb"]
    assert Truth().look(board) == []


def test_it_says_so_wherever_it_would_say_how_late_it_is_and_is_not_folded(kitchen):
    """Fourteen hours after the first guests would have it nobody waits for it any more; the crumb of Sunday does."""
    board = kitchen(BREAD).plan("2026-10-31 17:00")
    bread = next(line for line in board.make if line.prep == "sourdough")
    assert (bread.too_late, bread.not_for, bread.late_minutes) == (False, (("dinner", TODAY),), 860)
    row = next(row for row in to_make(board, ("bakery",)) if row.what == "Sourdough")
    assert row.words == "not for Dinner"
    assert row.extra.endswith("for Rye crumb")
    assert not_for(board) == []
    assert [row.cells[3].text for row in late(board)[1]] == ["not for Dinner"]
    says = {row.what: row.cells[-1].text for row in pars(board, board, {}, ("dinner", TODAY))[1]}
    assert says["Sourdough"].endswith(", not for Dinner")


def test_what_goes_into_one_that_is_lost_and_one_that_is_not_is_needed_for_that_one(kitchen, moment):
    """Nobody began at 11:00 what a pie of nine and a half hours takes, and a tart at 17:40. At noon the pie is ready as
    dinner is over: nobody waits for it, and its filling is in time for the tart."""
    text = BOOK.replace(
        'hands_on_each = "30 min", wait = "1 h"', 'station = "roast", hands_on = "30 min", wait = "9 h"'
    )
    text = text.replace('{ pie = "100 g" }', '{ pie = "100 g", tart = "100 g" }').replace('"250 g"', '"1 kg"')
    tart = '[preps.tart]\nname = "Tart"\nstation = "sauce"\nkeeps = "5 days"\nmakes = "1 kg"\nready_before = "0 min"\n'
    text += tart + 'uses = { filling = "100 g" }\nsteps = [{ do = "Fill", hands_on = "20 min" }]\n'
    text = text.replace("[preps.pie]", '[preps.pie]\nuses = { filling = "100 g" }')
    at = kitchen(text + FILLED[FILLED.index("[preps.filling]") :])
    before = at.plan("2026-10-31 11:00")
    kept = replace(before.state, placements=before.placing.placements, placed_for=before.placing.digest)
    lines = {line.prep: line for line in plan(kept, moment("2026-10-31 12:00")).make}
    assert {prep: line.too_late for prep, line in lines.items()} == {"filling": False, "pie": True, "tart": False}
    assert [use.run_of for use in lines["filling"].serves] == ["pie", "tart"]
    assert (lines["filling"].ready_by, lines["filling"].late_minutes) == (moment("2026-10-31 17:40"), 0)
    assert lines["filling"].not_for == ()


ICING = """
[preps.icing]
name = "Icing"
station = "roast"
keeps = "5 days"
makes = "1 kg"
sizes = { smallest = 1 }
joins = "none"
steps = [{ do = "Stir", hands_on = "16 h" }]
"""


def test_what_would_take_of_a_run_that_fits_no_hours_cannot_be_made_either(kitchen):
    """Sixteen hours of hands fit into none of fifteen. The run is planned for the pie alone; the tart would take of
    what is left of it, and nobody else makes that."""
    takes = 'wait = "1 h" }]\nuses = { icing = "100 g" }'
    text = BOOK.replace('wait = "1 h" }]', takes) + TOMORROW.replace('wait = "20 h" }]', takes) + ICING
    lines = {line.prep: line for line in kitchen(text).plan("2026-10-30 14:00").make}
    assert [use.run_of for use in lines["icing"].serves] == ["pie"]
    why = {prep: [note.facts for note in line.notes if note.kind == "cannot fit"] for prep, line in lines.items()}
    assert why == {
        "icing": [{"why": "hours"}],
        "pie": [{"why": "without", "item": "icing"}],
        "tart": [{"why": "without", "item": "icing"}],
    }
