"""The same state gives the same plan, whatever the hash seed of the process and however much of it was known before."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random

import pytest
from msgspec.structs import replace
from random_kitchens import NOW, kitchen

from prepboard.book.amounts import MILLION
from prepboard.book.reading.reader import read_texts
from prepboard.plan.board import plan
from prepboard.plan.demand.occasions import ahead
from prepboard.plan.demand.pars import pars
from prepboard.plan.given.state import Batch, Placed, Placement, State
from prepboard.plan.needs.needs import Needs, work_out, work_out_again
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.runs import RunTimes

MINUTE = timedelta(minutes=1)


def shown(path: Path, what: str, seed: str) -> str:
    env = os.environ | {"PYTHONHASHSEED": seed, "PREPBOARD_NOW": "2026-06-13T12:20+00:00"}
    command = [sys.executable, "-m", "prepboard", "--file", str(path), "show", what, "--json"]
    return subprocess.run(command, env=env, check=True, capture_output=True, text=True).stdout


def test_the_same_state_gives_the_same_plan_under_any_hash_seed(demo_file):
    """The close's lists hold the plan's lines too."""
    first = shown(demo_file, "closing", "1")
    assert len(first) > 2000
    assert shown(demo_file, "closing", "2") == first


def test_a_plan_that_is_kept_comes_out_as_itself():
    """What is needed once all lies somewhere is what was placed; placed once more it lay elsewhere than the needs were
    reckoned from, and each look at what was kept planned it anew."""
    state = kitchen(6, 12, tight=True)
    first = plan(state, NOW).placing
    again = plan(replace(state, placements=first.placements, placed_for=first.digest, placed_at=NOW), NOW).placing
    assert again.digest == first.digest
    assert _begins(again.placements) == _begins(first.placements)


STEW = """
time_zone = "UTC"
rules = "food-code-2022"
stations.hot = { name = "Hot", hours = "09:00-23:30" }
services.dinner = { on = "2026-10-31", starts = "18:00", ends = "22:00", covers = 40 }
services.lunch = { on = "2026-11-01", starts = "12:00", ends = "14:00", covers = 40 }
dishes.duck = { name = "Duck", services = ["dinner"], share = 1, plate = { barley = "50 g" } }
dishes.stew = { name = "Stew", services = ["lunch"], share = 1, plate = { stew = "50 g" } }

[preps.barley]
name = "Barley"
station = "hot"
keeps = "3 days"
makes = "4 kg"
steps = [{ do = "Cook", hands_on = "1 h" }]

[preps.stew]
name = "Stew"
station = "hot"
keeps = "1 day"
makes = "4 kg"
steps = [
    { do = "Braise", hands_on = "30 min", wait = "4 h", wait_up_to = "4 h" },
    { do = "Strain", hands_on = "10 min" },
]
"""


def test_a_press_says_of_what_came_late_what_boards_say_of_it_ever_after():
    """Lunch came within the plan's span since somebody last pressed. Its stew lies in the morning, late; the evening
    before it would be ready in time, and not be good at lunch, which the press said of where it lies."""
    state, later = State(read_texts({"book.toml": STEW})), NOW + timedelta(hours=2, minutes=28)
    first = plan(state, NOW, moving=True).placing
    state = replace(state, placements=first.placements, placed_for=first.digest, placed_at=NOW)
    shown = plan(state, later)
    (stew,) = (line for line in shown.make if line.prep == "stew")
    came_late = {str(stew.line): replace(shown.placing.placements[str(stew.line)], steps=())}
    lies = {**shown.placing.placements, **came_late}
    pressed = plan(replace(state, placements=lies, placed_for=shown.placing.digest), later, moving=True)
    kept = replace(state, placements=pressed.placing.placements, placed_for=pressed.placing.digest, placed_at=later)
    assert stew.late_minutes > 0
    assert pressed.make == plan(kept, later).make


def test_what_has_no_end_among_needs_and_places_is_kept_as_boards_show_it():
    """Who makes a prep on Saturday is another bench, so that it lies on Friday, where its own bench makes it, so that
    it lies on Saturday: a press kept the last of these, and boards showed one that followed from that."""
    state, later = kitchen(380, 6, tight=True), NOW + timedelta(hours=8)
    first = plan(state, NOW, moving=True).placing
    state = replace(state, placements=first.placements, placed_for=first.digest, placed_at=NOW)
    given = replace(state, given={("p4", date(2026, 10, 31)): "bench0"})
    pressed = plan(given, later, moving=True).placing
    kept = replace(given, placements=pressed.placements, placed_for=pressed.digest, placed_at=later)
    again = plan(kept, later).placing
    assert again.digest == pressed.digest
    assert _begins(again.placements) == _begins(pressed.placements)


def _begins(placements: Mapping[str, Placement]) -> dict[str, list[datetime]]:
    return {line: [step.begins for step in one.steps] for line, one in placements.items()}


@pytest.mark.parametrize(("seed", "with_old_food"), [(0, False), (1, False), (5, True), (7, True)])
def test_what_lies_elsewhere_is_worked_out_again_as_if_all_was(seed: int, with_old_food: bool):
    """Needs follow from where runs lie: only what lies elsewhere is walked again, and comes to the same as all."""
    state = kitchen(seed, 9, tight=seed % 2 == 0)
    if with_old_food:
        state = replace(state, batches=tuple(_old(state)))
    until = horizon(state, NOW)
    known = pars(state, NOW, until, ahead(state, NOW, until))
    ours, afresh = RunTimes(state, NOW), RunTimes(state, NOW)
    needs = first = work_out(state, NOW, until, known, ours)
    chance, kept = Random(seed), 0
    for _round in range(3):
        ours.lies = afresh.lies = _moved(chance, needs, ours.lies)
        ours.carried, afresh.carried = {}, {}
        before = {id(run) for run in needs.planned}
        needs = work_out_again(needs, state, until, known, ours)
        kept += sum(id(run) in before for run in needs.planned)
        same = _told(needs) == _told(work_out(state, NOW, until, known, afresh))
        assert same
    assert kept
    assert first.planned
    cut = [run.name for run in needs.planned if any(note.kind == "older food" for note in run.notes)]
    assert bool(cut) == with_old_food


PIES = """
name = "Bakery"
time_zone = "UTC"
rules = "food-code-2022"
services.dinner = { on = "2026-10-31", starts = "18:00", ends = "22:00", covers = 40 }
dishes.pie = { name = "Pie", services = ["dinner"], share = 0.5, plate = { pies = "1 each" } }

