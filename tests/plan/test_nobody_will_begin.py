"""What nobody will begin, since it cannot be made or is too late, is placed around all else and moves nobody."""

from __future__ import annotations

from datetime import datetime, timedelta
from fractions import Fraction

import pytest
from days.obedient import COOK, opened
from msgspec.structs import replace
from random_kitchens import NOW, TWO_A_DAY, text_of

from prepboard.book.reading.reader import read_texts
from prepboard.plan.board import plan
from prepboard.plan.floor import placing
from prepboard.plan.floor.too_late import hopeless, lasts
from prepboard.plan.given.state import Placed, Placement, State
from prepboard.plan.memory import forget
from prepboard.plan.outline import lies_in, lost, outline
from prepboard.plan.planner import Planner
from prepboard.plan.runs.runs import RunTimes
from prepboard.store.actions.food.making import start
from prepboard.store.actions.food.stock import count

SOUP_AND_PIE = """
[stations.sauce]
name = "Sauce"
[stations.pastry]
name = "Pastry"
hours = "08:00-15:00, 16:00-23:00"
[stations.stocks]
name = "Stocks"
hours = "16:00-21:00"
[stations.soups]
name = "Soups"
hours = "09:00-18:00"
[stations.hot]
name = "Hot"
hours = "06:00-14:00"
[services.dinner]
name = "Dinner"
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 40
[services.lunch]
name = "Lunch"
on = "2026-11-01"
starts = "12:00"
ends = "14:00"
covers = 40
[dishes.soup]
name = "Soup"
services = ["dinner"]
share = 0.5
plate = { soup = "50 g" }
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 0.5
plate = { pie = "50 g" }
[dishes.cake]
name = "Cake"
services = ["lunch"]
share = 0.5
plate = { cake = "50 g" }
[preps.soup]
name = "Soup"
station = "soups"
keeps = "1 day"
makes = "2 kg"
uses = { stock = "200 g" }
steps = [{ do = "Cook", hands_on = "1 h" }]
[preps.pie]
name = "Pie"
station = "hot"
keeps = "1 day"
makes = "2 kg"
uses = { stock = "200 g", crust = "200 g" }
steps = [{ do = "Bake", hands_on = "10 min", wait = "3 h" }]
[preps.cake]
name = "Cake"
station = "pastry"
keeps = "2 days"
makes = "2 kg"
uses = { crust = "200 g" }
steps = [{ do = "Bake", hands_on = "10 min", wait = "8 h", wait_up_to = "12 h" }]
[preps.crust]
name = "Crust"
station = "pastry"
keeps = "1 day"
makes = "2 kg"
uses = { eggs = "200 g" }
steps = [{ do = "Roll", hands_on = "10 min", wait = "6 h" }]
[preps.eggs]
name = "Eggs"
station = "sauce"
keeps = "30 h"
makes = "2 kg"
steps = [{ do = "Beat", hands_on = "1 h" }]
[preps.stock]
name = "Stock"
station = "stocks"
keeps = "2 days"
makes = "2 kg"
steps = [{ do = "Simmer", hands_on = "10 min", wait = "6 h" }]
"""
"""Pie and soup take of one stock, made the evening before, which lasts to the end of the day. No crust lasts until its
pie is baked: the pie cannot be made."""


def test_what_cannot_be_made_has_nothing_made_later_so_that_it_lasts_for_it(kitchen, moment):
    """Lunch comes within the plan's span and takes the eggs of the crust that the pie would have taken: the pie lies
    elsewhere, the next morning. The stock was made later for it, and the soup, in time until then, was lost."""
    small = kitchen(SOUP_AND_PIE)
    early = moment("2026-10-30 05:00")
    first = plan(small.state, early)
    kept = replace(small.state, placements=first.placing.placements, placed_for=first.placing.digest, placed_at=early)
    kept = replace(kept, lost=lies_in(outline(small.state, early)).lost)
    then = plan(kept, moment("2026-10-30 12:00"))
    assert any(line.line.need == "lunch.2026-11-01" for line in then.make)
    lies = [{line.prep: line for line in board.make if line.prep in ("soup", "pie")} for board in (first, then)]
    assert lies[1]["pie"].too_late
    assert lies[1]["soup"].begins == lies[0]["soup"].begins == moment("2026-10-31 17:00")
    assert not lies[1]["soup"].late_minutes


