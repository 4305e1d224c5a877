"""Runs: started, going on, ended and lost from the command line."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.commands.conftest import Typed


def on_hand(typed: Typed, prep: str) -> float:
    """What of a prep is on hand by the first of its pars."""
    return float(next(row["on_hand"]["amount"] for row in typed.json("pars") if row["prep"] == prep))


def test_start_takes_the_most_urgent_line(typed: Typed) -> None:
    first = next(row for row in typed.json("make") if row["prep"] == "lamb-jus")
    typed.done("start", "jus")
    (run,) = typed.json("underway")
    assert run["amount"] == first["amount"]
    assert first["line"] not in {row["line"] for row in typed.json("make")}


def test_what_is_begun_or_done_for_another_day_than_today_says_for_what(typed: Typed) -> None:
    """On Saturday, named by its prep alone: with one under way the next line is tomorrow's brunch."""
    assert re.fullmatch(r"Rye crisp started: 2 recipes, run \w+", typed.done("start", "crisp"))
    said = typed.done("start", "crisp")
    assert said.endswith(", for Sunday brunch Sun")
    assert f"Takes back: {said} (" in typed.done("undo")
    assert "; it was for" not in typed.done("done", "crisp"), "the run that was under way"
    assert typed.done("done", "crisp").endswith("; it was for Sunday brunch Sun")


def test_what_is_begun_for_a_run_of_another_day_says_for_which(
    typed: Typed, book: Path, write_book: Callable[[str], Path]
) -> None:
    cake = (book / "kitchen.toml").read_text(encoding="utf-8").replace('{ crisp = "1 each" }', '{ cake = "1 each" }')
    typed.done("load", str(write_book(cake + CAKES)))
    typed.done("start", "crisp")
    assert typed.done("start", "crisp").endswith(", for Brunch cakes, Sunday brunch Sun")


def test_a_start_that_is_refused_changes_nothing_and_undo_after_it_names_what_was_done_before(
    typed: Typed, book: Path, write_book: Callable[[str], Path]
) -> None:
    """On Monday the crisps are past their 36 hours: it is asked whether they went in, and the last change is
    Saturday's."""
    text = (book / "kitchen.toml").read_text(encoding="utf-8").replace('{ crisp = "1 each" }', '{ cake = "1 each" }')
    typed.done("load", str(write_book(text.replace('days = ["sun"]', 'days = ["sun", "mon"]') + CAKES)))
    made = typed.done("done", "crisp", "24 each").partition(",")[0]
    typed.now = "2026-11-02T07:00+00:00"
    lists = typed.json("make"), typed.json("underway"), typed.json("stock"), typed.json("log")
    assert "may not be used (expired)" in typed.refused("start", "cake")
    assert (typed.json("make"), typed.json("underway"), typed.json("stock"), typed.json("log")) == lists
    told, undone = typed.done("undo").splitlines()
    assert told.startswith(f"Takes back: {made}")
    assert told.endswith("(Sat 14:22)")
    assert undone.startswith(f"undone: {made}")


CAKES = """
[preps.cake]
name = "Brunch cakes"
station = "pastry"
store = "ambient"
stable = "crisp"
keeps = "36 h"
makes = "24 each"
uses = { crisp = "12 each" }
steps = [{ do = "Bake", at = "150 C" }]
"""


def test_one_more_than_the_plan_asks_for_is_said_to_be_that(typed: Typed) -> None:
    codes = []
    while any(row["prep"] == "crisp" for row in typed.json("make")):
        said = typed.done("start", "crisp")
        assert "beside" not in said
        codes += re.findall(r"run (\w+)", said)
    assert codes
    said = typed.done("start", "crisp")
    assert said.endswith(f": one more beside {', '.join(sorted(codes))}, and the plan asks for none")
    assert len(typed.json("underway")) == len(codes) + 1


def test_what_is_lost_and_nobody_asked_for_is_promised_to_nobody(typed: Typed) -> None:
    while any(row["prep"] == "crisp" for row in typed.json("make")):
        typed.done("start", "crisp")
    (unasked,) = re.findall(r"run (\w+)", typed.done("start", "crisp"))
    assert typed.done("lost", unasked, "--why", "burnt").endswith("; the plan makes it again where it is needed")
    assert not any(row["prep"] == "crisp" for row in typed.json("make"))


@pytest.mark.parametrize("words", [["2.4", "l"], ["2.4 l"], ["2.4"], ["2", "recipes"], ["2400 ml"]])
def test_an_amount_may_be_written_in_several_ways(words: list[str], typed: Typed) -> None:
    typed.done("start", "Lamb jus", *words)
    assert typed.json("underway")[0]["amount"] == {"amount": 2.4, "unit": "l"}


def test_containers_are_units_too(typed: Typed) -> None:
    typed.done("start", "lamb-jus", "2", "deep", "sixth")
    assert typed.json("underway")[0]["amount"] == {"amount": 4.4, "unit": "l"}


def test_what_comes_with_another_prep_is_not_started_by_itself(typed: Typed) -> None:
    assert typed.refused("start", "fat") == "Lamb fat comes with Lamb jus; name that instead"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["lamb-jsu"], "did you mean 'lamb-jus'?"),
        (["rye"], "can mean Rye crisp, Rye crumb"),
        (["crisp", "2 kg"], "Rye crisp: mass into pieces needs"),
        (["jus", "2 parsec"], "'parsec' is no unit"),
        (["jus", "0"], "is no size of a run"),
        (["jus", "-1"], "No such option"),
        (["jus", "1,5 l"], "with a point"),
        (["jus", "1e99 l"], "no unit"),
        (["jus", "1/0 l"], "divides by nothing"),
        (["jus", "9" * 40], "more than any kitchen holds"),
        (["jus", "1 l", "--at", "15:00"], "still ahead"),
        (["jus", "1 l", "--at", "25:00"], "is no time"),
        (["jus", "1 l", "--at", "9999-12-31T23:59-14:00"], "is no day"),
        ([""], "no prep is called ''"),
    ],
)
def test_what_cannot_be_read_is_refused_in_one_line_and_changes_nothing(
    words: list[str], said: str, typed: Typed
) -> None:
    code = 2 if said.startswith("No such option") else 1
    assert said in typed.refused("start", *words, code=code)
    assert typed.json("underway") == []


