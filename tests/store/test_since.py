"""Looking again: what a station remembers of the last look says the same as a fresh look, and is read anew at least
once a minute."""

from __future__ import annotations

import sqlite3
from fractions import Fraction
from typing import Any

import msgspec
import pytest

from prepboard.book.amounts import read_amount
from prepboard.book.safety.may_use import OUT, Mark
from prepboard.plan.given.state import State
from prepboard.plan.recording import only_told
from prepboard.store import kitchen_file
from prepboard.store.actions.food.making import done, lost, start, step
from prepboard.store.actions.food.places import split
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.food.stock import count, discard, use
from prepboard.store.actions.food.unknown import made
from prepboard.store.actions.handover import note, tick_off
from prepboard.store.actions.night.dishes import back, take_off
from prepboard.store.actions.night.placements import keep_shorts
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.undoing import undo
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read import measured as measured_
from prepboard.store.read import still_measured
from prepboard.store.read import what_changed as since
from prepboard.store.read.live_batches import live_batches, with_changes


@pytest.fixture
def station(kitchen):
    """Another station, which has looked once."""
    for prep in ("lamb-jus", "onion-crisp"):
        done(kitchen.file, kitchen.jp, prep=prep)
    file = KitchenFile.open(kitchen.file.path, kitchen.clock)
    file.read()
    yield file
    file.close()