[preps.pies]
name = "Pies"
keeps = "2 days"
makes = "10 each"
uses = { dough = "1 kg" }
steps = [{ do = "Fill", hands_on = "20 min", wait = "1 h" }, { do = "Bake", hands_on = "5 min", wait = "40 min" }]

[preps.dough]
name = "Dough"
keeps = "2 days"
makes = "1 kg"
steps = [{ do = "Knead", hands_on = "20 min", wait = "1 h" }]
"""


@pytest.mark.parametrize(("moved", "asked_again"), [("all", True), ("the baking", False)])
def test_what_takes_the_same_at_the_same_moment_is_not_worked_out_again(moved: str, asked_again: bool):
    """The dough is taken when the pies are begun, whenever they are baked."""
    state = State(read_texts({"book.toml": PIES}))
    until = horizon(state, NOW)
    known = pars(state, NOW, until, ahead(state, NOW, until))
    times, afresh = RunTimes(state, NOW), RunTimes(state, NOW)
    needs = work_out(state, NOW, until, known, times)
    pies, dough = ([run for run in needs.planned if run.recipe.id == prep] for prep in ("pies", "dough"))
    earlier = timedelta(minutes=-9)
    lies = {}
    for run in pies:
        fill, bake = run.steps
        bake = _later(bake, earlier)
        fill = _later(fill, earlier) if moved == "all" else replace(fill, ends=bake.begins)
        lies[run.name] = Placement(run.size, run.ready_by, None, (fill, bake))
    times.lies = afresh.lies = lies
    again = work_out_again(needs, state, until, known, times)
    assert pies
    assert dough
    assert {id(run) for run in dough}.isdisjoint(map(id, again.planned)) == asked_again
    assert _told(again) == _told(work_out(state, NOW, until, known, afresh))


def _later(step: Placed, by: timedelta) -> Placed:
    return replace(step, begins=step.begins + by, hands_until=step.hands_until + by, ends=step.ends + by)


def _old(state: State) -> Iterator[Batch]:
    """Three-day-old food of each prep that goes into others: it cuts the life of what is made of it."""
    made, use_by = NOW - timedelta(days=3), NOW + timedelta(days=2)
    for item in sorted({use.item for prep in state.book.preps.values() for use in prep.uses}):
        yield Batch(
            item, item, 150 * MILLION, made, made.date(), use_by, "keeps", "chilled", "", "", "", passes_on=made.date()
        )


def _moved(chance: Random, needs: Needs, lies: Mapping[str, Placement]) -> Mapping[str, Placement]:
    """Where the runs lie after a third of them went to another minute; the others lie where they were reckoned."""
    found = dict(lies)
    for run in needs.planned:
        later = chance.choice((0, 0, 7)) * MINUTE
        steps = tuple(_later(step, later) for step in run.steps)
        found[run.name] = Placement(run.size, run.ready_by, None, steps)
    return found


def _told(needs: Needs) -> str:
    return repr((needs.planned, needs.answers, needs.left))
