"""What people tell each other, in the plan: who sees a note, and when a task is due."""

from __future__ import annotations

from datetime import date

import pytest

from prepboard.paper.text.only import only
from prepboard.plan.given.state import HandOver, TaskDone, Tonight

TODAY = date(2026, 10, 31)
BOOK = """
[stations.sauce]
name = "Sauce"
hours = "08:00-15:00, 16:00-01:00"

[stations.roast]
name = "Roast"

[services.dinner]
days = ["sat"]
starts = "18:00"
ends = "23:30"
covers = 10

[preps.jus]
name = "Jus"
station = "sauce"
keeps = "2 days"
makes = "1 l"
steps = [{ do = "Reduce", hands_on = "10 min" }]

[tasks.drawer]
name = "Read the drawer"
station = "sauce"
when = "open"
reads = "C"

[tasks.kettle]
name = "Scrub the kettle"
station = "sauce"
when = "close"
hands_on = "20 min"

[tasks.hood]
name = "Wipe the hood"
station = "roast"
when = "01:30"
days = ["sat"]

[tasks.floor]
name = "Scrub the floor"
station = "roast"
when = "close"
days = ["sun"]
"""


@pytest.fixture
def small(kitchen):
    return kitchen(BOOK)


def due(small, now: str = "2026-10-31 09:00"):
    return [(line.task, line.at.strftime("%d %H:%M")) for line in small.plan(now).tasks]


def test_tasks_are_due_as_the_station_opens_as_service_ends_or_at_their_time(small):
    """01:30 belongs to the day before."""
    assert due(small) == [("drawer", "31 08:00"), ("kettle", "31 23:30"), ("hood", "01 01:30")]


def test_without_a_service_the_close_is_when_the_station_closes(small):
    small.tonight["dinner", TODAY] = Tonight(cancelled=True)
    assert ("kettle", "01 01:00") in due(small)
    assert due(small, "2026-11-01 09:00") == [("drawer", "01 08:00"), ("kettle", "02 01:00"), ("floor", "02 04:00")]


def test_a_task_done_stays_on_the_list_and_says_so(small, moment):
    known = TaskDone(moment("2026-10-31 08:05"), "LM", "sauce", "3", "C")
    small.more["tasks_done"] = {("drawer", TODAY): known}
    assert [line.done for line in small.plan("2026-10-31 09:00").tasks] == [known, None, None]


def test_a_station_sees_its_notes_those_of_its_runs_and_those_for_everyone(small, moment):
    run = small.under_way("jus", started="2026-10-31 08:30")
    at = moment("2026-10-31 08:00")
    for_whom = ["", "sauce", "roast", run.code, "GONE"]
    small.more["notes"] = tuple(HandOver(n, at, "LM", "", whom, "text") for n, whom in enumerate(for_whom))
    board = small.plan("2026-10-31 09:00")
    assert [note.whom for note in only(board, ["sauce"]).notes] == ["", "sauce", run.code, "GONE"]
    assert [note.whom for note in only(board, ["roast"]).notes] == ["", "roast", "GONE"]


def test_an_open_close_names_the_stations_that_have_not_signed(small, moment):
    ended = moment("2026-10-30 23:30")
    small.more["unsigned"] = {date(2026, 10, 30): ended}
    small.more["signed"] = {(date(2026, 10, 30), "sauce"): "LM"}
    (close,) = small.plan("2026-10-31 09:00").open_closes
    assert (close.day, close.ended, close.stations) == (date(2026, 10, 30), ended, ("roast",))


PLATE = """
[dishes.plate]
services = ["dinner"]
share = 1
plate = { jus = "20 ml" }
"""


def test_a_note_on_guests_is_seen_by_the_benches_of_their_plates_until_the_sitting_is_over(kitchen, moment):
    """A sitting lasts an hour beyond its written end, 23:30, unless the book says otherwise."""
    small, at = kitchen(BOOK + PLATE), moment("2026-10-31 08:00")
    about = ["dinner.2026-10-31 plate", "dinner.2026-10-31", "dinner.2026-10-31 gone"]
    small.more["notes"] = tuple(HandOver(n, at, "DK", "", whom, "12: no nuts") for n, whom in enumerate(about))

    def seen(now: str, station: str) -> list[str]:
        return [note.whom for note in only(small.plan(now), [station]).notes]

    assert seen("2026-10-31 15:00", "sauce") == about[:2]
    assert seen("2026-10-31 15:00", "roast") == [], "no bench of these plates"
    assert seen("2026-11-01 00:29", "sauce") == about[:2], "plates may still go out"
    assert seen("2026-11-01 00:30", "sauce") == []
