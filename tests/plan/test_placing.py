"""Placing runs with the hands and ovens that there are; every plan gets the second look of placing_checker."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from conftest import drawn_of
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from placing_checker import faults
from random_kitchens import NOW
from random_kitchens import kitchen as drawn

from prepboard.plan import memory
from prepboard.plan.board import Board, plan
from prepboard.plan.floor import placing as kitchen_of_placing
from prepboard.plan.floor.settling import settle
from prepboard.plan.given.state import Placement, Run, State
from prepboard.plan.outline import outline
from prepboard.plan.shown.lines import MakeLine

TODAY = date(2026, 10, 31)
HOUR = timedelta(hours=1)

BENCH = """
[stations.sauce]
name = "Sauce"
cooks = {cooks}
hours = "{hours}"

[stations.roast]
name = "Roast"

[equipment.oven]
name = "Oven"
places = {places}
racks = {racks}

[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10
"""
PREP = """
[dishes.{name}]
name = "{name}"
services = ["dinner"]
plate = {{ {name} = "100 g" }}
share = 1

[preps.{name}]
name = "{name}"
station = "sauce"
keeps = "5 days"
makes = "1 kg"
steps = [{steps}]
"""
HANDS = '{ do = "Work", hands_on = "1 h" }'


def book(*preps: tuple[str, str], cooks: int = 1, hours: str = "08:00-23:00", places: int = 1, racks: int = 1) -> str:
    head = BENCH.format(cooks=cooks, hours=hours, places=places, racks=racks)
    return head + "".join(PREP.format(name=name, steps=steps) for name, steps in preps)


def oven(heat: str, minutes: int = 60, hands: int = 0, more: str = "") -> str:
    return (
        f'{{ do = "Bake", hands_on = "{hands} min", wait = "{minutes} min", equipment = "oven", at = "{heat}"{more} }}'
    )


def starts(board: Board) -> dict[str, str]:
    return {line.prep: f"{line.begins:%H:%M}" for line in board.make}


def test_one_cook_does_one_thing_after_the_other(kitchen):
    board = kitchen(book(("pie", HANDS), ("tart", HANDS))).plan()
    assert sorted(starts(board).values()) == ["16:00", "17:00"]
    assert faults(board) == []


def test_two_cooks_do_two_things_at_once(kitchen):
    assert set(starts(kitchen(book(("pie", HANDS), ("tart", HANDS), cooks=2)).plan()).values()) == {"17:00"}


def test_a_cook_who_is_not_there_today_is_not_counted_on(kitchen):
    two = kitchen(book(("pie", HANDS), ("tart", HANDS), cooks=2))
    two.more["hands"] = {("sauce", TODAY): 1}
    assert sorted(starts(two.plan()).values()) == ["16:00", "17:00"]


def test_hands_on_lies_within_one_half_of_a_split_shift(kitchen):
    board = kitchen(book(("pie", HANDS), ("tart", HANDS), hours="08:00-15:00, 16:30-23:00")).plan()
    assert sorted(starts(board).values()) == ["14:00", "17:00"]


def test_runs_of_one_temperature_share_an_ovens_racks(kitchen):
    pies = ("pie", oven("160 C")), ("tart", oven("320 F"))
    assert set(starts(kitchen(book(*pies, racks=2)).plan()).values()) == {"17:00"}
    assert sorted(starts(kitchen(book(*pies, racks=1)).plan()).values()) == ["16:00", "17:00"]


def test_a_place_holds_one_temperature_at_a_time(kitchen):
    """Three temperatures wanted of one oven, 175, 140 and 120 °C, never share a place (common practice, no source)."""
    preps = ("braise", oven("175 C", 180)), ("crisp", oven("140 C", 8)), ("biscuit", oven("120 C", 4))
    board = kitchen(book(*preps, racks=4)).plan()
    assert faults(board) == []
    assert board.make[0].begins.strftime("%H:%M") == "14:48"
    assert {step.places for line in board.make for step in line.steps} == {(1,)}
    two = kitchen(book(*preps, racks=4, places=3)).plan()
    assert {line.steps[0].ends.strftime("%H:%M") for line in two.make} == {"18:00"}


def test_an_oven_that_is_out_of_order_today_is_not_counted_on(kitchen):
    two = kitchen(book(("pie", oven("160 C")), ("tart", oven("90 C")), places=2))
    assert set(starts(two.plan()).values()) == {"17:00"}
    two.more["equipment"] = {("oven", TODAY): 1}
    assert sorted(starts(two.plan()).values()) == ["16:00", "17:00"]


def test_what_fills_more_racks_than_a_place_has_takes_whole_places(kitchen):
    pies = ("pie", oven("160 C", more=", racks = 3")), ("tart", oven("160 C"))
    board = kitchen(book(*pies, places=2, racks=2)).plan()
    assert sorted(starts(board).values()) == ["16:00", "17:00"]
    assert {step.places for line in board.make if line.prep == "pie" for step in line.steps} == {(1, 2)}


def test_a_step_that_holds_its_place_by_hand_leaves_it_while_it_waits(kitchen):
    step = '{{ do = "Sear", hands_on = "10 min", wait = "3 h", equipment = "oven", at = "200 C"{} }}'
    held = kitchen(book(("pie", step.format("")), ("tart", step.format("")), cooks=2)).plan()
    assert sorted(starts(held).values()) == ["11:40", "14:50"]
    free = kitchen(book(("pie", step.format(', holds = "hands"')), ("tart", step.format("")), cooks=2)).plan()
    assert sorted(starts(free).values()) == ["14:40", "14:50"]


def test_an_attended_wait_takes_its_cook_to_the_end(kitchen):
    stir = '{ do = "Stir", hands_on = "10 min", wait = "50 min", attended = true }'
    assert sorted(starts(kitchen(book(("pie", stir), ("tart", HANDS))).plan()).values()) == ["16:00", "17:00"]


def test_a_step_at_another_bench_takes_its_hands(kitchen):
    elsewhere = '{ do = "Grill", hands_on = "1 h", station = "roast" }'
    board = kitchen(book(("pie", elsewhere), ("tart", HANDS))).plan()
    assert set(starts(board).values()) == {"17:00"}
    assert {line.prep: line.steps[0].station for line in board.make} == {"pie": "roast", "tart": "sauce"}


def test_a_prep_that_was_given_to_another_bench_is_made_there(kitchen):
    given_away = kitchen(book(("pie", HANDS), ("tart", HANDS)))
    given_away.more["given"] = {("tart", TODAY): "roast"}
    board = given_away.plan()
    assert set(starts(board).values()) == {"17:00"}
    assert {line.prep: line.station for line in board.make} == {"pie": "sauce", "tart": "roast"}


def test_what_is_under_way_keeps_its_oven_and_its_cook(kitchen, moment):
    step = oven("90 C", 240)
    one = kitchen(book(("pie", oven("160 C")), ("tart", step), places=1))
    one.under_way("tart", started="2026-10-31 13:30")
    board = one.plan("2026-10-31 14:00")
    (line,) = [line for line in board.make if line.prep == "pie"]
    assert line.steps[0].begins == moment("2026-10-31 17:30")
    assert line.ready_at == moment("2026-10-31 18:30")
    # Whoever presses start has it in, whatever is there.
    assert line.ready_if_started_now == moment("2026-10-31 15:00")


def test_what_was_put_in_where_others_were_has_all_its_places_as_soon_as_they_leave(kitchen, moment):
    """The ham takes two places, and a tart is in one of them to 16:00; the roll takes one of two in which tarts are:
    that which is free sooner."""
    long = oven("90 C", 120)
    ham = oven("160 C", 300, more=", racks = 2")
    one = kitchen(book(("tart", long), ("ham", ham), ("pie", oven("120 C")), places=2))
    one.under_way("tart", started="2026-10-31 14:00")
    one.under_way("ham", started="2026-10-31 14:30")
    board = one.plan("2026-10-31 14:30")
    assert {run.prep: run.steps[0].places for run in board.under_way} == {"tart": (1,), "ham": (1, 2)}
    (pie,) = [line for line in board.make if line.prep == "pie"]
    assert pie.begins == moment("2026-10-31 19:30"), "the ham has both from 16:00 on"
    assert faults(board) == []

    two = kitchen(book(("tart", long), ("roll", oven("160 C", 240)), ("pie", oven("160 C")), places=2))
    two.under_way("tart", started="2026-10-31 14:00")
    two.under_way("tart", started="2026-10-31 13:00")
    two.under_way("roll", started="2026-10-31 14:30")
    runs = two.plan("2026-10-31 14:30").under_way
    first, second, roll = sorted(runs, key=lambda run: run.steps[0].begins)
    assert roll.steps[0].places == first.steps[0].places != second.steps[0].places


def test_an_ingredient_follows_the_run_that_takes_it(kitchen, moment):
    """Two pies for one cook: the second begins at 16:00, and so its filling is ready by then."""
    filling = '\n[preps.filling]\nname = "Filling"\nstation = "roast"\nkeeps = "2 days"\nmakes = "1 kg"\n'
    filling += f"steps = [{HANDS}]\n"
    text = book(("pie", HANDS), ("tart", HANDS)) + filling
    text = text.replace('[preps.tart]\nname = "tart"', '[preps.tart]\nuses = { filling = "200 g" }\nname = "tart"')
    lines = {line.prep: line for line in kitchen(text).plan().make}
    assert lines["filling"].steps[-1].ends == lines["tart"].steps[0].begins


def test_goods_that_are_not_there_are_waited_for(kitchen, moment):
    text = book(("pie", HANDS)).replace("[preps.pie]", '[preps.pie]\nuses = { lard = "1 kg" }')
    text += '\n[goods.lard]\nname = "Lard"\nunit = "kg"\n'
    late = kitchen(text)
    late.more["missing"] = {"lard": moment("2026-10-31 17:20")}
    (line,) = late.plan().make
    assert line.steps[0].begins == moment("2026-10-31 17:20")


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 10**6), runs=st.integers(4, 18), tight=st.booleans())
def test_no_plan_asks_for_what_is_not_there(seed, runs, tight):
    """No place at two temperatures, no hands over their number or outside hours, no wait too short or too long,
    nothing taken before it is made or, unsaid, after its life."""
    assert faults(plan(drawn(seed, runs, tight=tight), NOW)) == []


def kept(board: Board) -> State:
    """The state once the placements are kept."""
    return replace(board.state, placements=board.placing.placements, placed_for=board.placing.digest)


@settings(max_examples=drawn_of(6), deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 10**6), runs=st.integers(4, 14), tight=st.booleans())
@example(seed=436, runs=13, tight=True)
def test_a_run_that_starts_moves_no_other(seed, runs, tight):
    """The first line is started when it should be, and nothing else is new; of all the others none moves, unless it was
    late or would not last, and is placed anew. (Food that is not there in time, or will not last, asks for a second
    run, and what takes it waits: such kitchens are left out.)"""
    early = plan(drawn(seed, runs, tight=tight), NOW)
    places = early.placing.placements
    begins = {line.line: places[str(line.line)].steps[0].begins for line in early.make if str(line.line) in places}
    assume(begins)
    due = min(begins, key=lambda line: begins[line])
    at = max(NOW, begins[due])
    board = plan(kept(early), at)
    before = {line.line: line for line in board.make}
    first = before.get(due)
    assume(first is not None and first.steps and first.steps[0].begins == at and not will_not_last(first))
    outputs = dict(first.outputs)
    run = Run(
        "R1", due, board.state.book.preps[due.prep], first.size, outputs, at, 0, at, frozenset(), "lm", first.station
    )
    begun = replace(kept(board), runs=(run,), lines_run={(due.prep, due.need): due.n + 1})
    after = plan(begun, at, moving=True)
    assume(all((line.prep, line.line.need) != (due.prep, due.need) for line in after.make))
    for line in after.make:
        was = before.get(line.line)
        same = was is not None and (was.size, was.ready_by, was.takes) == (line.size, line.ready_by, line.takes)
        if same and was.steps and was.steps[-1].ends <= was.ready_by and not will_not_last(was):
            assert line.steps == was.steps


def will_not_last(line: MakeLine) -> bool:
    return any(note.kind == "not good long enough" for note in line.notes)


def was_kept(board: Board) -> bool:
    """Whether the runs lie where the file has them."""
    return board.placing.digest == board.state.placed_for


def test_kept_placements_are_read_and_not_worked_out_again(kitchen):
    one = kitchen(book(("pie", HANDS), ("tart", HANDS)))
    board = one.plan()
    again = plan(kept(board), board.now)
    assert was_kept(again)
    assert again.make == board.make


def test_a_plate_going_out_costs_no_schedule(kitchen):
    """Counts change, the set of lines does not."""
    one = kitchen(book(("pie", HANDS), ("tart", HANDS)))
    board = one.plan()
    state = replace(kept(board), plated={("dinner", TODAY, "pie"): 1})
    assert was_kept(plan(state, board.now))


def test_a_line_that_nobody_started_is_late_only_by_as_much_as_it_will_be_ready_too_late(kitchen, moment):
    """To be begun at 16:00, an hour for one cook before the other hour, both needed at 18:00: at 16:20 it begins now
    and is ready at 17:20, in time; the one behind it is ready at 18:20."""
    one = kitchen(book(("pie", HANDS), ("tart", HANDS)))
    board = one.plan("2026-10-31 09:00")
    first = board.make[0]
    later = plan(replace(kept(board), placed_for="of another plan"), moment("2026-10-31 16:20"))
    line, other = sorted(later.make, key=lambda line: line.line != first.line)
    assert (line.begins, line.ready_at) == (moment("2026-10-31 16:20"), moment("2026-10-31 17:20"))
    assert (line.late_minutes, line.start_by) == (0, line.begins)
    assert (other.ready_at, other.late_minutes, other.start_by) == (moment("2026-10-31 18:20"), 20, None)


@pytest.mark.parametrize("hands", [0, 1])
def test_a_day_without_cooks_moves_the_work_to_the_day_before(kitchen, hands):
    one = kitchen(book(("pie", HANDS)))
    one.more["hands"] = {("sauce", TODAY): hands}
    (line,) = one.plan("2026-10-30 09:00").make
    assert line.begins.day == (31 if hands else 30)


def test_within_the_minute_what_is_placed_already_is_not_placed_again_and_lies_the_same(monkeypatch):
    state = drawn(3, 16)
    first = plan(state, NOW)
    with monkeypatch.context() as patched:
        patched.setattr(kitchen_of_placing, "_place", None)
        assert plan(replace(state), NOW).placing == first.placing
    memory.forget()
    assert plan(state, NOW).placing == first.placing


def test_what_was_placed_otherwise_before_is_no_answer_for_a_kitchen_that_kept_it():
    """The same runs at the same moment: where one was kept an hour earlier, it stays there."""
    state = drawn(3, 16)
    placing = plan(state, NOW).placing
    line, lies = next((line, lies) for line, lies in placing.placements.items() if len(lies.steps) == 1)
    moved = tuple(
        replace(step, begins=step.begins - HOUR, hands_until=step.hands_until - HOUR, ends=step.ends - HOUR)
        for step in lies.steps
    )
    kept = replace(state, placements={line: replace(lies, steps=moved)}, placed_for="another")
    with_memory = plan(kept, NOW).placing
    memory.forget()
    assert with_memory == plan(kept, NOW).placing
    assert with_memory.placements[line].steps[0].begins == moved[0].begins


def lie(board: Board) -> dict[str, list[str]]:
    """The begins of each prep's steps."""
    return {line.prep: [f"{step.begins:%H:%M}" for step in line.steps] for line in board.make}


def test_what_nobody_began_in_time_is_to_be_begun_now_and_what_follows_moves_as_far_as_it_must(kitchen, moment):
    """An hour each for one cook, to be begun at 16:00 and 17:00: at 16:20 the one is to be begun, and the other 20
    minutes later than it should be, and late; what lies at another bench stays."""
    elsewhere = '{ do = "Grill", hands_on = "1 h", station = "roast" }'
    board = kitchen(book(("pie", HANDS), ("tart", HANDS), ("leg", elsewhere))).plan("2026-10-31 09:00")
    first, second = sorted(("pie", "tart"), key=lambda prep: lie(board)[prep])
    late = plan(kept(board), moment("2026-10-31 16:20"))
    assert lie(late) == {first: ["16:20"], second: ["17:20"], "leg": ["17:00"]}
    assert {line.prep: line.late_minutes for line in late.make} == {first: 0, second: 20, "leg": 0}
    assert was_kept(late)
    memory.forget()
    assert plan(late.state, late.now).make == late.make


def test_within_the_minute_in_which_a_line_should_begin_it_stays(kitchen, moment):
    board = kitchen(book(("pie", HANDS), ("tart", HANDS))).plan("2026-10-31 09:00")
    later = plan(kept(board), moment("2026-10-31 16:00") + timedelta(seconds=40))
    assert later.placing.placements == board.placing.placements


def test_a_late_line_stays_where_it_lies_until_it_can_be_ready_sooner(kitchen):
    """An hour each for one cook at 17:30, for 18:00: as well one first as the other, so they stay as they were kept;
    once the first is not needed any more the second moves up."""
    both = kitchen(book(("pie", HANDS), ("tart", HANDS)))
    board = both.plan("2026-10-31 17:30")
    first, last = sorted(board.make, key=lambda line: line.steps[0].begins)
    assert f"{last.steps[-1].ends:%H:%M}" == "19:30"
    places = board.placing.placements
    changed = {
        str(first.line): replace(places[str(first.line)], steps=last.steps),
        str(last.line): replace(places[str(last.line)], steps=first.steps),
    }
    again = plan(replace(board.state, placements=changed, placed_for="another"), board.now)
    assert lie(again) == {last.prep: lie(board)[first.prep], first.prep: lie(board)[last.prep]}
    both.on_hand(last.prep, "5 kg")
    alone = plan(replace(both.state, placements=changed, placed_for="another"), board.now, moving=True)
    assert lie(alone) == {first.prep: ["17:30"]}


def test_what_is_late_and_can_be_ready_a_little_sooner_is_moved_by_a_press_where_nothing_holds_it(kitchen):
    """An hour at 17:30 for 18:00 that lies five minutes later than it must: it waits for nothing."""
    board = kitchen(book(("pie", HANDS))).plan("2026-10-31 17:30")
    ((line, lies),) = board.placing.placements.items()
    (step,) = lies.steps
    later = {name: getattr(step, name) + timedelta(minutes=5) for name in ("begins", "hands_until", "ends")}
    places = {line: replace(lies, steps=(replace(step, **later),))}
    after = plan(replace(board.state, placements=places, placed_for="another"), board.now, moving=True)
    assert lie(after) == {"pie": ["17:30"]}


STOCK = """
[preps.stock]
name = "Stock"
station = "roast"
keeps = "5 days"
makes = "1 kg"
steps = [{ do = "Boil", hands_on = "10 min" }]
"""


@pytest.mark.parametrize("less", [True, False])
@pytest.mark.parametrize(("wait", "moves"), [("6 h", False), ("3 h", True)])
def test_what_nobody_will_begin_asks_for_more_or_less_and_moves_nobody_for_that(kitchen, wait, moves, less):
    """At 17:30 ham that hangs for six hours is for nobody: when its stock is asked for, or no more, a pie stays where
    it was said to lie, an hour later than it could. Of ham that guests can still have that is not as foreseen."""
    ham = f'{{ do = "Hang", hands_on = "10 min", wait = "{wait}", station = "roast" }}'
    both = kitchen(book(("pie", HANDS), ("ham", ham)) + 'uses = { stock = "1 g" }\n' + STOCK)
    without = both.plan("2026-10-31 17:30")
    both.on_hand("stock", "1 kg")
    there = both.plan("2026-10-31 17:30")
    board, state = (without, there.state) if less else (there, without.state)
    places = dict(board.placing.placements)
    pie = next(line for line in places if line.startswith("pie"))
    hour_later = tuple(
        replace(step, begins=step.begins + HOUR, hands_until=step.hands_until + HOUR, ends=step.ends + HOUR)
        for step in places[pie].steps
    )
    places[pie] = replace(places[pie], steps=hour_later)
    after = plan(replace(state, placements=places, placed_for=board.placing.digest), board.now, moving=True)
    assert {line.prep for line in board.make} ^ {line.prep for line in after.make} == {"stock"}
    assert lie(after)["pie"] == (["17:30"] if moves else ["18:30"])


def test_what_was_lost_in_another_size_has_what_it_takes_placed_from_now_on(kitchen, moment):
    """Ham twice as large would have been ready when dinner is over, so nobody began its stock of 15:30: of ham that is
    in time by 20:40 that lies ahead, not where it lay."""
    ham = '{ do = "Hang", hands_on = "10 min", wait = "3 h", station = "roast" }'
    board = kitchen(book(("ham", ham)) + 'uses = { stock = "1 g" }\n' + STOCK).plan("2026-10-31 17:30")
    places = dict(board.placing.placements)
    for line, hours in [(name, -2 if name.startswith("stock") else 4) for name in places]:
        steps = (
            replace(
                one,
                begins=one.begins + hours * HOUR,
                hands_until=one.hands_until + hours * HOUR,
                ends=one.ends + hours * HOUR,
            )
            for one in places[line].steps
        )  # fmt: skip
        size = places[line].size * (1 if line.startswith("stock") else 2)
        places[line] = replace(places[line], steps=tuple(steps), size=size)
    after = plan(replace(board.state, placements=places, placed_for=board.placing.digest[:16]), board.now)
    assert lie(after) == lie(board)


def test_what_one_takes_later_than_it_is_there_is_not_late_for_that_one(kitchen, moment):
    """Ham takes stock at 15:00 and soup at 17:00. Once ham lies on the day after, stock of 17:00 is not late."""
    preps = ("soup", HANDS), ("ham", '{ do = "Roast", hands_on = "3 h", station = "roast" }')
    text = book(*preps).replace('makes = "1 kg"\n', 'makes = "1 kg"\nuses = { stock = "1 g" }\n') + STOCK
    found = outline(kitchen(text).state, moment("2026-10-31 09:00"))
    places = {line.partition("#")[0]: line for line in found.placing.placements}

    def later(prep: str, by: timedelta) -> dict[str, Placement]:
        was = found.placing.placements[places[prep]]
        moved = (replace(one, begins=one.begins + by, hands_until=one.hands_until + by, ends=one.ends + by)
                 for one in was.steps)  # fmt: skip
        return {places[prep]: replace(was, steps=tuple(moved))}

    lies = {**found.placing.placements, **later("ham", timedelta(days=1)), **later("stock", 2 * HOUR)}
    settle(found.needs.planned, replace(found.placing, placements=lies), found.run_times)
    stock = next(run for run in found.needs.planned if run.recipe.id == "stock")
    assert [need.run_of for need, _ in stock.serves] == ["ham", "soup"]
    assert (stock.ready, stock.ready_by) == (moment("2026-10-31 17:00"), moment("2026-10-31 17:00"))


NIGHT = """
[stations.night]
name = "Night"
cooks = 3
hours = "20:00-04:30"
[equipment.oven]
name = "Oven"
places = 3
[services.lunch]
on = "2026-11-01"
starts = "12:00"
ends = "14:00"
covers = 10
[dishes.plate]
name = "Plate"
services = ["lunch"]
share = 1
plate = { crisp = "50 g", cake = "50 g" }
[preps.crisp]
name = "Crisp"
keeps = "1 day"
makes = "1 kg"
uses = { cream = "200 g" }
steps = [{ do = "Dry", hands_on = "30 min", wait = "5 h", equipment = "oven" }, { do = "Box", hands_on = "30 min" }]
[preps.cake]
name = "Cake"
keeps = "2 days"
makes = "1 kg"
uses = { cream = "200 g" }
steps = [{ do = "Bake", hands_on = "15 min", wait = "45 min", equipment = "oven" }]
[preps.cream]
name = "Cream"
keeps = "1 day"
makes = "1 kg"
sizes = { smallest = 0.5, step = 0.5 }
steps = [{ do = "Whip", hands_on = "1 h" }]
"""


def test_what_never_lasts_has_nothing_made_too_early_that_others_take_too(kitchen):
    """Crisp is begun before midnight and over at 04:00, for lunch: nobody makes it. Cream that it would take at 22:30
    would be over at midnight, before the cake takes of it."""
    board = kitchen(NIGHT).plan("2026-10-31 10:00")
    cream = [line for line in board.make if line.prep == "cream" and line.line.need.startswith("cake")]
    assert [(f"{line.begins:%d %H:%M}", {note.kind for note in line.notes} - {"over"}) for line in cream] == [
        ("01 02:30", set())
    ]


@pytest.mark.parametrize("moving", [True, False])
def test_what_came_late_and_lies_nowhere_is_placed_by_a_press_that_changes_nothing_else(kitchen, moving):
    """It was asked for late since somebody last pressed a key: the next press, whatever it is, gives it its place."""
    board = kitchen(book(("pie", HANDS), ("tart", HANDS))).plan("2026-10-31 17:30")
    last = max(board.make, key=lambda line: line.begins)
    nowhere = {**board.placing.placements, str(last.line): replace(board.placing.placements[str(last.line)], steps=())}
    after = plan(replace(kept(board), placements=nowhere), board.now, moving=moving)
    assert lie(after) == lie(board)


@settings(max_examples=drawn_of(6), deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 10**6), runs=st.integers(6, 14), which=st.integers(0, 100))
def test_what_is_placed_around_kept_runs_is_never_ten_weighed_minutes_worse_than_a_new_plan(seed, runs, which):
    board = plan(drawn(seed, runs, tight=True), NOW)
    places = dict(board.placing.placements)
    assume(places)
    places.pop(sorted(places)[which % len(places)])
    after = plan(replace(board.state, placements=places, placed_for="another"), NOW)
    assert faults(after) == []
    assert weighed(after) <= weighed(board) + 10