def test_a_run_goes_on_and_ends_as_batches(typed: Typed) -> None:
    typed.done("start", "jus", "--at", "12:00")
    assert typed.done("step", "jus", "--at", "13:10") == "Lamb jus: Reduce"
    said = typed.done("done", "jus", "1.1", "l", "fat=180", "g")
    assert re.search(r"Lamb jus: .*1\.1 l.*, batch \w+", said)
    assert re.search(r"Lamb fat: 180 g, batch \w+", said)
    assert typed.json("underway") == []
    assert on_hand(typed, "lamb-jus") == 1.1


def test_what_is_made_together_comes_in_proportion(typed: Typed) -> None:
    typed.done("start", "jus", "1.2 l")
    assert "Lamb fat: 100 g" in typed.done("done", "jus", "0.6 l")


def test_done_without_an_amount_gives_what_was_planned(typed: Typed) -> None:
    typed.done("start", "jus", "1.2 l")
    assert "1.2 l" in typed.done("done", "jus")


def test_done_by_the_runs_code_in_any_case(typed: Typed) -> None:
    typed.done("start", "jus", "1.2 l")
    code = typed.json("underway")[0]["run"]
    typed.done("done", code.lower())
    assert typed.json("underway") == []


def test_done_of_a_prep_ends_the_oldest_run(typed: Typed) -> None:
    typed.done("start", "jus", "2.4 l", "--at", "13:00")
    typed.done("start", "jus", "1.2 l", "--at", "12:00")
    typed.done("done", "jus")
    assert [run["amount"]["amount"] for run in typed.json("underway")] == [2.4]


def test_done_without_a_run_takes_the_first_line(typed: Typed) -> None:
    first = next(row for row in typed.json("make") if row["prep"] == "crisp")
    typed.done("done", "crisp", "30")
    assert first["line"] not in {row["line"] for row in typed.json("make")}
    assert on_hand(typed, "crisp") == 30


def test_far_more_than_planned_needs_sure(typed: Typed) -> None:
    typed.done("start", "jus", "1.2 l")
    assert typed.refused("done", "jus", "50 l").endswith("say it again with --sure if it is right")
    assert len(typed.json("underway")) == 1
    typed.done("done", "jus", "50 l", "--sure")


def test_an_unknown_output_is_refused(typed: Typed) -> None:
    typed.done("start", "jus", "1.2 l")
    assert "output of this run is called 'foam'" in typed.refused("done", "jus", "1 l", "foam=2 l")
    assert len(typed.json("underway")) == 1


def test_a_lost_run_is_made_again(typed: Typed) -> None:
    before = sum(row["amount"]["amount"] for row in typed.json("make") if row["prep"] == "lamb-jus")
    typed.done("start", "jus")
    typed.done("lost", "jus", "--why", "burnt")
    assert typed.json("underway") == []
    assert sum(row["amount"]["amount"] for row in typed.json("make") if row["prep"] == "lamb-jus") == before


def test_nothing_under_way_is_nothing_to_step_or_lose(typed: Typed) -> None:
    assert typed.refused("step", "jus") == "no run of jus is under way"
    assert typed.refused("lost", "jus", "--why", "burnt") == "no run of jus is under way"
    assert "Missing option" in typed.refused("lost", "jus", code=2)


def test_a_batch_that_no_recipe_knows(typed: Typed) -> None:
    assert "Herb butter: 400 g" in typed.done("made", "Herb", "butter", "400", "g", "--place", "Walk-in")
    assert "Herb butter" in typed.done("show", "expiring")
    assert "unit" in typed.refused("made", "Herb butter", code=2)
    assert "no place is called" in typed.refused("made", "Herb butter", "1 kg", "--place", "cellar")


def test_a_part_is_ready_tops_up_and_something_else_went_in(typed: Typed) -> None:
    """The crisp's flour is bought in; bones take its place in this made-up run."""
    typed.done("start", "crisp")
    typed.done("done", "crisp", "10", "--more")
    (run,) = typed.json("underway")
    assert run["amount"] == {"amount": 38, "unit": "each"}
    code = next(row["batch"] for row in typed.json("expiring") if row["prep"] == "crisp")
    assert f"onto batch {code}" in typed.done("done", "crisp", "--onto", code, "--instead", "flour=bones")
    trace = typed.json("trace", code)
    assert [link["goods"] for link in trace["made_from"]] == ["bones"]
    assert "GOODS=OTHER" in typed.refused("done", "crisp", "--instead", "flour", code=2)
    assert "AMOUNT" in typed.refused("done", "crisp", "--more", code=2)


def test_a_start_says_what_goes_in_instead_and_refuses_an_oven_that_the_book_does_not_name(typed: Typed) -> None:
    typed.done("start", "crisp", "--instead", "flour=bones")
    typed.done("done", "crisp")
    code = next(row["batch"] for row in typed.json("expiring") if row["prep"] == "crisp")
    assert [link["goods"] for link in typed.json("trace", code)["made_from"]] == ["bones"]
    assert "no equipment" in typed.refused("start", "jus", "--in", "attic")
