"""What was recorded is on the board at once; what has to be worked out follows, and says the same."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from prepboard.plan import board as lines
from prepboard.plan import recording
from prepboard.plan.board import Board, plan
from prepboard.plan.given.state import HandOver
from prepboard.plan.recording import only_told, recorded
from prepboard.plan.service import counts

BOOK = """
[stations.sauce]
name = "Sauce"

[services.dinner]
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 60

[preps.jus]
name = "Jus"
station = "sauce"
keeps = "5 days"
makes = "2 l"
steps = [{ do = "Reduce", hands_on = "15 min", wait = "3 h" }]

[preps.oil]
name = "Oil"
station = "sauce"
keeps = "5 days"
makes = "1 l"
steps = [{ do = "Blend", hands_on = "15 min" }]

[dishes.lamb]
name = "Lamb"
services = ["dinner"]
share = 0.5
plate = { jus = "50 ml", oil = "10 ml" }
"""


@pytest.fixture
def begun(kitchen, moment) -> tuple[Board, Board, Board]:
    """Before jus was started for its line, as recorded after it, and as planned after it."""
    here = kitchen(BOOK)
    before = here.plan("2026-10-31 12:00")
    line = next(line.line for line in before.make if line.prep == "jus")
    here.under_way("jus", started="2026-10-31 12:00").line = line
    here.more["lines_run"] = {("jus", line.need): 1}
    now = moment("2026-10-31 12:00")
    return before, recorded(before, here.state, now), plan(here.state, now)


def test_a_line_that_was_begun_is_under_way_at_once(begun: tuple[Board, Board, Board]) -> None:
    before, at_once, _after = begun
    assert [line.prep for line in before.make] == ["jus", "oil"]
    assert [line.prep for line in at_once.make] == ["oil"]
    assert [run.prep for run in at_once.under_way] == ["jus"]


def test_the_plan_that_follows_says_the_same(begun: tuple[Board, Board, Board]) -> None:
    _before, at_once, after = begun
    assert [line.line for line in at_once.make] == [line.line for line in after.make]
    assert [(run.run, run.next, run.next_at) for run in at_once.under_way] == [
        (run.run, run.next, run.next_at) for run in after.under_way
    ]
    assert at_once.left == after.left


def test_another_book_waits_for_the_plan(kitchen, moment) -> None:
    before = kitchen(BOOK).plan("2026-10-31 12:00")
    other = replace(before.state, book=kitchen(BOOK).book)
    assert recorded(before, other, moment("2026-10-31 12:00")) is before


def test_plates_left_are_counted_only_for_who_looks_at_them(kitchen, moment, monkeypatch) -> None:
    asked = []
    monkeypatch.setattr(lines, "left", lambda *given: asked.append(given) or counts.left(*given))
    here = kitchen(BOOK)
    before = here.plan("2026-10-31 12:00")
    unseen = recorded(before, here.state, moment("2026-10-31 12:00"))
    assert (asked, unseen.looked_at_left) == ([], None)
    assert [left.dish for left in before.left] == ["lamb"] == [left.dish for left in before.left]
    assert len(asked) == 1
    assert recorded(before, here.state, moment("2026-10-31 12:00")).looked_at_left is before.left


def test_a_note_comes_and_goes_as_in_the_plan_and_counts_no_plates(kitchen, moment, monkeypatch) -> None:
    """One about guests goes with their sitting; what is told moves no plate."""
    before = kitchen(BOOK).plan("2026-11-01 02:00")
    assert before.left is not None
    asked = []
    monkeypatch.setattr(recording, "left", lambda *given: asked.append(given) or counts.left(*given))
    now = moment("2026-11-01 02:00")
    told = (
        HandOver(1, now, "jp", "sauce", "dinner.2026-10-31", "table 4 is late"),
        HandOver(2, now, "jp", "sauce", "", "the fridge hums"),
    )
    state = replace(before.state, notes=told)
    assert recorded(before, state, now).notes == plan(state, now).notes == told[1:]
    assert not asked
    assert only_told(before.state, state)
    assert not only_told(before.state, replace(state, plated={(*before.state.plated, "x"): 1}))


@pytest.mark.parametrize(("prep", "times"), [("stock", 0), ("oil", 1)])
def test_plates_left_are_counted_again_for_what_goes_onto_plates_only(kitchen, moment, monkeypatch, prep, times):
    asked = []
    monkeypatch.setattr(recording, "left", lambda *given: asked.append(given) or counts.left(*given))
    here = kitchen(BOOK + '[preps.stock]\nname = "Stock"\nkeeps = "5 days"\nmakes = "1 l"\n')
    here.on_hand("jus", "2 l")
    before = here.plan("2026-10-31 18:30")
    assert before.left[0].plates_left == 0
    state = replace(before.state, batches=(*before.state.batches, here.on_hand(prep, "1 l")))
    at_once = recorded(before, state, moment("2026-10-31 18:30"))
    assert len(asked) == times
    assert at_once.left == plan(state, moment("2026-10-31 18:30")).left
