"""What is kept frozen: taken out for all of a par, there when it is thawed, and good for what its count leaves then."""

from __future__ import annotations

from datetime import date, timedelta
from types import SimpleNamespace

import pytest
from msgspec.structs import replace

from prepboard.book.safety.stays import Stay
from prepboard.plan.board import plan
from prepboard.plan.runs.stock import Lot, Need
from prepboard.plan.shown.lines import NotThere

HOUR = timedelta(hours=1)

BOOK = """
[stations.sauce]
name = "Sauce"
hours = "08:00-23:00"

[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 20

[dishes.stew]
name = "Stew"
services = ["dinner"]
share = 0.5
plate = { stew = "100 g" }

[preps.stew]
name = "Stew"
station = "sauce"
store = "frozen"
keeps = { frozen = "60 days", chilled = "3 days" }
thaw = "4 h"
makes = "2 kg"
steps = [{ do = "Cook", hands_on = "30 min" }]
"""
PIE = """
[dishes.pie]
name = "Pie"
services = ["dinner"]
share = 1
plate = { pie = "100 g" }

[preps.pie]
name = "Pie"
station = "sauce"
keeps = "3 days"
makes = "2 kg"
uses = { stew = "500 g" }
steps = [{ do = "Fill", hands_on = "30 min" }, { do = "Bake", wait = "1 h" }]
"""
NO_STEW = BOOK.replace('share = 0.5\nplate = { stew = "100 g" }', 'share = 0\nplate = { stew = "100 g" }') + PIE


def test_what_stands_ready_of_a_par_beyond_what_goes_is_taken_out_too(kitchen):
    """It was left in the freezer, counted as long as it could be thawed in time, and was short from then on."""
    small = kitchen(BOOK)
    small.on_hand("stew", "2 kg")
    board = small.plan()
    par = next(line for line in board.pars if line.prep == "stew")
    assert par.par > par.expected
    assert sum(line.amount for line in board.pull if line.item == "stew") == par.par


def test_what_is_frozen_and_in_no_book_is_on_no_plate_and_stops_no_board(kitchen):
    """It was looked for in the book, and the board fell."""
    small = kitchen(BOOK)
    batch = small.on_hand("stew", "2 kg", called="Pea purée")
    small.batches[0] = replace(batch, prep="")
    board = small.plan()
    assert [one.plates_left for one in board.left] == [0]
    assert [one.called for one in board.state.batches] == ["Pea purée"]


def test_what_was_taken_out_is_there_once_it_is_thawed(kitchen, moment):
    small = kitchen(NO_STEW)
    stays = (Stay("frozen", moment("2026-10-30 12:00")), Stay("chilled", moment("2026-10-31 09:20")))
    small.on_hand("stew", "1 kg", store="chilled", stays=stays)
    (pie,) = small.lines("pie", "2026-10-31 09:30")
    assert pie.begins >= moment("2026-10-31 13:20")
    assert pie.can_start_from >= moment("2026-10-31 13:20")
    assert small.lines("stew", "2026-10-31 17:00") == []


def test_what_is_under_way_for_a_run_that_fits_no_hours_is_not_asked_for_once_more(kitchen):
    """It comes too late for that run wherever it would lie, and a new one would be there sooner by the thaw alone."""
    small = kitchen(NO_STEW.replace('"Fill", hands_on = "30 min"', '"Fill", hands_on = "16 h"'))
    small.under_way("stew", started="2026-10-31 15:00")
    board = small.plan("2026-10-31 15:10")
    assert [line.prep for line in board.make] == ["pie"]


@pytest.mark.parametrize("begun", [False, True])
def test_what_goes_straight_into_the_freezer_is_thawed_in_time_from_any_second_of_its_minute(kitchen, moment, begun):
    """A key is pressed half a minute after 12:30: four hours on that is half past four for whoever fills the pie then.
    It was late until it was begun, and asked for once more when it was."""
    small, half_past = kitchen(NO_STEW.replace('"Cook", hands_on = "30 min"', '"Pack"')), moment("2026-10-31 12:30")
    if begun:
        small.under_way("stew", started="2026-10-31 12:30")
    board = plan(small.state, half_past + timedelta(seconds=32))
    lines = {line.prep: line for line in board.make}
    assert lines["pie"].begins == half_past + 4 * HOUR
    if begun:
        assert lines.keys() == {"pie"}
    else:
        assert (lines["stew"].ready_at, [note.kind for note in lines["stew"].notes]) == (half_past + 4 * HOUR, [])