def weighed(board: Board) -> float:
    """Late minutes of what a sitting asks for, each by the part of its guests who want it: half of them, here."""
    asked = [line for line in board.make if any(use.run_of is None for use in line.serves)]
    return sum(line.late_minutes for line in asked if not line.too_late) / 2 + 10_000 * sum(
        line.too_late for line in asked
    )


@settings(max_examples=drawn_of(8), deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 10**6), runs=st.integers(4, 16), tight=st.booleans(), minutes=st.integers(1, 32 * 60))
def test_nothing_is_asked_for_that_is_not_there_however_long_nobody_begins(seed, runs, tight, minutes):
    board = plan(drawn(seed, runs, tight=tight), NOW)
    assert faults(plan(kept(board), NOW + timedelta(minutes=minutes))) == []


LATE_SAUCE = """
[stations.a]
name = "A"
[stations.b]
name = "B"
hours = "09:00-17:30"
[services.dinner]
name = "Dinner"
on = "2026-10-31"
starts = "17:30"
ends = "22:30"
counts = { pie = 10, salad = 10 }
[dishes.pie]
name = "Pie"
services = ["dinner"]
plate = { pie = "100 g" }
[dishes.salad]
name = "Salad"
services = ["dinner"]
plate = { salad = "100 g" }
[preps.pie]
name = "Pie"
station = "b"
makes = "1 kg"
keeps = "3 days"
uses = { sauce = "500 g" }
steps = [{ do = "Bake", hands_on = "6 h" }]
[preps.salad]
name = "Salad"
station = "b"
makes = "1 kg"
keeps = "3 days"
steps = [{ do = "Pick", hands_on = "1 h" }]
[preps.sauce]
name = "Sauce"
station = "a"
makes = "2 kg"
keeps = "3 days"
steps = [{ do = "Cook", hands_on = "1 h" }]
"""


