"""Making way for what is late is tried as often as is worth it: in a hotel hundreds of runs are late at once."""

from __future__ import annotations

from datetime import timedelta
from types import SimpleNamespace

import pytest
from msgspec.structs import replace
from random_kitchens import NOW
from random_kitchens import kitchen as drawn

from prepboard.plan import outline
from prepboard.plan.board import plan
from prepboard.plan.floor import pinned
from prepboard.plan.given.state import Stay
from prepboard.plan.solver.jobs import Feed, Job, JobStep, Pool, PoolUse
from prepboard.plan.solver.lanes import Lane
from prepboard.plan.solver.rivals import Rivals
from prepboard.plan.solver.schedule import Schedule


@pytest.fixture
def tried(monkeypatch):
    """The late runs for which others were to make way."""
    found = []
    make_way = Rivals.make_way

    def counted(self, index):
        found.append(index)
        make_way(self, index)

    monkeypatch.setattr(Rivals, "make_way", counted)
    return found


def press_when_all_is_late() -> None:
    """A kitchen in which nobody began anything for three hours, and then somebody presses a key."""
    state = drawn(7, 24, tight=True)
    board = plan(state, NOW, moving=True)
    kept = replace(state, placements=board.placing.placements, placed_for=board.placing.digest)
    plan(kept, NOW + timedelta(hours=7), moving=True)


def test_so_many_are_tried_as_fit_into_the_placements_that_it_may_cost(tried, monkeypatch):
    press_when_all_is_late()
    every = len(tried)
    tried.clear()
    monkeypatch.setattr(pinned, "MOST_PLACED", 1)
    press_when_all_is_late()
    assert 0 < len(tried) < every


def test_what_came_late_is_no_later_for_another_that_came_with_it():
    """One cook, from now on: an hour's work lies before twenty minutes of it, and each waits then. The other way round
    forty minutes less would be late, but boards said already when each is ready."""
    cook = Pool((Lane(1, 400),))
    hour = Job((JobStep(60, demands=(PoolUse(cook),)), JobStep(0, 10)), 20, (0, 0), alone=-50)
    short = Job((JobStep(20, demands=(PoolUse(cook),)), JobStep(0, 60)), 15, (0, 0), alone=-65)
    schedule = Schedule([hour, short], 400)
    for index in (1, 0):
        schedule.place(index)
    assert [cost for cost, _ in schedule.costs] == [70, 65]
    for index in (0, 1):
        schedule.take_out(index)
    for index in (0, 1):
        schedule.place(index)
    assert [cost for cost, _ in schedule.costs] == [50, 125]
    assert pinned.make_room(schedule, (), [0, 1], 0) == []
    assert [cost for cost, _ in schedule.costs] == [50, 125]


@pytest.mark.parametrize(("soon", "begins"), [(100, [60, 0]), (101, [160, 100])], ids=["later", "within the hour"])
def test_what_begins_within_the_hour_makes_way_for_nothing(soon, begins):
    """One cook. An hour's work that came within the plan's span is two hours late behind another one that could be
    sooner, and in time."""
    cook = Pool((Lane(1, 400),))
    work = JobStep(60, demands=(PoolUse(cook),))
    new, other = Job((work,), 120, (60,), alone=60), Job((work,), 160, (0,), alone=100)
    schedule = Schedule([new, other], 400)
    schedule.book(1, (100,), (((0,),),))
    schedule.place(0)
    assert pinned.make_room(schedule, {1}, [0], soon) == ([1] if soon == 100 else [])
    assert [lies.begins[0] for lies in schedule.booked] == begins