@pytest.mark.parametrize(("days", "begins", "late"), [(2, "2026-10-31 19:00", 90), (3, "2026-10-30 22:30", 0)])
def test_a_planned_run_is_good_for_what_its_count_leaves_after_the_thaw(kitchen, moment, days, begins, late):
    """Frozen on Friday and thawed from Saturday to Sunday, two days are over before it is: that was planned as in time,
    and asked for once more as soon as it was made."""
    book = BOOK.replace("2026-10-31", "2026-11-01").replace('thaw = "4 h"', 'thaw = "24 h"')
    book = book.replace('chilled = "3 days"', f'chilled = "{days} days"').replace("08:00-23:00", "19:00-23:00")
    (line,) = kitchen(book).lines("stew", "2026-10-30 10:00")
    assert (line.begins, line.late_minutes) == (moment(begins), late)


def test_what_is_in_the_freezer_counts_from_when_it_can_be_thawed_and_is_made_for_nobody_after_that(kitchen, moment):
    """Stew for ten every evening, 4 kg in the freezer, three days to thaw: on Saturday what is out by 18:00 is there on
    Tuesday. For the evenings before neither that nor a new one is, and no sitting's stew is asked for twice."""
    daily = BOOK.replace('on = "2026-10-31"\n', "").replace('thaw = "4 h"', 'thaw = "3 days"')
    small = kitchen(daily)
    small.on_hand("stew", "4 kg", frozen_at=moment("2026-10-20 12:00"))
    board = small.plan("2026-10-31 14:00")
    on_hand = {line.day.day: line.on_hand for line in board.pars if line.prep == "stew"}
    assert [day for day, amount in on_hand.items() if amount] == [3]
    assert on_hand[3] == small.amount("stew", "4 kg")
    assert [(line.serves[0].day.day, line.too_late) for line in board.make] == [(31, True), (1, True), (2, True)]
    assert [(one.take_out_at, one.late) for one in board.pull] == [(moment("2026-10-31 18:00"), False)]


@pytest.mark.parametrize(
    ("now", "out_at", "plates", "until"),
    [
        ("12:00", None, 20, None),
        ("15:00", None, 0, "19:00"),
        ("15:40", "15:30", 0, "19:30"),
        ("18:10", "17:30", 0, "21:30"),
        ("19:30", None, 0, None),
        ("19:30", "15:30", 16, None),
    ],
    ids=["in time", "not out yet", "thaws", "thaws while guests are there", "not before all have gone", "thawed"],
)
def test_a_plate_can_go_out_once_what_is_on_it_is_thawed(kitchen, moment, now, out_at, plates, until):
    """Stew for dinner, 18:00 to 22:00, thaws for four hours. As soon as it was out of the freezer it was said to be
    left for twenty plates. (At half past seven four have gone, as expected.)"""
    small = kitchen(BOOK)
    stays = (Stay("frozen", moment("2026-10-30 12:00")),)
    stays += (Stay("chilled", moment(f"2026-10-31 {out_at}")),) if out_at else ()
    small.on_hand("stew", "2 kg", store=stays[-1].store, stays=stays)
    (stew,) = small.plan(f"2026-10-31 {now}").left
    assert stew.plates_left == plates
    assert not stew.not_yet, "it is made"
    assert [lack.until for lack in stew.lacks] == ([until and moment(f"2026-10-31 {until}")] if not plates else [])


