"""Preps that wait for a decision, and those that are served fresh, out of the freezer, or both."""

from __future__ import annotations

import pytest

from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_texts
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.leftovers.freezing import gains

BOOK = """
[stations.sauce]
hours = "08:00-23:00"
[places.walk-in]
[places.freezer]
store = "frozen"
[services.dinner]
starts = "18:00"
ends = "22:00"
covers = 20
[dishes.lamb]
services = ["dinner"]
share = 1
plate = { jus = "50 ml" }
[preps.jus]
name = "Jus"
station = "sauce"
keeps = "3 days"
makes = "2 l"
uses = { stock = "4 l" }
thaw = "6 h"
ready_before = "0 min"
steps = [{ do = "Reduce", hands_on = "1 h" }]
[preps.stock]
name = "Stock"
station = "sauce"
keeps = "4 days"
makes = "4 l"
steps = [{ do = "Simmer", hands_on = "30 min", wait = "3 h" }]
[preps.crumb]
name = "Crumb"
station = "sauce"
keeps = "5 days"
makes = "1 kg"
par = "1 kg"
steps = [{ do = "Bake", hands_on = "10 h" }]
"""
WAITS = BOOK.replace('thaw = "6 h"', "on_demand = true")


def served(*stores: str) -> str:
    return BOOK.replace('thaw = "6 h"', f'thaw = "6 h"\nserve_from = {list(stores)}'.replace("'", '"'))


def test_what_waits_for_a_decision_is_a_line_that_says_so_and_nothing_is_made_for_it(kitchen):
    board = kitchen(WAITS).plan("2026-10-31 09:00")
    lines = {line.prep: line for line in board.make}
    assert "stock" not in lines
    assert "waits for your decision" in note_text(lines["jus"].notes[0], Voice.of(board))
    decided = {line.prep for line in kitchen(BOOK).plan("2026-10-31 09:00").make}
    assert {"jus", "stock"} <= decided


def test_it_lies_around_all_else(kitchen, moment):
    """One cook has ten hours of crumb for 18:00 and an hour of jus: without a decision the crumb is in time."""
    waits, planned = (kitchen(book).plan("2026-10-31 08:00") for book in (WAITS, BOOK))
    crumb = next(line for line in waits.make if line.prep == "crumb")
    assert not crumb.late_minutes
    assert any(line.late_minutes for line in planned.make if line.prep in ("crumb", "stock", "jus"))


@pytest.mark.parametrize(
    ("stores", "to_make"), [((), False), (("chilled", "frozen"), False), (("chilled",), True)],
    ids=["unsaid", "both", "fresh only"],
)  # fmt: skip
def test_what_is_in_the_freezer_counts_where_it_is_served_from_that(kitchen, stores, to_make):
    made = kitchen(served(*stores) if stores else BOOK)
    made.on_hand("jus", "3 l", store="frozen")
    assert any(line.prep == "jus" for line in made.plan("2026-10-31 09:00").make) is to_make
    assert any(pull.item == "jus" for pull in made.plan("2026-10-31 09:00").pull) is not to_make


def test_the_freezer_is_not_offered_for_what_is_not_served_from_it(kitchen, moment):
    for stores, offered in (("chilled", "frozen"), True), (("chilled",), False):
        made = kitchen(served(*stores))
        made.on_hand("jus", "3 l", "2026-11-02 04:00")
        state = made.plan("2026-10-31 09:00").state
        assert gains(state, state.batches[0], moment("2026-10-31 09:00")) is offered


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (served("frozen"), "leaves out chilled, where it is kept"),
        (served("chilled", "frozen").replace('thaw = "6 h"', ""), "say `thaw` too"),
        (served("warm"), "chilled"),
    ],
    ids=["not where it is kept", "no time to thaw", "no such storage"],
)
def test_where_it_cannot_be_served_from_is_a_fault_with_its_line(text, why):
    with pytest.raises(Faults) as found:
        read_texts({"a.toml": text})
    (fault,) = found.value.faults
    assert why in fault.said
    assert fault.line == next(n for n, line in enumerate(text.splitlines(), 1) if line.startswith("serve_from"))
