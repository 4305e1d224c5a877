"""CSV: one row a line, units beside amounts, numbers as numbers, and nothing that a spreadsheet runs."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest

from prepboard.paper import as_csv, as_json
from prepboard.plan.board import Board


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.parametrize("what", ["make", "underway", "expiring", "left", "pars", "pull", "work"])
def test_the_columns_are_the_fields_of_the_json(what: str, board: Board) -> None:
    rows = as_json.shown(what, board)
    assert tuple(rows[0]) == as_csv.COLUMNS[what]
    amounts = {key for key, value in rows[0].items() if isinstance(value, dict)}
    header = as_csv.table(what, rows).splitlines()[0].split(",")
    assert header == [name for key in rows[0] for name in ((key, f"{key}_unit") if key in amounts else (key,))]


def test_an_empty_list_still_has_its_header() -> None:
    assert as_csv.table("work", []) == "station,before,hands_minutes,work_minutes,over_minutes,moves\n"


def test_amounts_are_a_number_and_a_unit(board: Board) -> None:
    (row,) = read(as_csv.table("make", as_json.shown("make", board)))
    assert (row["amount"], row["amount_unit"]) == ("1.2", "l")
    assert row["for"] == "dinner 2026-10-31 1 l; lunch crisp 2026-11-01 0.2 l"


@pytest.mark.parametrize(
    "text",
    [
        '=HYPERLINK("x")',
        "+cmd",
        "-2+3",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "\x1b[0m=1",
        " =1",
        "＝1+1",
        "＋1",
        "－2＋3",
        "＠SUM",
    ],
)  # fmt: skip
def test_a_cell_that_would_be_a_formula_begins_with_an_apostrophe(text: str) -> None:
    """OWASP, CSV Injection: cells that begin with = + - @, a tab or a carriage return, or their
    full-width forms, are run as formulas."""
    (row,) = read(as_csv.table("log", [{"at": "x", "why": text}]))
    assert row["why"].startswith("'")


@pytest.mark.parametrize("value", [-3, 2.5, 0])
def test_numbers_stay_numbers(value: Any) -> None:
    (row,) = read(as_csv.table("work", [{"work_minutes": value}]))
    assert float(row["work_minutes"]) == value


def test_a_text_that_is_a_number_stays_one() -> None:
    (row,) = read(as_csv.table("log", [{"at": "x", "after": "-4"}]))
    assert row["after"] == "-4"


def test_commas_quotes_and_line_breaks_do_not_break_a_row() -> None:
    (row,) = read(as_csv.table("log", [{"at": "x", "why": 'dropped, "twice"\nin the yard'}]))
    assert row["why"] == 'dropped, "twice" in the yard'