@pytest.mark.parametrize(("store", "to_make"), [("frozen", []), ("chilled", ["stew"])])
def test_what_lies_in_the_freezer_counts_late_where_a_new_one_would_be_there_no_sooner(kitchen, moment, store, to_make):
    """Stew for dinner, 18:00 to 22:00, thaws for four hours from three on. It was asked for once more, to be frozen and
    to thaw as long, as soon as what had been made too late lay in the freezer. What is kept chilled once it is made is
    there sooner."""
    small = kitchen(BOOK.replace('store = "frozen"', f'store = "{store}"'))
    small.on_hand("stew", "2 kg", store="frozen", stays=(Stay("frozen", moment("2026-10-30 12:00")),))
    board = small.plan("2026-10-31 15:00")
    assert [line.prep for line in board.make] == to_make
    taken_out = [(line.take_out_at, line.late) for line in board.pull if line.item == "stew"]
    assert taken_out == ([] if to_make else [(moment("2026-10-31 14:00"), True)])


@pytest.mark.parametrize(
    ("days", "to_make", "out_at", "begins"),
    [
        (3, [], ["2026-10-30 23:00"], "2026-10-31 10:30"),
        (2, ["stew"], [], "2026-10-31 10:30"),
        (2, [], ["2026-10-31 08:00"], "2026-10-31 12:00"),
    ],
    ids=["lasts", "is made again tonight", "cannot be made tonight"],
)
def test_what_would_be_over_by_midnight_is_not_taken_out_the_evening_before(
    kitchen, moment, days, to_make, out_at, begins
):
    """Pie for lunch takes stew at 10:30: it would have to be out at 06:30, and hands are there until 23:00. Frozen on
    its day 1, its day 2 would be over an hour later. That was asked for, counted for the pie, and asked for again once
    it had been done, until the freezer was empty."""
    book = NO_STEW.replace("18:00", "12:00").replace("22:00", "14:00")
    book = book.replace('chilled = "3 days"', f'chilled = "{days} days"')
    if days == 2 and not to_make:
        book = book.replace('"Cook", hands_on = "30 min"', '"Cook", hands_on = "30 min", wait = "20 h"')
    small = kitchen(book)
    stays = (Stay("frozen", moment("2026-10-29 12:00")),)
    small.on_hand("stew", "1 kg", made_at=stays[0].since, day_one=date(2026, 10, 29), stays=stays)
    board = small.plan("2026-10-30 20:00")
    assert [line.take_out_at for line in board.pull if line.item == "stew"] == [moment(at) for at in out_at]
    assert [line.begins for line in board.make if line.prep == "pie"] == [moment(begins)]
    assert [line.prep for line in board.make if line.prep != "pie"] == to_make


@pytest.mark.parametrize(("out_at", "says"), [(None, ["400 g"]), ("09:20", ["400 g"]), ("05:00", [])])
def test_whoever_begins_with_what_is_not_thawed_is_told_so_beforehand(kitchen, moment, out_at, says):
    """A pie takes 500 g of stew, 100 g of it thawed: the rest lies in the freezer, or is out for less than 4 h."""
    small = kitchen(NO_STEW)
    small.on_hand("stew", "100 g", store="chilled")
    since = moment("2026-10-30 12:00")
    stays = (Stay("frozen", since), *((Stay("chilled", moment(f"2026-10-31 {out_at}")),) if out_at else ()))
    small.on_hand("stew", "1 kg", store=stays[-1].store, stays=stays)
    (pie,) = small.lines("pie", "2026-10-31 09:30")
    assert list(pie.lacks) == [NotThere("stew", small.amount("stew", amount), frozen=True) for amount in says]


@pytest.mark.parametrize(("source", "lasts"), [("batch", True), ("planned", False)])
def test_what_is_still_to_be_made_lasts_until_it_is_asked_for_and_no_later(moment, source, lasts):
    """Taken out the evening before it is over by midnight; from eight on it is thawed at noon. A pie at 10:30 waits for
    what is in the freezer; a run is not planned so early that what it gives would be over."""
    asked, noon, midnight = (moment(f"2026-10-31 {at}") for at in ("10:30", "12:00", "00:00"))
    thaw = SimpleNamespace(soonest=lambda _at: noon, good_until=lambda at: midnight if at < noon else noon + 12 * HOUR)
    lot = Lot("stew", 1, midnight, None, source, "B1", thaw=thaw)
    need = Need("stew", "pie#0", asked, asked, asked, 1, 1, asked.date(), 0, None, asked.date(), run_of="pie")
    assert (lot.taken_at(need), lot.ends(need)) == ((noon, noon + 12 * HOUR) if lasts else (asked, midnight))