def test_what_takes_of_what_lies_nowhere_is_lost_with_it(kitchen, moment):
    """Soup and pie take of one stock: where no place was found for that, neither is for anybody, wherever they lie."""
    found = outline(kitchen(SOUP_AND_PIE).state, moment("2026-10-30 05:00"))
    lies = found.placing.placements
    stock = [line for line in lies if line.startswith("stock#")]
    assert "soup#0@dinner.2026-10-31" not in lost(found.needs, found.placing, found.run_times)
    without = replace(found.placing, placements={line: one for line, one in lies.items() if line not in stock})
    assert {*stock, "soup#0@dinner.2026-10-31"} <= lost(found.needs, without, found.run_times)


def test_what_slips_until_nobody_has_any_use_for_it_loses_nobody_else(moment):
    """A drawn kitchen in which nobody begins anything: in the afternoon p0 comes when dinner is over, wherever it lies.
    Its own sauce took the hands that p1 needs, and p1 was lost with it; now p1 is an hour late."""
    book = read_texts({"book.toml": text_of(182, 5, tight=True, strict=True, sittings=TWO_A_DAY)})
    first = plan(State(book), NOW)
    kept = replace(State(book), placements=first.placing.placements, placed_for=first.placing.digest)
    then = {line.prep: line for line in plan(kept, moment("2026-10-31 12:28")).make if "dinner" in line.line.need}
    assert (then["p0"].too_late, then["p1"].too_late) == (True, False)
    assert then["p1"].late_minutes == 59


CREAM_FOR_TWO = """
[stations.hot]
name = "Hot"
[stations.stocks]
name = "Stocks"
hours = "09:00-10:00"
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
[preps.pie]
name = "Pie"
station = "hot"
keeps = "2 days"
makes = "1 kg"
uses = { cream = "100 g", stock = "100 g" }
steps = [{ do = "Fill", hands_on = "1 h" }]
[preps.tart]
name = "Tart"
station = "hot"
keeps = "2 days"
makes = "1 kg"
uses = { cream = "100 g" }
steps = [{ do = "Fill", hands_on = "1 h" }]
[preps.cream]
name = "Cream"
station = "hot"
keeps = "1 day"
makes = "1 kg"
sizes = { smallest = 0.5, step = 0.5 }
steps = [{ do = "Whip", hands_on = "1 h" }]
[preps.stock]
name = "Stock"
station = "stocks"
keeps = "2 days"
makes = "1 kg"
steps = [{ do = "Warm", hands_on = "30 min" }]
[preps.salad]
name = "Salad"
station = "hot"
keeps = "3 days"
makes = "1 kg"
"""


def test_what_only_comes_tomorrow_has_nothing_made_later_for_it_that_others_have_tonight(kitchen, moment):
    """Cream for tart and pie, which keeps to the end of the day; nobody warmed the pie's stock while its bench was
    open, so that there is no pie before tomorrow. The cream was whipped tomorrow too, and tonight's tart with it."""
    first = kitchen(CREAM_FOR_TWO).plan("2026-10-31 08:00")
    kept = replace(first.state, placements=first.placing.placements, placed_for=first.placing.digest)
    lies = {line.prep: line for line in plan(kept, moment("2026-10-31 10:30")).make}
    assert lies["pie"].begins == moment("2026-11-01 09:30")
    was = {line.prep: line for line in first.make}
    assert [lies[prep].begins for prep in ("cream", "tart")] == [was[prep].begins for prep in ("cream", "tart")]
    assert not lies["tart"].late_minutes