@pytest.mark.parametrize("now", ["09:32", "09:45", "10:05"])
def test_a_main_whose_sauce_began_late_is_not_sent_to_tomorrow_while_the_day_can_hold_it(kitchen, moment, now):
    """Seven hours of one cook's work after the sauce, from 10:30 to 17:30: begun two minutes late, it goes first to the
    bench that the hour of salad has, and the salad before it."""
    board = kitchen(LATE_SAUCE).plan("2026-10-31 08:00")
    later = plan(kept(board), moment(f"2026-10-31 {now}"))
    memory.forget()
    assert [(line.prep, line.late_minutes) for line in later.make if line.late_minutes] == []
    assert {line.ready_at.day for line in later.make} == {31}


DAWN = """
[stations.dawn]
name = "Dawn"
hours = "05:00-06:00"
"""
"""Nobody is there for the rest of the day."""


@pytest.mark.parametrize("there", [True, False])
def test_what_lies_too_late_for_want_of_something_is_saved_by_the_press_that_says_it_is_there(kitchen, there):
    """At noon nobody can make stock before the next morning, nor ham before dinner is over. Stock that somebody counts
    then is over by that morning: where ham lies it does not help, and yet ham is made of it today; also where no place
    was found for it before, while a pie of another bench lies where it did."""
    pie = '{ do = "Work", hands_on = "1 h", station = "roast" }'
    text = book(("pie", pie), ("ham", HANDS)) + 'uses = { stock = "1 g" }\n' + DAWN
    text += STOCK.replace("roast", "dawn").replace("5 days", "8 h")
    at = kitchen(text)
    board = at.plan("2026-10-31 12:00")
    assert {line.prep: (f"{line.begins:%d %H:%M}", line.too_late) for line in board.make}["ham"] == ("01 08:00", True)
    state = replace(board.state, placements=board.placing.placements, placed_for=board.placing.digest)
    if there:
        at.on_hand("stock", "1 kg", "2026-10-31 20:00")
        state = replace(state, batches=at.plan("2026-10-31 12:00").state.batches)
    after = plan(state, board.now, moving=True)
    lies = {line.prep: (f"{line.begins:%d %H:%M}", line.too_late) for line in after.make}
    assert lies["ham"] == (("31 17:00", False) if there else ("01 08:00", True))
    homeless = {line for line in state.placements if line.startswith("ham")}
    kept_then = {line: lay for line, lay in state.placements.items() if line not in homeless}
    state = replace(state, placements=kept_then, nowhere=frozenset(homeless))
    after = plan(state, board.now, moving=True)
    ham = next(line for line in after.make if line.prep == "ham")
    assert (not ham.too_late and "cannot fit" not in {note.kind for note in ham.notes}) == there