def test_what_is_about_to_begin_begins_then_and_its_later_steps_move_for_what_is_late():
    """One cook. Ten minutes' work is about to begin, waits for hours and is finished ten minutes later; an hour's work
    would be half an hour late behind that, and would rather begin where the first does."""
    cook = Pool((Lane(1, 1000),))
    work = (PoolUse(cook),)
    soon = Job((JobStep(10, 60, 500, work), JobStep(10, demands=work)), 400, (0, 0), weight=100, alone=320)
    long = Job((JobStep(60, 200, 200, work),), 540, (280,), weight=100, alone=280)
    short = Job((JobStep(10, demands=work),), 110, (100,), weight=100, alone=100)
    schedule = Schedule([soon, long, short], 1000)
    schedule.book(0, (100, 300), (((0,),), ((0,),)))
    schedule.place(1)
    schedule.place(2)
    assert [lies.begins[0] for lies in schedule.booked] == [100, 310, 110]
    pinned._all_anew(schedule, [0, 1, 2], {0: schedule.booked[0]}, pinned.Effort(4, 500))
    assert [lies.begins[0] for lies in schedule.booked] == [100, 280, 110]
    assert [cost for cost, _ in schedule.costs] == [0, 0, 1000]
    assert schedule.booked[0].end <= 400


def test_what_is_lost_for_it_is_in_nobodys_way():
    """One cook and two dishes, of which one only is there before its guests have gone: the other one is less late. What
    was made first then comes too late, and after what is needed tomorrow, which it would keep waiting."""
    cook = Pool((Lane(1, 400),))
    gone = {"lost_from": 80, "lost": 10**6, "no_use_from": 80}
    stew = Job((JobStep(45, demands=(PoolUse(cook),)),), 0, (0,), weight=50, alone=-45, **gone)
    roast = Job((JobStep(40, 30, demands=(PoolUse(cook),)),), 0, (0,), weight=50, alone=-70, **gone)
    dough = Job((JobStep(40, demands=(PoolUse(cook),)),), 85, (0,), weight=100, alone=45)
    schedule = Schedule([stew, roast, dough], 400)
    for index in (1, 2, 0):
        schedule.place(index)
    assert [lies.begins[0] for lies in schedule.booked] == [85, 0, 45]
    Rivals(schedule, range(3)).make_way(0)
    assert [lies.begins[0] for lies in schedule.booked] == [0, 85, 45]


@pytest.mark.parametrize("until", [100, 101], ids=["guests have gone", "the last guests take it"])
def test_nothing_waits_for_what_nobody_has_any_use_for_any_more(until):
    """One cook and a roast that was placed first, and is over when its guests have gone: half an hour's work that is
    late behind it is begun at once."""
    cook = Pool((Lane(1, 400),))
    roast = Job((JobStep(100, demands=(PoolUse(cook),)),), 80, (0,), weight=50, lost_from=until, no_use_from=until)
    dish = Job((JobStep(30, demands=(PoolUse(cook),)),), 20, (0,), alone=-10)
    schedule = Schedule([roast, dish], 400)
    schedule.book(0, (0,), (((0,),),))
    schedule.place(1)
    pinned._close_up(schedule, [0, 1])
    assert [lies.begins[0] for lies in schedule.booked] == ([30, 0] if until == 100 else [0, 100])


@pytest.mark.parametrize(("minutes", "lies"), [(0, [20, 40]), (500, [60, 0])], ids=["can be made", "fits nowhere"])
def test_nobody_makes_way_for_what_cannot_be_made(minutes, lies):
    """One cook. Soup, twenty minutes, waits for an hour's work on something else that could be later and in time; what
    goes into the soup takes no time, or more than anybody has."""
    cook = Pool((Lane(1, 400),))
    work = (PoolUse(cook),)
    soup = Job((JobStep(20, demands=work),), 40, (0,), weight=10, alone=20, feeds=(Feed(2, 0),))
    other = Job((JobStep(60, demands=work),), 100, (0,), alone=40)
    stock = Job((JobStep(minutes, demands=work),), 0, (0,), weight=0)
    schedule = Schedule([soup, other, stock], 400)
    schedule.place(2)
    schedule.book(1, (0,), (((0,),),))
    schedule.place(0)
    assert [there.begins[0] for there in schedule.booked[:2]] == [60, 0]
    Rivals(schedule, range(3)).make_way(0)
    assert [there.begins[0] for there in schedule.booked[:2]] == lies