@pytest.mark.parametrize(
    ("at", "slipped"),
    [("09:20", []), ("09:40", ["stock#0@pie#0@dinner.2026-10-31"])],
    ids=["the stock is to be warmed still", "the pie was lost with it"],
)
def test_what_was_lost_since_for_want_of_somebody_who_began_it_is_news_to_a_press(tmp_path, monkeypatch, at, slipped):
    """Nobody warmed the pie's stock: the next press, which does nothing else that boards do not say, may place all
    else for the sake of what can be there."""
    news, lies = [], Planner.where_runs_lie

    def told(planner, state, now, moving):
        found = lies(planner, state, now, moving)
        if moving:
            news.append((sorted(state.slipped), found.news))
        return found

    file = opened(tmp_path, 'time_zone = "UTC"\nrules = "food-code-2022"\n' + CREAM_FOR_TWO, NOW)
    monkeypatch.setattr(Planner, "where_runs_lie", told)
    try:
        file.clock.at = datetime.fromisoformat(f"2026-10-31T{at}+00:00")
        count(file, COOK, "salad", 10**9, made_at=file.clock.at)
    finally:
        file.close()
    assert news == [(slipped, bool(slipped))]


ONE_STOCK = """
time_zone = "UTC"
day_starts = "04:00"
rules = "food-code-2022"
[stations.bakers]
name = "Bakers"
hours = "10:00-12:00"
[stations.stocks]
name = "Stocks"
hours = "07:00-20:00"
[services.dinner]
name = "Dinner"
on = "2026-10-31"
starts = "19:00"
ends = "22:00"
covers = 40
[dishes.soup]
name = "Soup"
services = ["dinner"]
share = 0.5
plate = { soup = "50 g" }
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 0.5
plate = { pie = "50 g" }
[preps.soup]
name = "Soup"
station = "stocks"
keeps = "1 day"
makes = "2 kg"
uses = { stock = "200 g" }
steps = [{ do = "Cook", hands_on = "1 h" }]
[preps.pie]
name = "Pie"
station = "bakers"
keeps = "1 day"
makes = "2 kg"
uses = { stock = "200 g" }
steps = [{ do = "Bake", hands_on = "10 min", wait = "3 h" }]
[preps.stock]
name = "Stock"
station = "stocks"
keeps = "1 day"
makes = "2 kg"
steps = [{ do = "Simmer", hands_on = "10 min", wait = "6 h" }]
"""
"""Stock lasts to the end of its day: what simmers the evening before is none any more when the bakers begin, and
what is begun in the morning is ready when they have gone."""


def test_that_the_stock_of_what_cannot_be_made_is_not_asked_for_any_more_is_no_news(tmp_path, monkeypatch):
    """The soup's stock is begun as the board says; while that simmers none of its own is asked for the pie. All else
    was placed anew for it."""
    file = opened(tmp_path, ONE_STOCK, NOW)
    foreseen = []
    real = placing.as_foreseen
    monkeypatch.setattr(placing, "as_foreseen", lambda *given: foreseen.append(real(*given)) or foreseen[-1])
    try:
        (soup,) = [line for line in plan(file.read(), NOW).make if str(line.line).startswith("stock#0@soup")]
        file.clock.at = soup.begins
        before = plan(file.read(), soup.begins).make
        foreseen.clear()
        start(file, COOK, "stock", soup.size, soup.line)
    finally:
        file.close()
    (pie,) = [line for line in before if line.prep == "pie"]
    assert {note.kind for note in pie.notes} >= {"cannot fit"}
    assert not pie.too_late
    assert foreseen
    assert all(foreseen)


