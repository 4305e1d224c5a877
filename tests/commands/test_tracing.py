"""Traces and withdrawals, typed."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.commands.conftest import Typed


@pytest.fixture
def pack(typed: Typed) -> str:
    """A pack of flour of lot F7, crisps made of it, two plates of cake that have one each."""
    said = typed.done("open", "flour", "--lot", "F7", "--at", "09:00")
    typed.done("done", "crisp", "24", "--at", "13:00")
    typed.done("plate", "cake", "2", "--day", "tomorrow")
    return said.split("batch ")[1].split(",")[0]


def test_a_trace_goes_both_ways_to_the_end(typed: Typed, pack: str) -> None:
    whole: dict[str, Any] = typed.json("trace", pack)
    assert (whole["batch"], whole["goods"], whole["prep"], whole["lot"]) == (pack, "flour", None, "F7")
    assert whole["made_from"] == []
    (crisp,) = whole["went_into"]
    assert (crisp["prep"], crisp["amount"]) == ("crisp", None)
    (cake,) = crisp["went_into"]
    assert cake == {"dish": "cake", "service": "brunch", "day": "2026-11-01", "plates": 2}
    back = typed.json("trace", crisp["batch"])
    assert [link["batch"] for link in back["made_from"]] == [pack]
    assert back["went_into"] == [cake]


def test_a_trace_on_paper_and_in_a_spreadsheet(typed: Typed, pack: str) -> None:
    text = typed.done("show", "trace", pack)
    assert "MADE FROM" in text
    assert f"Flour, lot F7 {pack}" in text
    assert "2 plates of Brunch cake, Sun Sunday brunch, Sun 1 Nov" in text
    rows = list(csv.DictReader(io.StringIO(typed.done("show", "trace", pack, "--csv"))))
    assert [(row["way"], row["depth"], row["dish"], row["plates"]) for row in rows] == [
        ("went_into", "0", "", ""),
        ("went_into", "1", "cake", "2"),
    ]
    assert "there is no batch" in typed.refused("show", "trace", "ZZZ")


def test_withdrawn_only_when_sure(typed: Typed, pack: str) -> None:
    said = typed.refused("withdraw", "F7")
    assert pack in said
    assert "gone out: 2 or more of Brunch cake, Sunday brunch 2026-11-01" in said
    assert typed.json("closing")["discard"] == []
    typed.done("withdraw", "F7", "--why", "weevils", "--sure")
    discards = typed.json("closing")["discard"]
    assert {(line["reason"], line["why"]) for line in discards} == {("unsafe", "blocked: withdrawn: weevils")}
    assert len(discards) == 2
    assert "weevils" in typed.refused("open", "flour", "--lot", "F7")
