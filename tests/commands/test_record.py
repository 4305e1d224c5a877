"""`show record`: what an inspector asks for, from the log and the readings, as text, JSON, CSV and a page to print."""

from __future__ import annotations

import csv
import io

import pytest

PLAN = "Plan 7, approved 1 Mar 2026 by City food office"
LOOSE = """
name = "Skerrow Kitchen"
time_zone = "Europe/Dublin"
rules = "food-code-2022"
approved_plan = { number = "Plan 7", by = "City food office", on = "2026-03-01" }
[rules_of_the_house]
cold_holding = "6 C"
[places.fridge]
name = "Fridge"
store = "chilled"
[tasks.fridge]
name = "Read the fridge"
when = "open"
reads = "C"
[preps.crumb]
name = "Rye crumb"
keeps = "5 days"
makes = "1 kg"
par = "500 g"
"""


def at(typed, clock, day="2026-10-31"):
    typed.now = f"{day}T{clock}+00:00"
    return typed


_WRITTEN: dict[str, tuple[bytes, str, str]] = {}
"""The file of `kept`, typed once."""


@pytest.fixture
def kept(typed):
    """Saturday: jus made, read twice and corrected; a crisp thrown away; a reading taken back."""
    file = typed.folder / "kitchen.db"
    if not _WRITTEN:
        codes = _write(typed)
        _WRITTEN["kept"] = (file.read_bytes(), *codes)
    whole, jus, crisp = _WRITTEN["kept"]
    file.write_bytes(whole)
    return at(typed, "18:00"), jus, crisp


def _write(typed):
    typed.done("start", "lamb-jus")
    jus = typed.done("done", "lamb-jus").split("batch ")[1].split(",")[0]
    crisp = typed.done("done", "crisp").split("batch ")[1].split(",")[0]
    at(typed, "15:00").done("temp", jus, "50")
    at(typed, "16:30").done("temp", jus, "30")
    at(typed, "17:00").done("temp", jus, "80", "--reheat")
    typed.done("corrected", jus, "--how", "boiled, cooled on ice")
    at(typed, "17:10").done("discard", crisp, "10 each", "--why", "dropped")
    at(typed, "17:20").done("temp", "walk-in", "40")
    typed.done("undo")
    return jus, crisp


def test_the_record_of_a_day_has_readings_batches_discards_and_corrections_in_order(kept):
    typed, jus, crisp = kept
    lines = typed.json("record")
    kinds = [line["kind"] for line in lines]
    assert kinds == [*["batch"] * 3, *["reading"] * 3, "correction", "discard", "reading", "correction"]
    assert [line["at"] for line in lines] == sorted(line["at"] for line in lines)
    first, missed, heated = (line for line in lines if line["what"] == f"Lamb jus {jus}" and line["kind"] == "reading")
    assert (first["value"], first["limit"], first["ok"], first["by"]) == ("50 °C", "21 °C (70 °F) by 16:22", True, "LM")
    assert (missed["value"], missed["ok"]) == ("30 °C", False)
    assert (heated["limit"], heated["ok"]) == ("74 °C (165 °F) or above", True)
    corrected = next(line for line in lines if line["value"].startswith("corrected"))
    assert corrected["value"] == "corrected: boiled, cooled on ice"
    assert corrected["limit"] == "cooled too slowly, 3-501.14 and 3-403.11"
    thrown = next(line for line in lines if line["kind"] == "discard")
    assert (thrown["what"], thrown["value"], thrown["limit"]) == (f"Rye crisp {crisp}", "10", "dropped")


def test_what_was_taken_back_stays_and_says_so(kept):
    typed, _jus, _crisp = kept
    slip = next(line for line in typed.json("record") if line["value"] == "40 °C")
    assert slip["taken_back"] == {"by": "LM", "at": "2026-10-31T17:20:00+00:00"}
    assert "Walk-in: 40 °C is out of range" in str(typed.json("record")[-1])


def test_a_week_or_a_day_is_asked_for_by_its_ends(kept):
    typed, _jus, _crisp = kept
    assert len(typed.json("record", "--from", "2026-10-26", "--to", "2026-11-01")) == 10
    at(typed, "10:00", "2026-11-01").done("temp", "walk-in", "3")
    at(typed, "11:00", "2026-11-01")
    assert [line["value"] for line in typed.json("record")] == ["3 °C"]
    assert len(typed.json("record", "--from", "2026-10-31", "--to", "2026-11-01")) == 11
    assert len(typed.json("record", "--from", "2026-10-31", "--to", "2026-10-31")) == 10


def test_a_page_to_print_says_on_which_basis_and_that_the_log_is_whole(kept):
    typed, jus, _crisp = kept
    page = typed.done("show", "record", "--html")
    assert page.startswith("<!doctype html>")
    assert "Skerrow Kitchen: record from Saturday 31 October 2026 04:00 to Saturday 31 October 2026 18:00" in page
    assert '<tr class="out"><td>Saturday 31 October 2026 16:30</td><td>reading</td>' in page
    assert f"<td>Lamb jus {jus}</td><td>30 °C</td>" in page
    for said in ("Judged by FDA Food Code 2022. A help, not the law of the place", "Clock set by hand.", "unbroken"):
        assert said in page
    seal = page.split("Seal of the log: ")[1].split("</p>")[0]
    assert "whole" in typed.done("check", "--seal", seal)
    assert "http" not in page


def test_a_row_of_a_spreadsheet_stands_alone(kept):
    typed, _jus, _crisp = kept
    rows = list(csv.DictReader(io.StringIO(typed.done("show", "record", "--csv"))))
    assert len(rows) == 10
    assert {(row["rule_book"], row["clock"]) for row in rows} == {("food-code-2022", "by hand")}
    assert [row["ok"] for row in rows if row["kind"] == "reading"] == ["yes", "no", "yes", "no"]


def test_the_text_says_what_is_out_of_range_in_words(kept):
    typed, _jus, _crisp = kept
    text = " ".join(typed.done("show", "record").split())
    assert "OUT OF RANGE, 21 °C (70 °F) by 16:22" in text
    assert "The log is unbroken from line 1, the first of this record, to its last." in text


def test_what_is_looser_than_the_code_stands_in_every_form(kept, write_book):
    typed, _jus, _crisp = kept
    typed.done("load", str(write_book(LOOSE)))
    assert f"by this kitchen's own plan ({PLAN})" in " ".join(typed.done("show", "record").split())
    assert f"by this kitchen&#x27;s own plan ({PLAN})" in typed.done("show", "record", "--html")
    assert all(line["looser"] == ["cold_holding"] for line in typed.json("record"))


def test_what_a_task_asks_to_be_read_is_in_the_record(typed, write_book):
    typed.done("load", str(write_book(LOOSE)))
    typed.done("task", "fridge", "3")
    typed.done("temp", "fridge", "4")
    lines = [(line["what"], line["value"], line["ok"]) for line in typed.json("record")]
    assert sorted(lines) == [("Fridge", "4 °C", True), ("Read the fridge", "3 °C", None)]


def test_one_form_at_a_time(typed):
    assert "only one of them" in typed.refused("show", "record", "--html", "--csv", code=2)