DRESSING = """
[stations.night]
name = "Night"
hours = "22:00-03:00"
[stations.day]
name = "Day"
hours = "09:00-19:00"
[services.dinner]
name = "Dinner"
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 40
[services.lunch]
name = "Lunch"
on = "2026-11-01"
starts = "12:00"
ends = "14:00"
covers = 40
[dishes.toast]
name = "Toast"
services = ["dinner"]
share = 0.5
plate = { toast = "50 g" }
[dishes.salad]
name = "Salad"
services = ["lunch"]
share = 0.5
plate = { salad = "50 g" }
[preps.toast]
name = "Toast"
station = "night"
keeps = "1 day"
makes = "2 kg"
uses = { dressing = "200 g" }
steps = [{ do = "Toast", hands_on = "10 min" }]
[preps.salad]
name = "Salad"
station = "day"
keeps = "1 day"
makes = "2 kg"
uses = { dressing = "200 g" }
steps = [{ do = "Mix", hands_on = "10 min" }]
[preps.dressing]
name = "Dressing"
station = "night"
keeps = "1 day"
makes = "2 kg"
steps = [{ do = "Stir", hands_on = "10 min", wait = "20 min" }]
"""
"""The dressing for the salad is good to the end of the business day in which it is stirred, and nobody stirs any in the
hours of the next one before the salad is mixed."""


def test_what_was_made_for_it_and_lasts_for_another_alone_leaves_it_without(kitchen, moment):
    """Toast that comes too late for dinner takes of that dressing at night, while it lasts: the salad was said to be
    ready all the same."""
    planned = outline(kitchen(DRESSING).state, moment("2026-10-31 10:00")).needs.planned
    dressing = next(run for run in planned if run.name.startswith("dressing#0@salad"))
    by_name = {run.name.partition("@")[0]: run for run in planned if run.name.count("@") == 1}
    assert {run.name: lacks for run, lacks in hopeless(planned, lasts)} == {
        dressing.name: "",
        by_name["salad#0"].name: "dressing",
    }
    (toast,) = by_name["toast#0"].takes
    toast.ready_by = dressing.lots["dressing"].there + timedelta(minutes=20)
    assert toast.ready_by < dressing.lots["dressing"].good_until < dressing.ready_by
    dressing.draw.append(toast)
    assert {run.name: lacks for run, lacks in hopeless(planned, lasts)} == {by_name["salad#0"].name: "dressing"}


PIE_AND_SAUCE = """
[stations.sauce]
name = "Sauce"
hours = "09:00-23:30"
[services.dinner]
name = "Dinner"
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 40
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 0.5
plate = { pie = "50 g" }
[preps.pie]
name = "Pie"
station = "sauce"
keeps = "4 days"
makes = "2 kg"
uses = { sauce = "200 g" }
steps = [{ do = "Bake", hands_on = "25 min", wait = "7 h" }]
[preps.sauce]
name = "Sauce"
station = "sauce"
keeps = "1 day"
makes = "2 kg"
steps = [{ do = "Reduce", hands_on = "15 min", wait = "90 min" }]
"""
"""Sauce that is reduced by midnight lasts to midnight, and what is reduced after it to the end of the business day."""


def test_what_nobody_will_begin_lasts_from_where_it_lies_also_in_the_first_plan_after_a_press(kitchen, moment):
    """The pie lies in the next morning, lost, and its sauce where it was to be begun at 14:27: whoever looked after the
    press that kept them there was told that it lasts until four, as if it could be begun as late as ever."""

    def lies(begins: str, ends: str) -> Placement:
        step = Placed(0, moment(begins), moment(begins), moment(ends))
        return Placement(Fraction(1), moment("2026-10-31 18:00"), None, (step,))

    lying = {
        "pie#0@dinner.2026-10-31": lies("2026-11-01 10:20", "2026-11-01 17:45"),
        "sauce#0@pie#0@dinner.2026-10-31": lies("2026-10-31 14:27", "2026-10-31 16:12"),
    }
    state, now = replace(kitchen(PIE_AND_SAUCE).state, placements=lying), moment("2026-10-31 15:56")
    pressed = plan(state, now)
    forget()
    after = plan(replace(state, placed_for=pressed.placing.digest), now)
    for board in (pressed, after):
        (sauce,) = [line for line in board.make if line.prep == "sauce"]
        (lasts_to,) = [note.facts["until"] for note in sauce.notes if note.kind == "not good long enough"]
        assert lasts_to == moment("2026-11-01 00:00")
    assert after.make == pressed.make


