"""Notes, tasks and signatures in the file."""

from __future__ import annotations

from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path

import pytest

from prepboard.book.book import Temperature
from prepboard.store.actions.food.making import done, start, step
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.food.stock import discard
from prepboard.store.actions.handover import note, sign, task, tick_off
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night.services import cancel
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused, Who

TODAY = date(2026, 10, 31)
TASKS = """
[tasks.drawer]
name = "Read the drawer"
station = "sauce"
when = "open"
reads = "C"

[tasks.fryer]
name = "Clean the fryer"
station = "roast"
when = "close"
days = ["sat"]
hands_on = "30 min"
"""


@pytest.fixture
def kitchen(empty, book_folder: Path):
    (book_folder / "tasks.toml").write_text(TASKS, encoding="utf-8")
    empty.once("tasks", lambda: load_book(empty.file, empty.sous, book_folder))
    return empty


def texts(kitchen) -> list[tuple[str, str, bool]]:
    return [(line.whom, line.text, line.done_at is not None) for line in kitchen.state.notes]


def test_a_note_is_seen_until_it_is_ticked_off_and_the_day_is_over(kitchen):
    note(kitchen.file, kitchen.jp, "  stock  is in the blast chiller ", "roast")
    assert texts(kitchen) == [("roast", "stock is in the blast chiller", False)]
    kitchen.later(days=3)
    assert texts(kitchen) == [("roast", "stock is in the blast chiller", False)], "nobody ticked it off"
    tick_off(kitchen.file, kitchen.lm, 1)
    assert texts(kitchen) == [("roast", "stock is in the blast chiller", True)]
    with pytest.raises(Refused, match="was ticked off at 14:00 by lm"):
        tick_off(kitchen.file, kitchen.jp, 1)
    kitchen.later(days=1)
    assert texts(kitchen) == []
    assert kitchen.log("note")[0]["after"] == "stock is in the blast chiller"
    assert kitchen.log("ticked off")[0]["before"] == "stock is in the blast chiller"


def test_a_note_can_be_for_a_run_and_is_undone_with_its_tick(kitchen):
    run = start(kitchen.file, kitchen.jp, "brown-stock", Fraction(1)).run
    note(kitchen.file, kitchen.jp, "skim it", run.lower())
    assert texts(kitchen) == [(run, "skim it", False)]
    tick_off(kitchen.file, kitchen.jp, 1)
    undo(kitchen.file, kitchen.jp)
    assert texts(kitchen) == [(run, "skim it", False)]
    undo(kitchen.file, kitchen.jp)
    assert texts(kitchen) == []


@pytest.mark.parametrize(
    ("text", "whom", "why"), [(" ", "", "nothing in"), ("x" * 501, "", "at most"), ("x", "bar", "no run bar")]
)
def test_what_is_no_note_is_refused(kitchen, text: str, whom: str, why: str):
    with pytest.raises(Refused, match=why):
        note(kitchen.file, kitchen.jp, text, whom)
    with pytest.raises(Refused, match="no note 7"):
        tick_off(kitchen.file, kitchen.jp, 7)


def test_a_task_is_done_once_with_its_reading(kitchen):
    with pytest.raises(Refused, match="asks for a reading, such as 3 C"):
        task(kitchen.file, kitchen.jp, TODAY, "drawer")
    three = Temperature(Fraction(3), "C")
    task(kitchen.file, kitchen.jp, TODAY, "drawer", three)
    known = kitchen.state.tasks_done["drawer", TODAY]
    assert (known.by, known.degrees, known.unit) == ("jp", "3", "C")
    assert kitchen.log("task")[0]["after"] == "3 °C"
    with pytest.raises(Refused, match="was done at 14:00 by jp"):
        task(kitchen.file, kitchen.lm, TODAY, "drawer", three)
    with pytest.raises(Refused, match="asks for no reading"):
        task(kitchen.file, kitchen.lm, TODAY, "fryer", three)
    with pytest.raises(Refused, match="no task of Sun"):
        task(kitchen.file, kitchen.lm, date(2026, 11, 1), "fryer")
    undo(kitchen.file, kitchen.jp)
    assert kitchen.state.tasks_done == {}


