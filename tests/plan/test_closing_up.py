"""Closing up: what is late begins as soon as it can, and so does what goes into it; else it would wait for nothing."""

from __future__ import annotations

from datetime import timedelta

import pytest
from days.truth import Truth
from msgspec.structs import replace

from prepboard.plan.board import Board, plan
from prepboard.plan.floor.floor import there_was
from prepboard.plan.floor.placing import place_runs
from prepboard.plan.outline import outline
from prepboard.plan.planner import Planner

BOOK = """
[stations.sauce]
name = "Sauce"
[stations.cold]
name = "Cold"
[stations.roast]
name = "Roast"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = "100 g", salad = "10 g" }
[preps.pie]
name = "Pie"
station = "roast"
keeps = "5 days"
makes = "1 kg"
ready_before = "0 min"
uses = { filling = "1 kg", dough = "1 kg" }
steps = [{ do = "Bake", hands_on = "20 min" }]
[preps.dough]
name = "Dough"
station = "sauce"
keeps = "5 days"
makes = "1 kg"
steps = [{ do = "Knead", hands_on = "40 min" }]
[preps.filling]
name = "Filling"
station = "sauce"
keeps = "5 days"
makes = "1 kg"
steps = [{ do = "Stew", hands_on = "10 min" }, { do = "Simmer", wait = "4 h" }]
[preps.salad]
name = "Salad"
station = "cold"
keeps = "5 days"
makes = "1 kg"
steps = [{ do = "Pick", hands_on = "10 min" }]
"""


def moved(board: Board, **minutes: int) -> Board:
    """The same kept with placements that lie so many minutes later, in another kitchen."""
    found = dict(board.placing.placements)
    for line, lies in found.items():
        later = timedelta(minutes=minutes.get(line.partition("#")[0], 0))
        at = ("begins", "hands_until", "ends")
        steps = tuple(replace(one, **{name: getattr(one, name) + later for name in at}) for one in lies.steps)
        found[line] = replace(lies, steps=steps)
    return replace(board, state=replace(board.state, placements=found, placed_for="another"))


def begins(board: Board) -> dict[str, str]:
    return {line.prep: f"{line.begins:%H:%M}" for line in board.make if line.prep != "salad"}


BEST = {"filling": "14:00", "dough": "14:10", "pie": "18:10"}
"""At 14:00, for 18:00: what simmers four hours first, then the dough of the same cook, as late as the pie lets it."""


@pytest.fixture
def late(kitchen):
    board = kitchen(BOOK).plan("2026-10-31 14:00")
    assert begins(board) == {**BEST, "dough": "17:30"}
    return board


def test_a_press_moves_what_goes_into_a_late_line_up_with_it(late):
    """Filling and pie lie five minutes later than they must: by itself the pie gets no sooner, its filling holds it."""
    shifted = moved(late, filling=5, pie=5)
    after = plan(shifted.state, late.now, moving=True)
    assert (begins(after)["filling"], begins(after)["pie"]) == ("14:00", "18:10")
    assert Truth().look(after) == []


def test_when_something_slipped_a_late_line_closes_up_with_what_goes_into_it_the_one_that_holds_it_first(late):
    """Nobody picked the salad at 13:50. From the front the dough would come first, and the pie stay at 18:50."""
    shifted = moved(late, filling=40, pie=40, dough=-140, salad=-240)
    after = plan(shifted.state, late.now)
    assert (begins(after)["filling"], begins(after)["pie"]) == ("14:00", "18:10")
    assert Truth().look(after) == []


def test_what_somebody_is_about_to_begin_stays_though_what_holds_a_late_line_could_go_before_it(late):
    """The dough lies at 14:00, and is kneaded then: the filling of the same cook comes after it."""
    shifted = moved(late, filling=40, pie=40, dough=-210, salad=-240)
    assert begins(plan(shifted.state, late.now)) == {"dough": "14:00", "filling": "14:40", "pie": "18:50"}


def test_when_what_it_lay_behind_is_asked_for_no_more_a_late_line_closes_up_too(late):
    """Nobody began a cake that lies before it, and that no guests will have any more: it is no line."""
    shifted = moved(late, filling=40, pie=40).state
    salad = next(lies for line, lies in shifted.placements.items() if line.startswith("salad"))
    cake = {**shifted.placements, "cake#0@dinner.2026-10-31": replace(salad, due=late.now - timedelta(hours=1))}
    assert begins(plan(shifted, late.now))["pie"] == "18:50"
    after = plan(replace(shifted, placements=cake), late.now)
    assert (begins(after)["filling"], begins(after)["pie"]) == ("14:00", "18:10")