@pytest.mark.parametrize("name", ["pie#0@dinner.2026-10-31", "sauce#0@pie#0@dinner.2026-10-31"])
def test_what_was_lost_when_it_was_kept_is_reckoned_from_where_it_lay_whoever_looks(kitchen, moment, name):
    """Nobody begins a lost pie, or its sauce: reckoned as if they were begun now, others would be given of them, and
    they would take what others have. What is not lost is begun now."""
    at = moment("2026-10-31 14:27")
    lies = {name: Placement(Fraction(1), None, None, (Placed(0, at, at, at + timedelta(hours=1)),))}
    state, now = replace(kitchen(PIE_AND_SAUCE).state, placements=lies), moment("2026-10-31 15:56")
    prep = state.book.preps[name.partition("#")[0]]
    lost, there = RunTimes(replace(state, lost=frozenset(lies)), now), RunTimes(state, now)
    assert lost.lying(name, prep, Fraction(1)) == lies[name].steps
    assert there.lying(name, prep, Fraction(1)) == ()


TART_AND_PIE = """
[stations.sauce]
name = "Sauce"
hours = "07:00-23:00"
[stations.hot]
name = "Hot"
hours = "15:00-17:00"
[services.brunch]
on = "2026-10-31"
starts = "11:00"
ends = "14:00"
covers = 36
[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 40
[dishes.tart]
name = "Tart"
services = ["brunch"]
share = 0.5
plate = { tart = "50 g" }
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 0.5
plate = { pie = "50 g" }
[preps.tart]
name = "Tart"
station = "sauce"
keeps = "2 days"
makes = "1.2 kg"
sizes = { smallest = 0.5, step = 0.5 }
uses = { custard = "200 g" }
steps = [{ do = "Fill", hands_on = "10 min", wait = "1 h" }]
[preps.custard]
name = "Custard"
station = "hot"
keeps = "1 day"
makes = "400 g"
sizes = { smallest = 0.5, step = 0.5 }
uses = { jam = "100 g", base = "100 g" }
steps = [{ do = "Cook", hands_on = "10 min", wait = "5 h" }]
[preps.base]
name = "Base"
station = "sauce"
keeps = "2 days"
makes = "200 g"
steps = [{ do = "Boil", hands_on = "10 min", wait = "5 h" }]
[preps.jam]
name = "Jam"
station = "sauce"
keeps = "8 h"
makes = "1 kg"
steps = [{ do = "Boil", hands_on = "10 min", wait = "2 h" }]
[preps.pie]
name = "Pie"
station = "sauce"
keeps = "2 days"
makes = "1.2 kg"
uses = { jam = "300 g" }
steps = [{ do = "Fill", hands_on = "20 min" }]
"""


def test_less_of_what_nobody_will_begin_is_asked_for_where_it_lay(kitchen, moment):
    """Jam for a tart that comes too late for brunch, and for the pie at dinner. Brunch goes on, and half a tart is
    enough for who is still to come: what goes into it would have had to begin then, the jam to last until the next day,
    and the pie was lost for that, until the tart was not asked for any more."""
    first = kitchen(TART_AND_PIE).plan("2026-10-31 08:00")
    lies = {"placements": first.placing.placements, "placed_for": first.placing.digest, "placed_at": first.now}
    state = replace(first.state, **lies)
    for at, size in (("12:00", 1), ("12:40", Fraction(1, 2))):
        board = plan(state, moment(f"2026-10-31 {at}"))
        tart, pie = (next(line for line in board.make if line.prep == prep) for prep in ("tart", "pie"))
        assert (tart.size, tart.too_late) == (size, True)
        assert (pie.ready_at, pie.too_late) == (moment("2026-10-31 18:00"), False)