def test_what_it_takes_itself_of_what_is_there_is_there_for_it(kitchen):
    """Ham lies too late for want of stock, and has the last of the brine. When somebody counts stock it is saved by
    that press: the brine that nobody else takes is its own."""
    text = book(("ham", HANDS)) + 'uses = { stock = "1 g", brine = "1 g" }\n' + DAWN
    text += STOCK.replace("roast", "dawn").replace("5 days", "8 h")
    text += '[preps.brine]\nname = "Brine"\nstation = "dawn"\nkeeps = "5 days"\nmakes = "1 kg"\n'
    text += 'steps = [{ do = "Stir", hands_on = "10 min" }]\n'
    at = kitchen(text)
    at.on_hand("brine", "1 g", "2026-11-02 20:00")
    board = at.plan("2026-10-31 12:00")
    assert {line.prep: line.too_late for line in board.make} == {"ham": True, "stock": True}
    state = replace(board.state, placements=board.placing.placements, placed_for=board.placing.digest)
    at.on_hand("stock", "1 kg", "2026-10-31 20:00")
    state = replace(state, batches=at.plan("2026-10-31 12:00").state.batches)
    (ham,) = plan(state, board.now, moving=True).make
    assert (f"{ham.begins:%d %H:%M}", ham.too_late) == ("31 17:00", False)