@pytest.mark.parametrize(("laid", "as_laid", "again"), [(False, True, False), (True, False, False), (True, True, True)])
def test_a_late_line_closes_up_when_a_plan_places_all_again_for_what_is_asked_for_now(late, laid, as_laid, again):
    """Filling and pie lay behind what the round before asked for, and this one does not; by itself time moves them no
    more than anything else."""
    shifted = moved(late, filling=40, pie=40).state
    found = outline(shifted, late.now)
    found.run_times.lies = found.state.placements if as_laid else dict(found.state.placements)
    found.run_times.laid = laid
    placing, _ = place_runs(found.state, found.needs.planned, (), found.run_times)
    lies = {line.partition("#")[0]: f"{one.steps[0].begins:%H:%M}" for line, one in placing.placements.items()}
    assert (lies["filling"], lies["pie"]) == (("14:00", "18:10") if again else ("14:40", "18:50"))


def test_what_got_sooner_leaves_room_behind_for_what_was_tried_before_it(kitchen):
    """At 17:30 a bun of twenty minutes lies at 17:50 and a tart of an hour after it: once the bun is in time the tart
    moves up, though its hour did not fit before."""
    dish = '\n[dishes.{0}]\nname = "{0}"\nservices = ["dinner"]\nshare = {1}\nplate = {{ {0} = "100 g" }}\n'
    prep = '[preps.{0}]\nname = "{0}"\nstation = "roast"\nkeeps = "5 days"\nmakes = "1 kg"\n'
    steps = 'steps = [{{ do = "Bake", hands_on = "{0} min" }}]\n'
    text = BOOK[: BOOK.index("[dishes.pie]")] + "".join(
        dish.format(name, share) + prep.format(name) + steps.format(minutes)
        for name, share, minutes in (("tart", 1, 60), ("bun", 0.5, 20))
    )
    board = kitchen(text).plan("2026-10-31 17:30")
    lies = {line.prep: line.begins.hour * 60 + line.begins.minute for line in board.make}
    shifted = moved(board, bun=17 * 60 + 50 - lies["bun"], tart=18 * 60 + 10 - lies["tart"]).state
    gone = replace(next(iter(shifted.placements.values())), due=board.now - timedelta(hours=1))
    after = plan(replace(shifted, placements={**shifted.placements, "cake#0@dinner.2026-10-31": gone}), board.now)
    assert begins(after) == {"bun": "17:40", "tart": "18:00"}


def test_a_press_that_changes_nothing_else_moves_up_what_is_late_though_a_board_planned_within_the_minute(late):
    """The dough that somebody is about to begin makes way for the filling at a press, as for a planner that never saw
    the board before it."""
    shifted, planner = moved(late, filling=40, pie=40, dough=-210, salad=-240), Planner()
    lies = planner.where_runs_lie(shifted.state, late.now, moving=False)
    state = replace(shifted.state, placements=lies.placements, placed_for=lies.digest)
    pressed = planner.where_runs_lie(state, late.now, moving=True)
    assert pressed == Planner().where_runs_lie(state, late.now, moving=True)
    found = {line.partition("#")[0]: f"{one.steps[0].begins:%H:%M}" for line, one in pressed.placements.items()}
    assert (found["filling"], found["pie"]) == ("14:00", "18:10")


@pytest.mark.parametrize(("said", "pie"), [("19:00", "18:10"), ("18:00", "18:15")])
def test_a_press_moves_up_what_is_asked_for_sooner_than_was_said_where_that_makes_it_late(late, said, pie):
    """All lies as it was planned, filling and pie five minutes later than they must. Guests would be without a pie
    from 18:00 on, not from 19:00 on, once somebody threw one away; late as it was planned it would stay."""
    shifted = moved(late, filling=5, pie=5).state
    at = late.now.replace(hour=int(said[:2]))
    lies = {
        line: replace(one, ready_by=at if "pie" in line[:3] else one.ready_by)
        for line, one in shifted.placements.items()
    }
    state = replace(shifted, placements=lies, placed_for=there_was(late.placing.digest) + "others")
    assert begins(plan(state, late.now, moving=True))["pie"] == pie


@pytest.mark.parametrize("under_way", [False, True])
def test_what_is_late_behind_what_is_made_for_it_takes_what_is_there_before_at_a_press(kitchen, under_way):
    """The sauce cook comes at 15:30. Filling that is there, or by 15:00, is over at 18:00: a pie that lies at 19:40,
    as it would without it, takes a new one, and cannot be sooner for that."""
    book = BOOK.replace('name = "Sauce"', 'name = "Sauce"\nhours = "15:30-23:00"')
    if under_way:
        filling = 'name = "Filling"\nstation = "sauce"\nkeeps = '
        book = book.replace(f'{filling}"5 days"', f'{filling}"3 h"')
    with_it, without = kitchen(book), kitchen(book).plan("2026-10-31 14:00")
    if under_way:
        with_it.under_way("filling", started="2026-10-31 11:00", step=1)
    else:
        with_it.on_hand("filling", "1 kg", "2026-10-31 18:00")
    first = with_it.plan("2026-10-31 14:00")
    assert begins(first) == {"dough": "17:00", "pie": "17:40"}
    state = replace(first.state, placements=without.placing.placements, placed_for=without.placing.digest)
    assert begins(plan(state, first.now)) == begins(without) == {"filling": "15:30", "dough": "19:00", "pie": "19:40"}
    assert begins(plan(state, first.now, moving=True)) == begins(first)
