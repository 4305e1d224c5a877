"""What a late line waits for: one cause, the last to end, whatever it is; and how that is said."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from conftest import Kitchen
from days.truth import Truth
from msgspec.structs import replace

from prepboard.paper.sentences.waiting import waits_for_words, waits_in_brief
from prepboard.paper.text.saying import Voice
from prepboard.plan.floor.waiting import all_at_work, causes_of
from prepboard.plan.outline import outline
from prepboard.plan.shown.lines import WaitKind, WaitsFor

OVEN = """
[stations.hot]
name = "Hot"
cooks = 1
hours = "08:00-15:00, 16:00-23:00"
[equipment.oven]
name = "Oven"
[goods.butter]
name = "Butter"
unit = "kg"
[services.dinner]
name = "Dinner"
starts = "16:00"
ends = "20:00"
covers = 40
[preps.pie]
name = "Pie"
station = "hot"
keeps = "2 days"
makes = "40 each"
uses = { butter = "2 kg" }
ready_before = "0 min"
steps = [{ do = "Bake", wait = "1 h", equipment = "oven", at = "180 C" }]
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = 1 }
"""
"""An hour in the oven with nobody's hands, but someone takes it out: from 14:00 on not before 16:00."""

FOAM = """
[stations.hot]
name = "Hot"
[services.dinner]
name = "Dinner"
starts = "18:00"
set_by = "17:30"
ends = "18:30"
covers = 40
[preps.foam]
name = "Foam"
station = "hot"
store = "hot"
keeps = { hot = "1 h" }
makes = "2 l"
ready_before = "0 min"
steps = [{ do = "Whisk", hands_on = "10 min" }]
[dishes.trout]
name = "Trout"
services = ["dinner"]
share = 1
plate = { foam = "50 ml" }
"""


