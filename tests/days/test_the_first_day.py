"""The first day of a kitchen that has nothing, in a few minutes of typing: a book of its own, what is on the shelves,
tonight's guests, and a board that is true and no wall of "late"."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from prepboard.cli import cli

NOON = "2026-10-31T12:00:00+00:00"

LEG = """
[preps.brined-leg]
name = "Brined leg"
station = "sauce"
keeps = "5 days"
makes = "4 kg"
steps = [
  { do = "Brine", hands_on = "30 min", wait = "36 h", wait_up_to = "48 h", place = "chilled" },
  { do = "Poach", hands_on = "10 min", wait = "2 h", at = "80 C" },
]
[dishes.leg]
course = "main"
share = 0.3
plate = { brined-leg = "150 g" }
"""
"""A dish that nobody can make in a day."""


@pytest.fixture
def typed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)
    settings = {"PREPBOARD_FILE": str(tmp_path / "kitchen.db"), "PREPBOARD_NOW": NOON, "PREPBOARD_BY": "mr"}

    def type_(*words: str) -> str:
        result = CliRunner(env=settings).invoke(cli, list(words), prog_name="prepboard")
        assert result.exit_code == 0, result.stderr
        return result.stdout

    return type_


def make(typed) -> dict[str, dict]:
    """Tonight's lines by prep."""
    lines = json.loads(typed("show", "make", "--json"))["make"]
    return {line["prep"]: line for line in lines if any(one["day"] == "2026-10-31" for one in line["for"])}


def test_from_nothing_to_a_board_that_is_true(typed, tmp_path: Path) -> None:
    typed("new", "book")
    (tmp_path / "book" / "leg.toml").write_text(LEG, encoding="utf-8")
    assert "7 preps" not in typed("load", "book", "--check")
    assert "6 preps, 2 dishes" in typed("load", "book")

    board = typed("station", "sauce")
    assert "from tomorrow: Brined leg" in board, "what could never have been made for today is no late line"
    assert not [line for line in board.splitlines() if "Brined leg" in line and "late" in line]
    asked = make(typed)["onion-puree"]["amount"]

    rows = list(csv.DictReader(io.StringIO(typed("show", "stock", "--csv"))))
    for row in rows:
        if row["prep"] == "onion-puree":
            row.update(amount="6 kg", unit="", made_at="2026-10-31")
        if row["prep"] == "brined-leg":
            row.update(amount="9 kg", unit="", made_at="2026-10-30")
    with (tmp_path / "shelves.csv").open("w", newline="", encoding="utf-8") as file:
        table = csv.DictWriter(file, rows[0])
        table.writeheader()
        table.writerows(rows)
    assert "2 batches are on the shelf" in typed("import", "stock", "shelves.csv", "--sure")
    assert asked["amount"] > 0
    assert "onion-puree" not in make(typed)
    assert "Brined leg" not in typed("station", "sauce").partition("UNDER WAY")[0]

    typed("count", "green sauce", "800 ml", "--made-at", "2026-10-31T09:00")
    few = make(typed)["roast-roots"]["amount"]["amount"]
    typed("covers", "dinner", "100")
    assert make(typed)["roast-roots"]["amount"]["amount"] >= few

    shown = typed("station", "sauce")
    assert "100 covers" in shown
    assert typed("check")
    to_make = shown.partition("TO MAKE")[2].partition("UNDER WAY")[0].splitlines()[1:]
    late = [line for line in to_make if " late" in line]
    assert len([line for line in to_make if line.strip()]) >= 3
    assert late == [], "at noon all of tonight can still be made in time"


TWELVE_LINES = """name = "Quay Kitchen"

[preps.broth]
name = "Chicken broth"
keeps = "3 days"
makes = "5 l"
par = "5 l"

[preps.pickle]
name = "Pickled onion"
keeps = "7 days"
makes = "1 kg"
par = "500 g"
"""


def test_on_the_first_noon_of_the_smallest_book_nothing_is_late(typed, tmp_path: Path) -> None:
    """What should have stood there as the day began could not have been made: from tomorrow on it can be late."""
    (tmp_path / "book").mkdir()
    (tmp_path / "book" / "small.toml").write_text(TWELVE_LINES, encoding="utf-8")
    typed("load", "book")
    lines = json.loads(typed("show", "make", "--json"))["make"]
    assert {line["prep"] for line in lines} == {"broth", "pickle"}
    assert {line["late_minutes"] for line in lines} == {0}
    assert {line["for"][0]["day"] for line in lines if line["for"]} >= {"2026-11-01"}
    assert " late" not in typed("station", "kitchen")


def test_on_a_day_on_which_its_bench_is_closed_nothing_should_stand_there(typed, tmp_path: Path) -> None:
    """The starter book's kitchen is closed on Mondays: its stock is for Tuesday, and not late since Monday morning."""
    typed("new", "book")
    typed("load", "book")
    settings = {"PREPBOARD_FILE": str(tmp_path / "kitchen.db"), "PREPBOARD_NOW": "2026-11-02T11:00:00+00:00"}
    shown = CliRunner(env=settings).invoke(cli, ["show", "make", "--json"], prog_name="prepboard").stdout
    of_stock = [line for line in json.loads(shown)["make"] if line["prep"] == "root-stock"]
    assert of_stock[0]["for"][0]["day"] == "2026-11-03"
    assert {line["late_minutes"] for line in json.loads(shown)["make"]} == {0}


def test_what_should_stand_there_on_the_second_morning_is_late_when_nobody_made_it(
    typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "book").mkdir()
    (tmp_path / "book" / "small.toml").write_text(TWELVE_LINES, encoding="utf-8")
    typed("load", "book")
    settings = {"PREPBOARD_FILE": str(tmp_path / "kitchen.db"), "PREPBOARD_NOW": "2026-11-01T09:00:00+00:00"}
    shown = CliRunner(env=settings).invoke(cli, ["show", "make", "--json"], prog_name="prepboard").stdout
    late = {line["prep"]: line["late_minutes"] for line in json.loads(shown)["make"] if line["late_minutes"]}
    assert late == {"broth": 300, "pickle": 300}
