"""Tonight's numbers, and which sitting a command means."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.commands.conftest import Typed

SATURDAY, SUNDAY = "2026-10-31", "2026-11-01"


def par(typed: Typed, prep: str, service: str = "dinner", day: str = SATURDAY) -> dict[str, Any]:
    rows = typed.json("pars")
    found: dict[str, Any] = next(
        row for row in rows if (row["prep"], row["service"], row["day"]) == (prep, service, day)
    )
    return found


def test_covers_of_the_next_sitting(typed: Typed) -> None:
    typed.done("covers", "Dinner", "120")
    assert par(typed, "crisp")["covers"] == 120
    assert par(typed, "crisp", day=SUNDAY)["covers"] == 92


def test_covers_of_a_day(typed: Typed) -> None:
    typed.done("covers", "dinner", "120", "--day", "2026-11-01")
    assert par(typed, "crisp")["covers"] == 92
    assert par(typed, "crisp", day=SUNDAY)["covers"] == 120


def test_how_many_came_is_of_the_sitting_that_has_been(typed: Typed) -> None:
    typed.now = "2026-10-31T23:30+00:00"
    assert "Sat" in typed.done("covers", "dinner", "85", "--real")


def test_while_a_service_runs_it_is_the_one_that_is_meant(typed: Typed) -> None:
    typed.now = "2026-10-31T20:00+00:00"
    assert "Sat" in typed.done("covers", "dinner", "85")
    typed.now = "2026-10-31T22:30+00:00"
    assert "Sun" in typed.done("covers", "dinner", "85")


def shares(typed: Typed) -> dict[str, str]:
    return {row["dish"]: row["after"] for row in typed.json("log") if row["did"] == "mix"}


def test_the_mix_scales_the_other_dishes_of_the_course(typed: Typed) -> None:
    """Lamb 0.3 and hen 0.5 make 0.8 of the guests; lamb at 0.4 leaves hen 0.4."""
    typed.done("mix", "lamb", "40 %")
    assert shares(typed) == {"lamb": "40 %", "hen": "40 %"}


def test_only_leaves_the_others(typed: Typed) -> None:
    typed.done("mix", "lamb", "0.4", "--only")
    assert shares(typed) == {"lamb": "40 %"}
    assert par(typed, "crisp")["expected"]["amount"] == pytest.approx(92 * 0.4)


def test_a_dish_without_a_course_changes_no_other(typed: Typed) -> None:
    typed.done("mix", "cake", "1/4")
    assert shares(typed) == {"cake": "25 %"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["lamb", "0.6", "--only"], "110 %"),
        (["lamb", "lots"], "does not begin with a number"),
        (["lamb", "2 kg"], "is no share"),
        (["soup", "0.2"], "no dish is called 'soup'"),
        (["lamb", "0.2", "--service", "brunch"], "Pressed lamb"),
    ],
)
def test_a_mix_that_cannot_be(words: list[str], said: str, typed: Typed) -> None:
    assert said in typed.refused("mix", *words)
    assert shares(typed) == {}


def test_a_fixed_count_takes_the_place_of_chance(typed: Typed) -> None:
    typed.done("count-for", "lamb", "40")
    assert par(typed, "crisp")["par"]["amount"] == 40
    assert par(typed, "crisp")["source"] == "count"


def test_a_par_by_hand_and_back(typed: Typed) -> None:
    computed = par(typed, "crisp")
    typed.done("par", "rye crisp", "50")
    assert (par(typed, "crisp")["par"]["amount"], par(typed, "crisp")["source"]) == (50, "by hand")
    typed.done("par", "crisp", "--free")
    assert par(typed, "crisp") == computed


def test_a_standing_par_for_good_and_back(typed: Typed) -> None:
    typed.done("par", "crumb", "2 kg", "--standing")
    assert next(row for row in typed.json("pars") if row["prep"] == "crumb")["par"] == {"amount": 2, "unit": "kg"}
    typed.done("par", "crumb", "--free", "--standing")
    assert next(row for row in typed.json("pars") if row["prep"] == "crumb")["par"] == {"amount": 0.5, "unit": "kg"}


def test_a_par_needs_an_amount_or_free_and_not_both(typed: Typed) -> None:
    assert "AMOUNT, or --free" in typed.refused("par", "crisp", code=2)
    assert "AMOUNT, or --free" in typed.refused("par", "crisp", "5", "--free", code=2)


def test_all_computed_pars_by_a_percentage(typed: Typed) -> None:
    before = par(typed, "lamb-jus")["par"]["amount"]
    typed.done("adjust", "10")
    assert par(typed, "lamb-jus")["par"]["amount"] > before
    typed.done("adjust", "-10")
    assert par(typed, "lamb-jus")["par"]["amount"] < before
    assert "no whole percentage" in typed.refused("adjust", "some", code=2)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["covers", "brunch", "30", "--day", "2026-10-31"], "there is no Sunday brunch on Sat 31 Oct"),
        (["covers", "diner", "30"], "did you mean 'dinner'?"),
        (["covers", "dinner", "999999"], "cannot be"),
        (["count-for", "lamb", "4", "--day", "someday"], "is no day"),
    ],
)
def test_a_sitting_that_cannot_be(words: list[str], said: str, typed: Typed) -> None:
    assert said.casefold() in typed.refused(*words).casefold()


def test_who_and_where_are_kept(typed: Typed) -> None:
    typed.done("covers", "dinner", "100", "--by", "JP", "--station", "Sauce")
    last = typed.json("log")[-1]
    assert (last["by"], last["station"]) == ("JP", "sauce")
    assert "no station is called 'sous'" in typed.refused("covers", "dinner", "90", "--station", "sous")


def test_a_number_far_above_what_is_usual_is_asked_once(typed: Typed) -> None:
    """92 covers are usual, a litre or so of jus: ten times that is a slip of the hand until somebody is sure."""
    for words in (
        ("covers", "dinner", "9999"),
        ("par", "lamb-jus", "150 l"),
        ("par", "lamb-jus", "150 l", "--standing"),
        ("count-for", "lamb", "9000"),
        ("adjust", "250"),
        ("mix", "lamb", "9"),
        ("service", "add", "Late table", "--starts", "22:00", "--ends", "23:30", "--covers", "900", "--like", "dinner"),
        ("count", "lamb-jus", "150 l", "--made-at", "12:00"),
    ):
        result = typed(*words)
        assert result.exit_code == 1
        assert "more than three times what is usual" in result.stderr
        assert "--sure" in result.stderr
    changed = ("covers", "par", "standing par", "count for", "adjust", "added", "counted")
    assert [row for row in typed.json("log") if row["did"] in changed] == []
    typed.done("adjust", "250", "--sure")
    typed.done("adjust", "40")
    typed.done("par", "lamb-jus", "150 l", "--sure")
    assert par(typed, "lamb-jus")["par"]["amount"] in (150, 150_000)
    typed.done("covers", "dinner", "200")