def at_close(kitchen) -> datetime:
    return kitchen.later(hours=9)


def test_a_close_is_open_from_the_end_of_service_until_every_station_signed(kitchen):
    note(kitchen.file, kitchen.jp, "the first thing done in this file")
    assert kitchen.state.unsigned == {}
    at_close(kitchen)
    assert kitchen.state.unsigned == {TODAY: datetime(2026, 10, 31, 22, tzinfo=UTC)}
    sign(kitchen.file, kitchen.jp, "sauce")
    assert kitchen.state.signed == {(TODAY, "sauce"): "jp"}
    assert TODAY in kitchen.state.unsigned, "roast has not signed"
    with pytest.raises(Refused, match="Sauce was signed at 23:00 by jp"):
        sign(kitchen.file, kitchen.lm, "sauce")
    sign(kitchen.file, kitchen.lm, "roast")
    assert kitchen.state.unsigned == {}
    undo(kitchen.file, kitchen.lm)
    assert TODAY in kitchen.state.unsigned


def test_a_close_is_not_signed_while_something_is_to_be_discarded(kitchen):
    (code,) = done(kitchen.file, kitchen.jp, prep="onion-crisp").batches
    kitchen.later(hours=40)
    with pytest.raises(Refused, match=f"still to be discarded: Onion crisp {code}"):
        sign(kitchen.file, kitchen.lm, "roast")
    sign(kitchen.file, kitchen.lm, "sauce")
    discard(kitchen.file, kitchen.lm, code, None, "past-use-by")
    sign(kitchen.file, kitchen.lm, "roast")


def test_what_its_readings_hold_back_is_to_be_discarded_too(kitchen):
    run = start(kitchen.file, kitchen.jp, "brown-stock", Fraction(1)).run
    step(kitchen.file, kitchen.jp, run)
    step(kitchen.file, kitchen.jp, run)
    (code,) = done(kitchen.file, kitchen.jp, run=run).batches
    kitchen.later(hours=2)
    read(kitchen.file, kitchen.jp, "batch", code, Fraction(25), "C")
    at_close(kitchen)
    with pytest.raises(Refused, match=f"still to be discarded: Brown stock {code}"):
        sign(kitchen.file, kitchen.jp, "sauce")


def test_a_close_needs_initials_and_a_service_that_has_begun(kitchen):
    with pytest.raises(Refused, match="no service of Sat has begun"):
        sign(kitchen.file, kitchen.jp, "sauce")
    at_close(kitchen)
    with pytest.raises(Refused, match="signed with initials"):
        sign(kitchen.file, Who("", "sauce"), "sauce")
    with pytest.raises(Refused, match="no service of Sun has begun"):
        sign(kitchen.file, kitchen.jp, "sauce", date(2026, 11, 1))


def test_the_next_morning_signs_what_was_left_open_and_may_work_before(kitchen):
    note(kitchen.file, kitchen.jp, "the first thing done in this file")
    kitchen.later(hours=19)
    assert list(kitchen.state.unsigned) == [TODAY]
    done(kitchen.file, kitchen.jp, prep="onion-crisp")
    assert "close of 2026-10-31 signed by jp" in sign(kitchen.file, kitchen.jp, "sauce").text
    with pytest.raises(Refused, match="no service of Sun has begun"):
        sign(kitchen.file, kitchen.jp, "sauce")


def test_a_day_without_service_has_no_close_and_old_ones_are_let_go(kitchen):
    note(kitchen.file, kitchen.jp, "the first thing done in this file")
    cancel(kitchen.file, kitchen.sous, kitchen.dinner)
    at_close(kitchen)
    assert kitchen.state.unsigned == {}
    kitchen.later(days=20)
    assert len(kitchen.state.unsigned) == 8, "a week back, and today's"


def test_a_close_that_nobody_signed_is_open_for_a_week(kitchen):
    note(kitchen.file, kitchen.jp, "the first thing done in this file")
    at_close(kitchen)
    kitchen.later(days=6)
    assert TODAY in kitchen.state.unsigned
    kitchen.later(days=2)
    assert TODAY not in kitchen.state.unsigned