def test_less_of_a_line_takes_what_it_takes_when_all_of_it_would(kitchen, moment):
    """It lies where it lay until it is placed, and others are reckoned from there. As if it lay nowhere half a tart
    that comes too late asked for custard at once, and what was to be made for tomorrow's lunch was named for it."""
    first = kitchen(TART_AND_PIE).plan("2026-10-31 08:00")
    run_times = RunTimes(replace(first.state, placements=first.placing.placements), first.now)
    (tart,) = (line for line in first.make if line.prep == "tart")
    recipe, steps = first.state.book.preps["tart"], first.placing.placements[str(tart.line)].steps
    lies = {size: run_times.lying(str(tart.line), recipe, Fraction(size)) for size in ("0.5", "1", "1.5")}
    assert lies == {"0.5": steps, "1": steps, "1.5": ()}


GRAVY_AND_PIE = """
[stations.night]
name = "Night"
cooks = 2
hours = "20:00-05:00"
[stations.day]
name = "Day"
hours = "06:00-14:00"
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
[dishes.roast]
name = "Roast"
services = ["dinner"]
share = 0.5
plate = { gravy = "50 g" }
[dishes.pie]
name = "Pie"
services = ["lunch"]
share = 0.5
plate = { pie = "50 g" }
[preps.gravy]
name = "Gravy"
station = "night"
keeps = "30 h"
makes = "2 kg"
sizes = { smallest = 0.5, step = 0.5 }
uses = { stock = "200 g", vegetables = "200 g" }
steps = [{ do = "Cook", hands_on = "40 min", hands_on_each = "5 min", wait = "60 min" }]
[preps.stock]
name = "Stock"
station = "night"
keeps = "4 days"
makes = "2 kg"
sizes = { smallest = 0.5, step = 0.5 }
uses = { vegetables = "200 g" }
steps = [{ do = "Boil", hands_on = "40 min" }]
[preps.vegetables]
name = "Vegetables"
station = "day"
keeps = "1 day"
makes = "2 kg"
sizes = { smallest = 0.5, step = 0.5 }
steps = [{ do = "Cut", hands_on = "10 min", hands_on_each = "5 min", wait = "15 min", wait_up_to = "1215 min" }]
[preps.pie]
name = "Pie"
station = "day"
keeps = "2 days"
makes = "2 kg"
uses = { puree = "200 g", vegetables = "200 g" }
steps = [
    { do = "Bake", hands_on_each = "5 min", wait = "180 min" },
    { do = "Rest", hands_on = "25 min", wait = "60 min" },
]
[preps.puree]
name = "Puree"
station = "day"
keeps = "1 day"
makes = "2 kg"
sizes = { smallest = 0.5, step = 0.5 }
uses = { vegetables = "200 g" }
steps = [{ do = "Blend", hands_on = "5 min" }]
"""


def test_what_a_lost_line_could_take_of_tomorrows_is_not_made_sooner_for_it(kitchen, moment):
    """Gravy that the night bench makes too late for dinner. Once half of it is enough it could have of the vegetables
    that are cut for tomorrow's pie, and its stock lay that night: so they came an hour sooner, though the stock came
    the next night, and went back when dinner was over."""
    first = kitchen(GRAVY_AND_PIE).plan("2026-10-30 13:37")
    lies = {"placements": first.placing.placements, "placed_for": first.placing.digest, "placed_at": first.now}
    state, cut = replace(first.state, **lies), {}
    for at in ("18:30", "19:13", "20:30"):
        board = plan(state, moment(f"2026-10-31 {at}"))
        cut[at] = [line.begins for line in board.make if line.prep == "vegetables"]
        gravy = [(line.size, line.too_late) for line in board.make if line.prep == "gravy"]
        assert gravy == {"18:30": [(1, True)], "19:13": [(Fraction(1, 2), True)], "20:30": []}[at]
    assert set(map(tuple, cut.values())) == {(moment("2026-11-01 06:57"),)}