def test_what_is_new_lies_as_well_as_the_next_press_would_have_it_and_moves_nobody_else():
    """One cook, who is about to begin half an hour's work that could be later, and one oven. Of a pie, an hour's work,
    and ten minutes' rolls, both new and an hour in the oven, 100 minutes less are late if the rolls come first: a press
    found that, and made what boards had said of the pie untrue."""
    cook, oven = Pool((Lane(1, 600),)), Pool((Lane(1, 600),))
    work, bakes = (PoolUse(cook),), JobStep(0, 60, 60, (PoolUse(oven),))
    pie = Job((JobStep(60, demands=work), bakes), 50, (0, 0), alone=-70)
    rolls = Job((JobStep(10, demands=work), bakes), 80, (0, 0), alone=10)
    other = Job((JobStep(30, demands=work),), 300, (0,), alone=270)
    schedule = Schedule([pie, rolls, other], 600)
    schedule.book(2, (0,), (((0,),),))
    floor = SimpleNamespace(state=SimpleNamespace(placements={}, nowhere=()))
    runs = [SimpleNamespace(name=name, line=name) for name in ("pie", "rolls", "other")]
    pinned.place_around(schedule, {2}, runs, floor, set(), NOW)
    assert [there.begins[0] for there in schedule.booked] == [40, 30, 0]
    assert [cost for cost, _ in schedule.costs] == [110, 20, 0]


def test_a_press_with_more_late_than_must_be_also_plans_around_what_begins_within_the_hour_where_it_lies_by_then(
    monkeypatch,
):
    """A drawn kitchen with a bench that nobody works at any more today: what the press moved up begins within the hour,
    too, and a plan around that may be better than one around what began then before."""
    tries, search = [], outline._or_from_nothing

    def tried(found, state, *more):
        tries.append((state.placements, found[1].placements))
        return search(found, state, *more)

    state, at = drawn(1, 7, tight=True), NOW + timedelta(hours=29)
    board = plan(state, NOW)
    kept = replace(state, placements=board.placing.placements, placed_for=board.placing.digest)
    monkeypatch.setattr(outline, "_or_from_nothing", tried)
    plan(replace(kept, hands={("bench0", NOW.date()): 0}), at, moving=True)
    (first, _), (second, lie) = tries
    assert second == lie
    assert second != first


BROTH = """
[stations.roast]
name = "Roast"
[stations.dawn]
name = "Dawn"
hours = "05:00-06:00"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10
[dishes.ham]
name = "Ham"
services = ["dinner"]
share = 1
plate = { ham = "100 g" }
[preps.ham]
name = "Ham"
station = "roast"
keeps = "5 days"
makes = "1 kg"
uses = { stock = "1 g" }
steps = [{ do = "Roast", hands_on = "1 h" }]
[preps.stock]
name = "Stock"
station = "dawn"
keeps = "8 h"
makes = "1 kg"
steps = [{ do = "Simmer", hands_on = "10 min" }]
"""


@pytest.mark.parametrize("settled", [True, False])
def test_a_press_takes_no_plan_from_nothing_that_does_not_come_out_as_itself(kitchen, monkeypatch, settled):
    """Somebody counts stock, and the ham that was lost without it is made today: a plan from nothing has it so. Of one
    whose needs and places chase each other nobody knows what the next board would show."""
    at = kitchen(BROTH)
    board = at.plan("2026-10-31 12:00")
    at.on_hand("stock", "1 kg", "2026-10-31 20:00")
    state = replace(board.state, placements=board.placing.placements, placed_for=board.placing.digest)
    state = replace(state, batches=at.plan("2026-10-31 12:00").state.batches)
    lay_out, laid = outline._laid_out, []

    def laid_out(*given, **how):
        needs, placing, floor = lay_out(*given, **how)
        laid.append(placing)
        return needs, replace(placing, settled=settled or len(laid) == 1), floor

    monkeypatch.setattr(outline, "_laid_out", laid_out)
    (ham,) = [line for line in plan(state, board.now, moving=True).make if line.prep == "ham"]
    assert ham.too_late is not settled
    assert len(laid) > 1


TART = """
[stations.pastry]
name = "Pastry"
hours = "08:00-23:00"
[stations.cold]
name = "Cold"
hours = "07:00-22:00"
[services.lunch]
on = "2026-11-01"
starts = "12:00"
ends = "14:00"
covers = 10
[dishes.tart]
name = "Tart"
services = ["lunch"]
share = 1
plate = { tart = "100 g" }
[preps.tart]
name = "Tart"
station = "pastry"
keeps = "1 day"
makes = "1 kg"
uses = { filling = "100 g" }
steps = [{ do = "Fill", hands_on = "5 min", wait = "4 h 30 min" }]
[preps.filling]
name = "Filling"
station = "cold"
keeps = { frozen = "30 days", chilled = "2 days" }
thaw = "4 h"
store = "frozen"
makes = "1 kg"
sizes = { smallest = 0.5, step = 0.5 }
steps = [{ do = "Stir", hands_on = "45 min", wait_up_to = "30 days" }]
"""