@pytest.fixture
def whole(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Grows with every whole snapshot."""
    read, snapshot = [], since.snapshot

    def counted(*given: object) -> State:
        read.append(1)
        return snapshot(*given)

    monkeypatch.setattr(since, "snapshot", counted)
    return read


def afresh(file: KitchenFile) -> State:
    """What the same station reads when it remembers nothing but the book."""
    file._last = None
    return file.read()


def test_a_plate_is_read_without_the_rest(kitchen, station, whole):
    before = station.read()
    whole.clear()
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", 2)
    after = station.read()
    assert not whole
    assert after.plated[(*kitchen.dinner, "pressed-lamb")] == 2
    assert sum(batch.left for batch in after.batches) < sum(batch.left for batch in before.batches)
    assert after == afresh(station)


def test_what_a_plate_leaves_alone_is_the_very_same_as_before(kitchen, station):
    before = station.read()
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    after = station.read()
    assert after.readings is before.readings
    assert after.lines_run is before.lines_run
    same = [batch for batch in after.batches if any(batch is one for one in before.batches)]
    assert 0 < len(same) < len(after.batches)


def test_a_dish_taken_off_and_back_is_read_without_the_rest(kitchen, station, whole):
    take_off(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast", "dropped")
    assert station.read().tonight[kitchen.dinner].off == {"lamb-toast"}
    back(kitchen.file, kitchen.jp, kitchen.dinner, "lamb-toast")
    assert station.read() == afresh(station)
    assert len(whole) == 1  # the fresh look


def test_several_plates_between_two_looks_are_all_seen(kitchen, station, whole):
    for _plate in range(3):
        plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    assert station.read().plated[(*kitchen.dinner, "pressed-lamb")] == 3
    assert not whole


@pytest.mark.parametrize(
    "change",
    [
        lambda kitchen: plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", 900),
        lambda kitchen: use(kitchen.file, kitchen.jp, "lamb-jus", 10**6, "staff"),
        lambda kitchen: discard(kitchen.file, kitchen.jp, "onion-crisp", None, "burnt"),
        lambda kitchen: start(kitchen.file, kitchen.jp, "brown-stock", Fraction(1), None),
        lambda kitchen: done(kitchen.file, kitchen.jp, prep="lamb-jus"),
        lambda kitchen: made(kitchen.file, kitchen.jp, "Pea purée", read_amount("2 kg")),
    ],
    ids=["a batch is empty", "used", "thrown away", "started", "done", "made"],
)
def test_what_comes_and_goes_is_read_without_the_rest(kitchen, station, whole, change):
    before = station.read()
    whole.clear()
    change(kitchen)
    after = station.read()
    assert not whole
    assert (after.batches, after.runs) != (before.batches, before.runs)
    assert after == afresh(station)


def test_what_people_tell_each_other_is_read_without_the_rest_and_nothing_else_is_another(kitchen, station, whole):
    before = station.read()
    whole.clear()
    note(kitchen.file, kitchen.jp, "mind the step", "sauce")
    told = station.read()
    assert [one.text for one in told.notes] == ["mind the step"]
    assert only_told(before, told)
    tick_off(kitchen.file, kitchen.jp, told.notes[0].number)
    ticked = station.read()
    assert ticked.notes[0].done_by == "jp"
    assert only_told(told, ticked)
    assert not whole
    assert ticked == afresh(station)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    assert not only_told(ticked, station.read())


def test_in_a_kitchen_where_nothing_was_done_yet_everything_is_read(kitchen, whole):
    """From the first thing on closes are asked for."""
    station = KitchenFile.open(kitchen.file.path, kitchen.clock)
    kitchen.later(hours=9)
    assert station.read().unsigned == {}
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    assert list(station.read().unsigned) == [kitchen.dinner[1]]
    station.close()


def by_undo(kitchen):
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    undo(kitchen.file, kitchen.jp)


def by_another_program(kitchen):
    db = sqlite3.connect(kitchen.file.path)
    with db:
        db.execute("UPDATE batches SET left = left - 1000 WHERE state = 'live'")
    db.close()


def by_the_plan_beside_a_plate(kitchen):
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    keep_shorts(kitchen.file, kitchen.dinner[1], {("lamb-jus", "dinner.2026-10-31"): kitchen.clock.now()})


@pytest.mark.parametrize(
    "change",
    [
        by_undo,
        by_another_program,
        by_the_plan_beside_a_plate,
        lambda kitchen: count(kitchen.file, kitchen.jp, "lamb-jus", 10**9),
        lambda kitchen: read(kitchen.file, kitchen.jp, "place", "walk-in", Fraction(3), "C"),
    ],
)
def test_whatever_is_not_said_whole_is_read_whole(kitchen, station, whole, change):
    change(kitchen)
    state = station.read()
    assert whole
    assert state == afresh(station)


def test_everything_is_read_again_when_a_minute_is_over(kitchen, station, whole):
    kitchen.later(seconds=59)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    station.read()
    assert not whole
    kitchen.later(seconds=1)
    plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb")
    station.read()
    assert whole


def test_the_readings_of_a_batch_that_goes_go_with_it(kitchen, station, whole):
    """They are of what is there; nothing else of the look says that they changed."""
    code = kitchen.batches("lamb-jus")[0].code
    read(kitchen.file, kitchen.jp, "batch", code, Fraction(3), "C")
    assert code in {reading.of for reading in station.read().readings}
    whole.clear()
    discard(kitchen.file, kitchen.jp, "lamb-jus", None, "spoiled")
    after = station.read()
    assert not whole
    assert code not in {reading.of for reading in after.readings}
    assert after == afresh(station)


@pytest.fixture
def measured(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names what is read of temperatures: "readings" for all of them, else the run whose beginning is worked out."""
    asked, readings, start_of = [], still_measured.readings_of, measured_.start_of

    def all_again(*given: object) -> dict[str, object]:
        asked.append("readings")
        return readings(*given)

    def of_run(db: sqlite3.Connection, run: str, *given: object) -> object:
        asked.append(run)
        return start_of(db, run, *given)

    monkeypatch.setattr(still_measured, "readings_of", all_again)
    monkeypatch.setattr(measured_, "start_of", of_run)
    return asked


def test_what_nobody_measured_comes_and_goes_without_a_look_at_temperatures(kitchen, station, measured):
    """In the kitchen stands a batch that was read, and the runs of two cool."""
    read(kitchen.file, kitchen.jp, "batch", kitchen.batches("lamb-jus")[0].code, Fraction(3), "C")
    before = station.read()
    measured.clear()
    code = made(kitchen.file, kitchen.jp, "Pea purée", read_amount("2 kg")).batches[0]
    assert station.read().readings is before.readings
    discard(kitchen.file, kitchen.jp, code, None, "burnt")
    assert station.read().cooling_from is before.cooling_from
    assert measured == []
    assert station.read() == afresh(station)


def test_of_a_run_that_went_on_only_its_own_beginning_is_worked_out(kitchen, station, measured):
    """Two others cool beside it."""
    run = start(kitchen.file, kitchen.jp, "brown-stock", Fraction(1), None).run
    assert len(station.read().cooling_from) == 3
    assert set(measured) == {run}
    kitchen.later(seconds=10)
    step(kitchen.file, kitchen.jp, run)
    kitchen.later(seconds=10)
    measured.clear()
    done(kitchen.file, kitchen.jp, run=run)
    ended = station.read()
    assert set(measured) == {run}
    assert ended.cooling_from[run].at == kitchen.clock.now()
    assert ended == afresh(station)


def _of_a_run_that_was_read(kitchen: Any) -> str:
    run = start(kitchen.file, kitchen.jp, "brown-stock", Fraction(1), None).run
    read(kitchen.file, kitchen.jp, "run", run, Fraction(80), "C")
    return run


@pytest.mark.parametrize("ends", [lambda kitchen, run: done(kitchen.file, kitchen.jp, run=run),
                                  lambda kitchen, run: lost(kitchen.file, kitchen.jp, run, "burnt")])  # fmt: skip
def test_the_readings_of_a_run_are_there_as_long_as_it_and_what_came_of_it(kitchen, station, ends):
    run = _of_a_run_that_was_read(kitchen)
    assert [reading.of for reading in station.read().readings] == [run]
    ends(kitchen, run)
    after = station.read()
    assert bool(after.readings) == bool(kitchen.batches("brown-stock"))
    assert after == afresh(station)
    for batch in kitchen.batches("brown-stock"):
        discard(kitchen.file, kitchen.jp, batch.code, None, "spoiled")
    assert station.read().readings == ()


def test_a_part_that_goes_takes_what_was_read_of_the_whole_with_it(kitchen, station):
    code = kitchen.batches("lamb-jus")[0].code
    read(kitchen.file, kitchen.jp, "batch", code, Fraction(3), "C")
    split(kitchen.file, kitchen.jp, code, [10**8])
    parts = {reading.of for reading in station.read().readings} - {code}
    assert len(parts) == 1
    discard(kitchen.file, kitchen.jp, parts.pop(), None, "spoiled")
    after = station.read()
    assert {reading.of for reading in after.readings} == {code}
    assert after == afresh(station)


def test_what_is_known_of_food_is_read_with_what_it_came_of(kitchen, station):
    """A run that goes on can change what is known of what was taken out of it before."""
    code, other = (kitchen.batches(prep)[0].code for prep in ("lamb-jus", "onion-crisp"))
    mark = Mark(OUT, kitchen.clock.now(), "warm")
    with station.looking() as db:
        known = live_batches(db, {})
    with kitchen.file.writing() as db:
        db.execute("INSERT OR REPLACE INTO food VALUES ('batch', ?, ?)", [code, msgspec.json.encode([mark]).decode()])
    with station.looking() as db:
        found = with_changes(db, known, {other})
        assert found == live_batches(db, {})
    assert found[code][1].marks == (mark,) != known[code][1].marks
    assert list(found) == list(known)


def test_a_reading_that_an_action_of_another_kind_wrote_is_read(kitchen, station, monkeypatch):
    """Readings stand beside the rows that an action says it changed: their own numbers tell of new ones."""
    before = station.read()
    monkeypatch.setattr(since, "SAID_WHOLE", since.SAID_WHOLE | {"read"})
    read(kitchen.file, kitchen.jp, "batch", kitchen.batches("lamb-jus")[0].code, Fraction(3), "C")
    after = station.read()
    assert len(after.readings) == len(before.readings) + 1
    assert after == afresh(station)


def test_what_is_written_while_a_station_looks_is_looked_at_again(kitchen, station, monkeypatch):
    """The version is asked before the look: asked after it, what came in between would be taken for seen."""
    look = kitchen_file.look

    def while_another_writes(*given: object) -> object:
        found = look(*given)
        plate(kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", 1)
        return found

    monkeypatch.setattr(kitchen_file, "look", while_another_writes)
    assert station.read().plated == {}
    assert station.data_version() != station.seen