LAST_BRINE = """
[stations.roast]
name = "Roast"
[stations.dawn]
name = "Dawn"
hours = "08:00-09:00"
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
[dishes.ham]
name = "Ham"
services = ["dinner"]
share = 1
plate = { ham = "1 g" }
[dishes.pie]
name = "Pie"
services = ["lunch"]
share = 1
plate = { pie = "1 g" }
[preps.ham]
name = "Ham"
station = "roast"
keeps = "3 days"
makes = "1 kg"
uses = { stock = "1 g", brine = "1 g" }
steps = [{ do = "Roast", hands_on = "1 h" }]
[preps.pie]
name = "Pie"
station = "roast"
keeps = "3 days"
makes = "1 kg"
uses = { brine = "1 g" }
steps = [{ do = "Bake", hands_on = "4 h" }]
[preps.stock]
name = "Stock"
station = "dawn"
keeps = "8 h"
makes = "1 kg"
steps = [{ do = "Boil", hands_on = "30 min" }]
[preps.brine]
name = "Brine"
station = "roast"
keeps = "5 days"
makes = "1 kg"
steps = [{ do = "Stir", hands_on = "10 min", wait = "10 h" }]
"""


def test_what_others_take_later_of_what_is_there_saves_what_is_lost_without_it(kitchen):
    """Ham for dinner lies in the next morning for want of stock, behind the pie for lunch, which has the last of the
    brine. When somebody counts stock, that press gives the brine to the ham, and the pie has what is stirred then."""
    at = kitchen(LAST_BRINE)
    at.on_hand("brine", "1 g", "2026-11-02 20:00")
    board = at.plan("2026-10-31 12:00")
    assert {line.prep: line.too_late for line in board.make if line.prep in ("ham", "pie")} == {
        "ham": True,
        "pie": False,
    }
    state = replace(board.state, placements=board.placing.placements, placed_for=board.placing.digest)
    at.on_hand("stock", "1 kg", "2026-10-31 20:00")
    state = replace(state, batches=at.plan("2026-10-31 12:00").state.batches)
    lines = {line.prep: line for line in plan(state, board.now, moving=True).make}
    assert not lines["ham"].too_late
    assert not lines["pie"].late_minutes


