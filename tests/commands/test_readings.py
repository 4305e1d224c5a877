"""`temp`, `corrected`, `check`, `backup` and `restore`, as they are typed."""

from __future__ import annotations

import pytest


@pytest.fixture
def jus(typed):
    """The code of a batch of jus, reduced until 14:22 and done then."""
    typed.done("start", "lamb-jus")
    return typed.done("done", "lamb-jus").split("batch ")[1].split(",")[0]


def at(typed, clock):
    typed.now = f"2026-10-31T{clock}+00:00"
    return typed


@pytest.mark.parametrize("words", [("walk-in", "4"), ("walk-in", "4", "C"), ("Walk-in", "39.2F"), ("walk", "4 °C")])
def test_a_temperature_is_typed_in_either_unit(typed, words):
    assert "kept: 5 °C (41 °F) or less" in typed.done("temp", *words)


def test_below_nothing_is_a_temperature_and_no_option(typed):
    assert typed.done("temp", "walk-in", "-2") == "Walk-in: -2 °C, kept: 5 °C (41 °F) or less"


def test_what_is_out_of_range_says_what_the_code_allows_and_what_is_in_it(typed, jus):
    said = typed.done("temp", "walk-in", "9")
    assert (
        "9 °C is out of range: 5 °C (41 °F) or less. Use it within 4 h of when it was last shown to be at 5 °C" in said
    )
    assert "back by 18:22, and read again." in said
    assert "In it, to be read: " in said
    assert f"Lamb jus {jus}" in said


def test_two_readings_say_when_the_limit_will_be_reached_while_something_can_be_done(typed, jus):
    """From 14:22 on: 57 °C to 21 °C (70 °F) by 16:22. 50 and 45 °C half an hour apart are far too slow."""
    at(typed, "14:30").done("temp", jus, "50")
    said = at(typed, "15:00").done("temp", jus, "45")
    assert "too late: ice bath or smaller trays now" in said
    assert "21 °C at " in said


def test_a_missed_limit_and_what_ends_it(typed, jus):
    at(typed, "14:30").done("temp", jus, "50")
    said = at(typed, "16:30").done("temp", jus, "30")
    assert "do not use: cooled too slowly, since 16:22. Reheat all of it to 74 °C (165 °F)" in said
    assert "nothing good" in typed.refused("use", jus, "100 ml", "--for", "staff")
    assert "no reading at 74 °C" in typed.refused("corrected", jus, "--how", "boiled")
    at(typed, "17:00").done("temp", jus, "80", "--reheat")
    assert (
        typed.done("corrected", jus, "--how", "boiled, cooled on ice")
        == f"Lamb jus {jus}: corrective action: boiled, cooled on ice"
    )
    typed.done("use", jus, "100 ml", "--for", "staff")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("attic", "4"), 1, "no batch, run, place or good is called 'attic'"),
        (("walk-in", "1200"), 1, "'1200' is no temperature; write it like 63 C or 145 F"),
        (("walk-in",), 2, "say what was read and the DEGREES"),
        (("walk-in", "4", "--reheat"), 2, "only a batch is reheated"),
        (("walk-in", "4", "--at", "20:00"), 1, "is still ahead"),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_line(typed, words, code, said):
    assert said in typed.refused("temp", *words, code=code)


def test_the_file_is_proved_copied_and_put_back(typed, tmp_path, jus):
    assert typed.done("check").startswith("the file is whole, and the log unbroken to its last line; seal ")
    copy = tmp_path / "copy.db"
    assert typed.done("backup", str(copy)) == f"copied to {copy}"
    assert "already" in typed.refused("backup", str(copy))
    seal = typed.done("check").split("seal ")[1]
    typed.done("temp", "walk-in", "4")
    typed.done("check", "--seal", seal)
    assert "no line with the seal 1 abc" in typed.refused("check", "--seal", "1 abc")
    assert "copy.db is back" in typed.done("restore", str(copy), "--sure")
    assert "whole" in typed.done("check")
    assert "no kitchen in" in typed.refused("restore", str(tmp_path / "none.db"))


def test_food_that_cools_is_asked_for_as_it_is_marked_done(typed):
    typed.done("start", "lamb-jus")
    said = typed.done("done", "lamb-jus", "600 ml", "--more")
    assert "21 °C due by 16:22, and nobody has read it: probe it before" in said
    assert "How warm is it? `temp " in said
    assert "is no temperature" in typed.refused("done", "lamb-jus", "--temp", "warm")
    at(typed, "14:30")
    said = typed.done("done", "lamb-jus", "--temp", "62")
    assert "62 °C" in said
    assert "How warm is it?" not in said