def test_who_takes_it_out_is_waited_for_though_no_hands_put_it_in(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    line = kitchen(OVEN).plan("2026-10-31 14:30").make[0]
    assert (line.begins, line.ready_at) == (moment("2026-10-31 15:01"), moment("2026-10-31 16:01"))
    assert line.waits_for == WaitsFor("hours", "hot", moment("2026-10-31 16:00"), 0)


def test_what_keeps_too_short_to_begin_sooner_says_so_where_nothing_else_holds_it(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """Foam of 17:30 is good to 18:30, when dinner ends: begun before 17:20 it is not."""
    at = kitchen(FOAM)
    found = outline(at.plan("2026-10-31 14:00").state, moment("2026-10-31 14:00"))
    run = found.needs.planned[0]
    assert run.begins == moment("2026-10-31 17:20")
    late = replace(run, ready_by=run.ready_by - timedelta(minutes=10))
    at_work = all_at_work(found.needs.planned, found.placing, found.run_times)
    waits = WaitsFor("life", "foam", moment("2026-10-31 17:20"))
    assert causes_of([late], at_work, found.run_times) == {run.name: waits}
    assert causes_of([run], at_work, found.run_times) == {}, "one in time waits for nothing"


WITH_DOUGH = """
[stations.cold]
name = "Cold"
[preps.dough]
name = "Dough"
station = "cold"
keeps = "2 days"
makes = "2 kg"
ready_before = "0 min"
steps = [{ do = "Knead", hands_on = "10 min" }]
"""


def test_what_could_be_there_sooner_is_neither_late_nor_what_a_late_line_waits_for(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """A pie goes in at 15:01 since nobody takes it out in the break; its dough is kneaded just before."""
    board = kitchen(OVEN.replace("butter = ", 'dough = "1 kg", butter = ') + WITH_DOUGH).plan("2026-10-31 14:30")
    pie, dough = (next(line for line in board.make if line.prep == prep) for prep in ("pie", "dough"))
    assert (dough.begins, dough.ready_at, pie.begins) == tuple(
        moment(f"2026-10-31 {at}") for at in ("14:51", "15:01", "15:01")
    )
    assert (dough.ready_by, dough.late_minutes) == (moment("2026-10-31 15:01"), 0)
    assert pie.waits_for == WaitsFor("hours", "hot", moment("2026-10-31 16:00"), 0)


def test_what_is_made_as_soon_as_can_be_is_waited_for(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """Dough that takes an hour from 14:30 on is not there at 15:00, when its pie should go in."""
    text = OVEN.replace("butter = ", 'dough = "1 kg", butter = ').replace("15:00, 16:00-", "")
    board = kitchen(text + WITH_DOUGH.replace("10 min", "1 h")).plan("2026-10-31 14:30")
    pie, dough = (next(line for line in board.make if line.prep == prep) for prep in ("pie", "dough"))
    assert (dough.begins, pie.begins, pie.late_minutes) == (board.now, dough.ready_at, 30)
    assert pie.waits_for == WaitsFor("ingredient", "dough", moment("2026-10-31 15:30"), 0)


LOAVES = """
[preps.loaves]
name = "Loaves"
keeps = "1 day"
makes = "20 each"
par = "20 each"
steps = [{ do = "Bake", wait = "1 h" }]
"""
"""Wanted as the day begins, at 04:00, and good for the day that they are made on."""


def test_what_keeps_a_day_and_is_wanted_as_that_begins_says_that_its_life_holds_it(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    tomorrow = kitchen(LOAVES).plan("2026-10-30 10:00").make[1]
    assert (tomorrow.begins, tomorrow.late_minutes) == (moment("2026-10-31 04:00"), 60)
    assert tomorrow.waits_for == WaitsFor("life", "loaves", moment("2026-10-31 04:00"))


def test_what_is_late_and_would_end_before_anybody_takes_of_it_is_made_the_day_after(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """Begun at 03:30 it would be the day before's, and over before anybody has of it."""
    board = kitchen(LOAVES).plan("2026-10-31 03:30")
    line = next(line for line in board.make if line.line.need == "open.2026-10-31")
    assert (line.begins, line.ready_at) == (moment("2026-10-31 04:00"), moment("2026-10-31 05:00"))
    assert "cannot fit" not in {note.kind for note in line.notes}


def test_a_delivery_is_due_and_after_that_not_in_until_somebody_says_that_it_is(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    at, said = kitchen(OVEN.replace("16:00-23:00", "15:00-23:00")), {}
    at.more["missing"] = {"butter": moment("2026-10-31 16:30")}
    for clock in ("15:30", "16:45", "17:10"):
        board = at.plan(f"2026-10-31 {clock}")
        line = board.make[0]
        assert line.late_minutes
        assert line.waits_for is None or line.waits_for.kind == "delivery"
        said[clock] = waits_for_words(line.waits_for, Voice.of(board)) if line.waits_for else ""
    assert said["15:30"] == "waits for Butter, due 16:30"
    assert said["16:45"] == said["17:10"] == "Butter was due 16:30, not in"
    at.more["missing"] = {}
    assert at.plan("2026-10-31 17:10").make[0].waits_for is None


TWO_COOKS = """
[stations.hot]
name = "Hot"
cooks = 2
[equipment.oven]
name = "Oven"
places = 2
[services.dinner]
name = "Dinner"
starts = "17:00"
ends = "20:00"
covers = 40
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = 1 }
"""
PREP = """
[preps.{name}]
name = "{name}"
station = "hot"
keeps = "2 days"
makes = "40 each"
ready_before = "0 min"
steps = [{{ do = "Work", {step} }}]
"""


@pytest.mark.parametrize(
    ("kind", "what", "step"),
    [("hands", "hot", 'hands_on = "{} h"'), ("place", "oven", 'wait = "{} h", equipment = "oven", at = "180 C"')],
)
def test_of_two_cooks_and_of_two_places_that_is_waited_for_which_is_free_first(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime], kind: WaitKind, what: str, step: str
) -> None:
    """The stew is done at 16:30, the ham at 18:00: nobody waits for the ham."""
    hours = {"stew": 1, "ham": 3, "pie": 1}
    at = kitchen(TWO_COOKS + "".join(PREP.format(name=name, step=step.format(n)) for name, n in hours.items()))
    at.under_way("ham", started="2026-10-31 15:00")
    at.under_way("stew", started="2026-10-31 15:30")
    board = at.plan("2026-10-31 16:00")
    pie = board.make[0]
    assert pie.begins == moment("2026-10-31 16:30")
    assert pie.waits_for == WaitsFor(kind, what, pie.begins, 0, "stew")
    assert Truth().look(board) == []


def test_an_oven_that_does_not_work_today_is_waited_for(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """At 23:00 for 03:30, in a kitchen where somebody is always there: it works again as the day begins, at 04:00; of
    two places one that works does for one pie, not for what takes both."""
    always = (
        OVEN.replace('hours = "08:00-15:00, 16:00-23:00"\n', "").replace("16:00", "03:30").replace("20:00", "06:00")
    )
    two = always.replace('name = "Oven"', 'name = "Oven"\nplaces = 2')
    said = []
    for text, works in ((always, 0), (two, 1), (two.replace('at = "180 C"', 'racks = 2, at = "180 C"'), 1)):
        at = kitchen(text)
        at.more["equipment"] = {("oven", date(2026, 10, 31)): works}
        board = at.plan("2026-10-31 23:00")
        line = board.make[0]
        said.append((line.begins, line.waits_for, Truth().look(board)))
    opens = moment("2026-11-01 04:00")
    waits = opens, WaitsFor("works", "oven", opens), []
    assert [said[0], said[2]] == [waits, waits]
    assert said[1] == (moment("2026-11-01 02:30"), None, [])


@pytest.mark.parametrize(
    ("kind", "what", "by", "said", "brief"),
    [
        ("hours", "hot", "", "waits for Hot: nobody there to 16:10", "waits to 16:10: nobody at Hot"),
        ("hands", "hot", "pie", "waits for a cook of Hot, busy with Pie to 16:10", "waits to 16:10: busy with Pie"),
        ("place", "oven", "pie", "waits for a place in Oven, Pie in it to 16:10", "waits to 16:10: Pie in Oven"),
        ("works", "oven", "", "waits for a place in Oven that works, from 16:10", "waits to 16:10: no place in Oven"),
        ("ingredient", "pie", "", "waits for Pie, ready 16:10", "waits to 16:10: Pie"),
        ("delivery", "butter", "", "waits for Butter, due 16:10", "waits to 16:10: Butter, due"),
        ("life", "pie", "", "keeps 2 days: not before 16:10", "not before 16:10: keeps 2 days"),
    ],
)
def test_each_cause_has_its_sentence(
    kitchen: Callable[..., Kitchen],
    moment: Callable[[str], datetime],
    kind: WaitKind,
    what: str,
    by: str,
    said: str,
    brief: str,
) -> None:
    """On a row the moment stands in front: what is cut there is who, not until when."""
    voice, waits = (
        Voice.of(kitchen(OVEN).plan("2026-10-31 14:00")),
        WaitsFor(kind, what, moment("2026-10-31 16:10"), 0, by),
    )
    assert (waits_for_words(waits, voice), waits_in_brief(waits, voice)) == (said, brief)