def test_what_could_be_saved_is_planned_from_nothing_until_needs_and_places_agree(kitchen, moment):
    """A tart that lies too late for lunch, and frozen filling for it. From nothing it is reckoned to begin last night,
    when nothing was thawed: so it waits for new filling. Where it lies then there is some, and it begins at eight."""
    at = kitchen(TART)
    frozen = Stay("frozen", moment("2026-10-30 12:00"))
    at.on_hand("filling", "100 g", "2026-11-20 20:00", store="frozen", place="frozen", stays=(frozen,))
    board = at.plan("2026-11-01 00:22")
    assert [f"{line.begins:%H:%M}" for line in board.make] == ["08:00"]
    ((line, lies),) = board.placing.placements.items()
    late = timedelta(hours=3, minutes=40)
    steps = [
        replace(one, begins=one.begins + late, hands_until=one.hands_until + late, ends=one.ends + late)
        for one in lies.steps
    ]
    state = replace(board.state, placements={line: replace(lies, steps=tuple(steps))}, placed_for=board.placing.digest)
    assert [(f"{tart.begins:%H:%M}", tart.too_late) for tart in plan(state, board.now).make] == [("11:40", True)]
    pressed = plan(state, board.now, moving=True)
    assert [(f"{tart.begins:%H:%M}", tart.too_late) for tart in pressed.make] == [("08:00", False)]


JAM = """
[stations.night]
name = "Night"
hours = "20:00-05:00"
[stations.day]
name = "Day"
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 10
[dishes.tart]
name = "Tart"
services = ["dinner"]
share = 1
plate = { tart = "100 g" }
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = "100 g" }
[preps.tart]
name = "Tart"
station = "night"
keeps = "2 days"
makes = "1 kg"
uses = { jam = "100 g" }
steps = [{ do = "Fill", hands_on = "25 min" }]
[preps.pie]
name = "Pie"
station = "day"
keeps = "2 days"
makes = "1 kg"
uses = { jam = "100 g" }
steps = [{ do = "Fill", hands_on = "45 min" }]
[preps.jam]
name = "Jam"
station = "day"
keeps = "2 days"
makes = "1 kg"
steps = [{ do = "Boil", hands_on = "10 min", wait = "3 h" }]
"""


def test_what_is_late_for_want_of_what_others_have_made_when_they_want_it_has_its_own(kitchen, moment):
    """Jam for a pie of the day bench, boiled just in time for it, and a tart of the night bench that takes of it: late,
    since that bench is gone by then. A press has the jam boiled the night before, for both."""
    board = kitchen(JAM).plan("2026-10-30 11:00")
    assert {line.prep: f"{line.begins:%d %H:%M}" for line in board.make}["tart"] == "31 04:35"
    lies = {}
    for line, lay in board.placing.placements.items():
        to = {"tart": "20:00", "jam": "14:05", "pie": "17:15"}[line.partition("#")[0]]
        late = moment(f"2026-10-31 {to}") - lay.steps[0].begins
        (step,) = lay.steps
        there = replace(step, begins=step.begins + late, hands_until=step.hands_until + late, ends=step.ends + late)
        lies[line.replace("jam#0@tart#0", "jam#0@pie#0")] = replace(lay, steps=(there,))
    state = replace(board.state, placements=lies, placed_for=board.placing.digest)
    late_by = {line.prep: line.late_minutes for line in plan(state, board.now).make}
    assert late_by == {"jam": 0, "pie": 0, "tart": 145}
    pressed = plan(state, board.now, moving=True)
    assert [line.late_minutes for line in pressed.make] == [0, 0, 0]
    assert {line.prep: f"{line.begins:%d %H:%M}" for line in pressed.make}["jam"] == "31 01:25"
