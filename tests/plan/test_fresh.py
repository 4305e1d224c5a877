"""What is fresh for less long than it keeps: on plates to then, for staff and crumbs as long as it is good."""

from __future__ import annotations

from datetime import timedelta

import pytest
from conftest import at as moment_of

from prepboard.boards.rows.lists import goes_off
from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_texts
from prepboard.paper.lists.stations import expiring
from prepboard.paper.sentences.left import left_words
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.saying import Voice

BOOK = """
[services.dinner]
starts = "18:00"
ends = "22:00"
covers = 20
[dishes.basket]
name = "Bread basket"
share = 1
plate = { bread = "100 g" }
[preps.bread]
name = "Bread"
keeps = "3 days"
makes = "1 kg"
fresh_for = "6 h"
steps = [{ do = "Bake", hands_on = "10 min", wait = "50 min" }]
[preps.crumbs]
name = "Crumbs"
keeps = "5 days"
makes = "500 g"
par = "500 g"
uses = { bread = "600 g" }
steps = [{ do = "Grind", hands_on = "10 min" }]
"""
KEPT = BOOK.replace('fresh_for = "6 h"\n', "")
NOW = "2026-10-31 12:00"


def made_in_the_morning(kitchen, book: str, amount: str = "6 kg", at: str = "2026-10-31 09:00"):
    """Bread of 09:00, fresh to 15:00 and good for three days."""
    small = kitchen(book)
    small.on_hand("bread", amount, "2026-11-02 00:00", made_at=moment_of(at))
    return small


def test_what_is_fresh_no_more_counts_for_no_sitting_and_for_runs(kitchen, moment):
    lines = [line.prep for line in made_in_the_morning(kitchen, KEPT).plan(NOW).make]
    assert "bread" not in lines, "good for three days, it does for both"
    board = made_in_the_morning(kitchen, BOOK).plan(NOW)
    bread = [line for line in board.make if line.prep == "bread"]
    assert bread
    assert all(serves.run_of is None for line in bread for serves in line.serves), "the old bread does for the crumbs"
    assert not bread[0].late_minutes
    assert bread[0].ready_at >= moment("2026-10-31 16:00"), "fresh to the end of dinner, six hours later"


def test_a_shorter_freshness_than_the_sitting_makes_it_again(kitchen, moment):
    board = kitchen(BOOK.replace('"6 h"', '"2 h"')).plan(NOW)
    bread = [line for line in board.make if line.prep == "bread" and any(not one.run_of for one in line.serves)]
    readies = [line.ready_at for line in bread if line.ready_at < moment("2026-11-01 04:00")]
    assert len(readies) > 1
    assert max(readies) >= moment("2026-10-31 20:00"), "the guests of the second half get fresh bread, too"


@pytest.mark.parametrize("now", ["2026-10-31 13:00", "2026-10-31 19:00"])
def test_no_plate_is_left_of_it(kitchen, now):
    (basket,) = made_in_the_morning(kitchen, BOOK).plan(now).left
    assert basket.plates_left == 0
    assert all(lack.until for lack in basket.lacks), "more is made"
    assert made_in_the_morning(kitchen, KEPT).plan(now).left[0].plates_left > 20


def test_it_is_said_why_there_is_none(kitchen):
    small = made_in_the_morning(kitchen, BOOK.replace('"50 min"', '"12 h"'))
    board = small.plan("2026-10-31 19:00")
    assert "none fresh (bread)" in left_words(board.left[0], Voice.of(board))


def test_it_runs_out_when_it_is_fresh_no_more(kitchen, moment):
    """2 kg of 14:00 are enough for all guests, and fresh to 20:00."""
    fresh, kept = (
        made_in_the_morning(kitchen, book.replace("[preps.crumbs]", "[preps.crumbs]\non_demand = true"), "2.4 kg",
                            "2026-10-31 14:00").plan("2026-10-31 18:10").left[0]
        for book in (BOOK, KEPT)
    )  # fmt: skip
    assert kept.runs_out_at is None
    assert fresh.runs_out_at is not None
    assert moment("2026-10-31 19:50") <= fresh.runs_out_at <= moment("2026-10-31 20:30")


def test_the_close_decides_about_what_no_guest_will_get(kitchen):
    no_crumbs = BOOK[: BOOK.index("[preps.crumbs]")]
    closing = made_in_the_morning(kitchen, no_crumbs).plan("2026-10-31 23:00").closing
    (line,) = closing.decide
    assert note_text(line.note, Voice.of(made_in_the_morning(kitchen, no_crumbs).plan(NOW))).endswith("to 15:00")
    kept = made_in_the_morning(kitchen, no_crumbs.replace('fresh_for = "6 h"\n', "")).plan("2026-10-31 23:00").closing
    assert not kept.decide, "the guests of tomorrow get it"
    with_crumbs = made_in_the_morning(kitchen, BOOK).plan("2026-10-31 23:00").closing
    assert not with_crumbs.decide, "it goes into crumbs"


def test_what_thaws_is_fresh_from_its_thaw_on(kitchen):
    book = BOOK.replace('fresh_for = "6 h"', 'fresh_for = "6 h"\nthaw = "2 h"')
    small = kitchen(book)
    small.on_hand(
        "bread", "6 kg", made_at=moment_of("2026-10-29 09:00"), store="frozen", frozen_at=moment_of("2026-10-29 10:00")
    )
    lines = [line for line in small.plan(NOW).make if line.prep == "bread"]
    assert all(line.ready_at - moment_of(NOW) > timedelta(days=0) for line in lines)
    first = [line for line in lines if line.ready_at < moment_of("2026-11-01 04:00")]
    assert not first


BUSY = """
[stations.hot]
hours = "06:00-23:00"
[dishes.soup]
name = "Soup"
share = 1
plate = { soup = "100 ml" }
[preps.soup]
name = "Soup"
keeps = "3 days"
makes = "2 l"
steps = [{ do = "Cook", hands_on = "3 h 50 min", wait = "1 min", equipment = "stove" }]
[equipment.stove]
"""


def test_it_is_late_rather_than_made_so_early_that_guests_get_none(kitchen, moment):
    """The cook is at the soup, which lasts no longer, most of the afternoon, and could bake before that."""
    soup = BUSY.replace('keeps = "3 days"', 'keeps = "4 h 30 min"')
    board = kitchen(
        BOOK.replace('"6 h"', '"5 h"').replace("[preps.crumbs]", "[preps.crumbs]\non_demand = true") + soup
    ).plan(NOW)
    bread = next(line for line in board.make if line.prep == "bread")
    assert bread.ready_at >= moment("2026-10-31 17:00")


def test_lists_say_until_when_it_goes_onto_plates(kitchen):
    small = made_in_the_morning(kitchen, BOOK)
    board = small.plan(NOW)
    (row,) = goes_off(board, tuple(board.state.book.stations))
    assert "plates to 15:00" in row.words
    assert "plates to 15:00" in "\n".join(expiring(board, 100))
    kept = made_in_the_morning(kitchen, KEPT).plan(NOW)
    assert "plates" not in goes_off(kept, tuple(kept.state.book.stations))[0].words


def test_fresh_for_no_time_is_a_fault():
    with pytest.raises(Faults, match="fresh for no time"):
        read_texts({"a.toml": BOOK.replace('"6 h"', '"0 min"')})
