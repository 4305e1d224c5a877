"""What scripts get: exactly these fields, instants with the kitchen's offset, amounts in the prep's own unit."""

from __future__ import annotations

import json
from datetime import datetime
from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace

from prepboard.book.safety.allergens import carried
from prepboard.paper import as_json
from prepboard.paper.lists.recipe import sheet
from prepboard.paper.lists.sheet import as_object
from prepboard.paper.text.saying import Voice
from prepboard.paper.text.shape import Shape
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.shown.closing_lines import CarryOver, Closing, Parting
from prepboard.plan.shown.lines import Note

FIELDS = {
    "make": "line prep task station amount size begins start_by can_start_from ready_by ready_at late_minutes too_late "
    "due_at ready_if_started_now not_there waits_for for notes par on_hand left_over under_way short",
    "underway": "run prep station amount by started step next next_at may_go_on_from go_on_by overdue_minutes ready_at "
    "ready_by late_minutes",
    "expiring": "batch prep station amount made_at use_by why use_first",
    "left": "dish plates_left limiting runs_out_at ends_first in_mix low not_yet eighty_six taken_off basis preps"
    " service day counted_to chance_out out lacks others"
    " allergens",
    "pars": "service day covers prep par source stage chance expected on_hand left_over under_way short over thin"
    " to_make promise special dishes",
    "pull": "item kind amount as_bought take_out_at for",
    "work": "station before hands_minutes work_minutes over_minutes moves",
}


@pytest.mark.parametrize("what", FIELDS)
def test_a_row_has_exactly_its_fields(what: str, board: Board) -> None:
    rows = as_json.shown(what, board)
    assert len(rows) == 1
    assert set(rows[0]) == set(FIELDS[what].split())


def test_the_object_names_the_kitchen_the_moment_and_the_rules(board: Board, voice: Voice) -> None:
    whole = json.loads(as_json.envelope("make", as_json.shown("make", board), voice))
    assert list(whole) == ["kitchen", "now", "rules", "make"]
    assert whole["kitchen"] == "Skerrow Kitchen"
    assert whole["now"] == "2026-10-31T14:22:00+00:00"
    assert whole["rules"] == "rules-a"


def test_instants_carry_the_offset_of_the_kitchens_summer(board: Board) -> None:
    summer = datetime.fromisoformat("2026-07-01T12:00:00+00:00")
    assert Shape(Voice.of(board)).at(summer) == "2026-07-01T13:00:00+01:00"


def test_a_line_to_make(board: Board) -> None:
    (line,) = as_json.shown("make", board)
    assert line["line"] == "lamb-jus#1@dinner.2026-10-31"
    assert line["amount"] == {"amount": 1.2, "unit": "l"}
    assert line["size"] == 1.2
    assert line["late_minutes"] == 12
    assert line["par"] == {"amount": 1.5, "unit": "l"}
    assert line["for"] == [
        {"service": "dinner", "day": "2026-10-31", "amount": {"amount": 1, "unit": "l"}},
        {
            "service": "lunch",
            "run_of": "crisp",
            "day": "2026-11-01",
            "amount": {"amount": 0.2, "unit": "l"},
        },
    ]
    assert line["notes"] == ["100 ml spare: nothing planned needs it"]


def test_when_a_step_is_due_stays_when_it_was(board: Board) -> None:
    """Since it began; a plan that places it anew does not move it."""
    since = datetime.fromisoformat("2026-10-31T14:12:00+00:00")
    late = replace(board.under_way[0], next_at=board.now, may_go_on_from=since, go_on_by=since, overdue_minutes=10)
    (run,) = as_json.shown("underway", replace(board, under_way=(late,)))
    assert datetime.fromisoformat(run["next_at"]) == since


def test_a_runs_need_has_no_par(board: Board) -> None:
    without = replace(board, make=(replace(board.make[0], par=None),))
    assert as_json.shown("make", without)[0]["par"] is None


def test_pars_have_the_chance_that_all_stand_beside_them(board: Board) -> None:
    assert as_json.beside("pars", board)["chance_all_stand"] == [
        {"service": "dinner", "day": "2026-10-31", "chance": 0.86},
        {"service": "lunch", "day": "2026-11-01", "chance": None},
    ]
    assert as_json.beside("make", board) == {}


def closing(batch: Batch, board: Board) -> Closing:
    parting = Parting(batch, "past-use-by", Note("make again by", {"at": board.now}), Fraction("1.255"))
    return Closing((parting,), (parting,), (CarryOver(batch, True),), board.make, board.pull)


def test_the_close_is_one_object_of_five_lists(board: Board, batch: Batch) -> None:
    value: dict[str, Any] = as_json.shown("closing", board, closing(batch, board))
    assert list(value) == ["discard", "decide", "carry_over", "start_tonight", "pull"]
    parting = ["batch", "prep", "amount", "use_by", "reason", "why", "cost"]
    assert set(value["discard"][0]) == set(value["decide"][0]) == set(parting)
    assert value["discard"][0]["cost"] == 1.26
    assert set(value["carry_over"][0]) == {"batch", "prep", "amount", "use_by", "use_first"}
    assert set(value["start_tonight"][0]) == set(FIELDS["make"].split())
    assert set(value["pull"][0]) == set(FIELDS["pull"].split())


def test_a_recipe_is_scaled_with_what_to_buy(board: Board) -> None:
    book = board.state.book
    value = as_object(sheet(book, book.preps["lamb-jus"], Fraction(3, 2)), Voice.of(board))
    assert {"prep", "size", "makes", "uses", "takes_if_there", "steps", "allergens", "keeps", "note"} == set(value)
    assert value["size"] == 1.5
    assert value["makes"] == [
        {"prep": "lamb-jus", "amount": {"amount": 1.5, "unit": "l"}},
        {"prep": "lamb-fat", "amount": {"amount": 300, "unit": "g"}},
    ]
    bones = value["uses"][0]
    assert bones["amount"] == {"amount": 3, "unit": "kg"}
    assert bones["as_bought"] == {"amount": 3.75, "unit": "kg"}
    assert bones["step"] == 1
    assert value["uses"][1]["as_bought"] is None
    assert set(bones) == {"item", "amount", "as_bought", "step"}
    assert [use["item"] for use in value["takes_if_there"]] == ["wine"]
    assert set(value["steps"][0]) == {
        "do", "station", "hands_minutes", "wait_minutes", "wait_up_to_minutes", "equipment", "at", "core", "note",
    }  # fmt: skip
    assert value["steps"][0]["hands_minutes"] == 18
    assert value["steps"][0]["at"] == "200 C"
    assert value["keeps"] == {"chilled": "4 days"}


def test_allergens_come_from_all_that_goes_in_even_what_is_only_sometimes_there(board: Board) -> None:
    """Celery is in the stock that the jus takes; wine may be; fat comes out of the same pot."""
    book = board.state.book
    assert sheet(book, book.preps["lamb-jus"], Fraction(1)).allergens == ("celery", "sulphites")
    assert carried(book, "lamb-fat") == ("celery", "sulphites")