WITH_CREAM = """
[stations.dawn]
name = "Dawn"
hours = "05:00-06:00"
[preps.cream]
name = "Cream"
station = "dawn"
keeps = "1 h"
makes = "1 kg"
steps = [{ do = "Whip", hands_on = "10 min" }]
"""


def test_what_lies_where_it_ends_before_anybody_takes_of_it_is_saved_by_the_next_press(kitchen, moment):
    """A pie takes cream at 17:00 that keeps an hour, and of which the kitchen kept that it is whipped at noon: by that
    neither is made, and time alone moves nothing."""
    text = book(("pie", HANDS)) + 'uses = { cream = "1 g" }\n' + WITH_CREAM.replace('"05:00-06:00"', '"08:00-23:00"')
    board = kitchen(text).plan("2026-10-31 10:00")
    assert lie(board) == {"pie": ["17:00"], "cream": ["16:50"]}
    noon = moment("2026-10-31 12:00")
    lies = {
        line: replace(
            one, steps=(replace(one.steps[0], begins=noon, hands_until=noon + HOUR / 6, ends=noon + HOUR / 6),)
        )
        for line, one in board.placing.placements.items()
        if line.startswith("cream")
    }
    state = replace(kept(board), placements={**board.placing.placements, **lies})

    def cannot_be(after: Board) -> set[str]:
        return {line.prep for line in after.make if "cannot fit" in {note.kind for note in line.notes}}

    assert cannot_be(plan(state, board.now)) == {"pie", "cream"}
    after = plan(state, board.now, moving=True)
    assert (lie(after), cannot_be(after)) == (lie(board), set())


