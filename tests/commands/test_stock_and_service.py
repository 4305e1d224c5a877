"""Counts, uses, discards, plates, undo."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, get_args

import pytest

from prepboard.commands.food.stock import PURPOSES, REASONS

if TYPE_CHECKING:
    from tests.commands.conftest import Typed


@pytest.fixture
def stocked(after: Callable[..., Typed]) -> Typed:
    return after("done crisp 30 --at 13:00", "done jus '2.2 l' --at 13:00")


def held(typed: Typed, prep: str) -> float:
    return float(next(row["on_hand"]["amount"] for row in typed.json("pars") if row["prep"] == prep))


def test_the_closed_lists_are_those_of_the_file() -> None:
    from prepboard.store.actions.food.stock import Purpose, Reason

    assert get_args(Reason) == REASONS
    assert get_args(Purpose) == PURPOSES


def test_a_count_below_what_is_known(stocked: Typed) -> None:
    stocked.done("count", "rye", "crisp", "20")
    assert held(stocked, "crisp") == 20


def test_a_count_above_what_is_known_needs_a_time(stocked: Typed) -> None:
    assert "when it was made" in stocked.refused("count", "crisp", "40")
    assert held(stocked, "crisp") == 30
    stocked.done("count", "crisp", "40", "--made-at", "10:00")
    assert held(stocked, "crisp") == 40


def test_a_count_of_one_batch_by_its_code(stocked: Typed) -> None:
    code = next(row["batch"] for row in stocked.json("expiring") if row["prep"] == "crisp")
    stocked.done("count", code.lower(), "12")
    assert held(stocked, "crisp") == 12


def test_used_for_something_else_than_plates(stocked: Typed) -> None:
    stocked.done("use", "crisp", "4", "--for", "staff")
    assert held(stocked, "crisp") == 26
    assert "is not one of" in stocked.refused("use", "crisp", "4", "--for", "fun", code=2)


def test_thrown_away_in_part_and_whole(stocked: Typed) -> None:
    stocked.done("discard", "crisp", "4", "--why", "dropped")
    assert held(stocked, "crisp") == 26
    stocked.done("discard", "crisp", "--why", "spoiled")
    assert held(stocked, "crisp") == 0
    assert "Missing option" in stocked.refused("discard", "crisp", code=2)


@pytest.mark.parametrize("command", [["count", "crisp"], ["use", "crisp", "--for", "staff"]])
def test_a_missing_amount_is_wrong_use(command: list[str], stocked: Typed) -> None:
    assert "AMOUNT" in stocked.refused(*command, code=2)


def test_plates_take_from_what_is_on_hand_and_a_miscount_gives_back(stocked: Typed) -> None:
    stocked.done("plate", "Pressed", "lamb", "4")
    assert held(stocked, "crisp") == 26
    stocked.done("plate", "lamb", "-1")
    assert held(stocked, "crisp") == 27


def test_a_plate_that_goes_out_again_has_a_reason(stocked: Typed) -> None:
    stocked.done("plate", "lamb")
    stocked.done("plate", "lamb", "--again", "dropped")
    assert held(stocked, "crisp") == 28
    assert stocked.json("log")[-1]["why"] == "dropped"


def test_a_course_of_a_function_goes_out_whole(stocked: Typed) -> None:
    times = ("--starts", "14:00", "--ends", "16:00", "--covers", "10")
    stocked.done("service", "add", "Feast", *times, "--count", "lamb=4")
    assert stocked.done("plate", "--course", "MAIN") == "Pressed lamb: 4 out, Feast"
    assert held(stocked, "crisp") == 26
    assert "all of it is out already" in stocked.refused("plate", "--course", "main")
    stocked.done("undo")
    assert stocked.done("plate", "--course", "main") == "Pressed lamb: 4 out, Feast"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["--course", "main"], 1, "no function counts a course 'main'"),
        (["--course", "main", "lamb"], 2, "stands by itself"),
        ([], 2, "which dish, or --course"),
        (["soup"], 1, "no dish is called 'soup'"),
        (["lamb", "2.5"], 2, "no number of plates"),
        (["lamb", "1", "2"], 2, "no number of plates"),
        (["lamb", "--agian", "x"], 2, "No such option"),
        (["lamb", "0"], 1, "cannot be"),
        (["cake", "--service", "dinner"], 1, "Brunch cake"),
        (["lamb", "--day", "2026-02-30"], 1, "is no day"),
    ],
)
def test_plates_that_cannot_be(words: list[str], code: int, said: str, stocked: Typed) -> None:
    assert said in stocked.refused("plate", *words, code=code)


def test_undo_says_what_it_takes_back(stocked: Typed) -> None:
    stocked.done("plate", "lamb", "4")
    said = stocked.done("undo")
    assert said.startswith("Takes back: ")
    assert "Pressed lamb" in said
    assert held(stocked, "crisp") == 30


def test_there_is_nothing_of_somebody_else_to_undo(stocked: Typed) -> None:
    stocked.refused("undo", "--by", "ZZ")
    assert held(stocked, "crisp") == 30