def test_what_goes_into_two_is_needed_for_the_one_that_can_be_made(kitchen, moment):
    """Ham takes stock at 16:20, and cream that is over long before; the pie, of another cook, takes it at 17:20."""
    text = book(("ham", '{ do = "Roast", hands_on = "100 min", station = "roast" }'))
    text += 'uses = { stock = "1 g", cream = "1 g" }\n' + STOCK.replace("roast", "sauce")
    text += PREP.format(name="pie", steps='{ do = "Work", hands_on = "40 min" }') + 'uses = { stock = "1 g" }\n'
    text += WITH_CREAM
    text = text.replace('name = "Roast"\n', 'name = "Roast"\nhours = "14:00-23:00"\n')
    board = kitchen(text).plan("2026-10-31 05:00")
    lines = {line.prep: line for line in board.make}
    never = {prep for prep, line in lines.items() if "cannot fit" in {note.kind for note in line.notes}}
    assert never == {"ham", "cream"}
    assert [use.run_of for use in lines["stock"].serves] == ["ham", "pie"]
    assert lines["ham"].begins == moment("2026-10-31 16:20")
    assert lines["stock"].ready_by == lines["pie"].begins == moment("2026-10-31 17:20")


def test_what_only_a_line_takes_that_cannot_be_made_pushes_nobody_when_its_time_is_over(kitchen, moment):
    """Ham takes stock of one cook, and cream that is over long before it: nobody makes any of them. When the time of
    its stock is over a pie of the same cook stays where it lies, in time."""
    ham = '{ do = "Roast", hands_on = "10 min", station = "roast" }'
    text = book(("ham", ham)) + 'uses = { stock = "1 g", cream = "1 g" }\n' + STOCK.replace("roast", "sauce")
    text += PREP.format(name="pie", steps='{ do = "Work", hands_on = "2 h" }') + WITH_CREAM
    text = text.replace("10 min", "50 min").replace('name = "Roast"\n', 'name = "Roast"\nhours = "14:00-23:00"\n')
    board = kitchen(text).plan("2026-10-31 05:00")
    assert {
        line.prep: [dict(note.facts) for note in line.notes if note.kind == "cannot fit"] for line in board.make
    } == {
        "cream": [{"why": "life"}],
        "ham": [{"why": "without", "item": "cream"}],
        "stock": [{"why": "for", "item": "ham"}],
        "pie": [],
    }
    assert (lie(board)["stock"], lie(board)["pie"]) == (["15:10"], ["16:00"])
    for at in ("2026-10-31 15:30", "2026-10-31 15:50"):
        later = plan(kept(board), moment(at))
        assert lie(later) == lie(board)
        assert {line.prep: line.late_minutes for line in later.make}["pie"] == 0


CREAM = """
[stations.hot]
name = "Hot"
[stations.early]
name = "Early"
hours = "05:00-09:00"
[stations.cold]
name = "Cold"
hours = "14:00-22:00"
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
[dishes.tart]
name = "Tart"
services = ["dinner"]
share = 1
plate = { tart = "100 g" }
[preps.pie]
name = "Pie"
station = "early"
keeps = "2 days"
makes = "1 kg"
uses = { cream = "200 g" }
steps = [{ do = "Set", hands_on = "5 min", wait = "8 h" }]
[preps.tart]
name = "Tart"
station = "hot"
keeps = "2 days"
makes = "1 kg"
uses = { cream = "200 g" }
steps = [{ do = "Fill", hands_on = "1 h" }]
[preps.cream]
name = "Cream"
station = "cold"
keeps = "4 h"
makes = "1 kg"
steps = [{ do = "Whip", hands_on = "1 h" }]
"""
"""The cream is whipped from 14:00 to 22:00 and keeps four hours: none is there for the pie, which is begun by 9:00."""


@pytest.mark.parametrize("moving", [False, True], ids=["looked at", "pressed"])
@pytest.mark.parametrize("at", ["2026-10-30 21:30", "2026-10-31 02:00", "2026-10-31 09:30"])
def test_what_nobody_will_make_gives_nothing_to_others_once_its_time_is_over(kitchen, moment, at, moving):
    """The pie's cream lay at 21:00, for nobody. Begun now it would be that of 14:00, and do for the tart: the tart's
    own was no longer asked for, and the tart could not be made."""
    board = kitchen(CREAM).plan("2026-10-30 15:00")
    first = {str(line.line): line for line in board.make}
    assert lie(board)["tart"] == ["17:00"]
    later = {str(line.line): line for line in plan(kept(board), moment(at), moving=moving).make}
    assert later.keys() == first.keys()
    never = {line.prep for line in later.values() if "cannot fit" in {note.kind for note in line.notes}}
    assert never == {"cream", "pie"}
    for line in ("cream#0@tart#0@dinner.2026-10-31", "tart#0@dinner.2026-10-31"):
        assert later[line].steps == first[line].steps
        assert {note.kind for note in later[line].notes} == {note.kind for note in first[line].notes}
