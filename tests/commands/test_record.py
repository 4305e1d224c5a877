"""`show record`: what an inspector asks for, from the log and the readings, as text, JSON, CSV and a page to print."""

from __future__ import annotations

import csv
import io

import pytest

PLAN = "Plan 7, approved 1 Mar 2026 by City food office"
LOOSE = """
name = "Skerrow Kitchen"
time_zone = "Europe/Dublin"
ready_before = "0 min"
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


LINES = 11
"""Of Saturday in `kept`, the load of the book among them."""

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
    kinds = [line["kind"] for line in lines if line["kind"] != "rules"]
    assert kinds == [*["batch"] * 3, *["reading"] * 3, "correction", "discard", "reading", "correction"]
    assert [line["at"] for line in lines] == sorted(line["at"] for line in lines)
    first, missed, heated = (line for line in lines if line["what"] == f"Lamb jus {jus}" and line["kind"] == "reading")
    assert (first["value"], first["limit"], first["ok"], first["by"]) == ("50 °C", "21 °C (70 °F) by 16:22", True, "LM")
    assert (missed["value"], missed["ok"]) == ("30 °C", False)
    assert (heated["limit"], heated["ok"]) == ("74 °C (165 °F) or above", True)
    corrected = next(line for line in lines if line["did"] == "corrected")
    assert corrected["value"] == "corrected: boiled, cooled on ice"
    assert corrected["limit"] == "cooled too slowly, 3-501.14 and 3-403.11"
    thrown = next(line for line in lines if line["kind"] == "discard")
    assert (thrown["what"], thrown["value"], thrown["limit"]) == (f"Rye crisp {crisp}", "10", "dropped")
    made = next(line for line in lines if line["what"] == f"Lamb jus {jus}")
    assert "use by Tue 3 Nov 2026, to midnight" in made["limit"]


def test_what_was_taken_back_stays_and_says_so(kept):
    typed, _jus, _crisp = kept
    slip = next(line for line in typed.json("record") if line["value"] == "40 °C")
    assert slip["taken_back"] == {"by": "LM", "at": "2026-10-31T17:20:00+00:00"}
    assert typed.json("record")[-1]["value"].startswith("undone: Walk-in: 40 °C is out of range")


def test_a_reading_and_the_one_in_its_place_are_linked_with_both_moments(kept):
    """What was taken back, and what was typed in its place for an earlier moment, are seen together."""
    typed, _jus, _crisp = kept
    at(typed, "17:40").done("temp", "walk-in", "3", "--at", "17:15")
    read = [line for line in typed.json("record") if line["what"] == "Walk-in" and line["kind"] == "reading"]
    right, slip = read
    assert (slip["value"], slip["replaced_by"]) == ("40 °C", "3 °C")
    assert (right["in_place_of"], right["entered"]) == ("40 °C", "2026-10-31T17:40:00+00:00")
    text = " ".join(typed.done("show", "record").split())
    assert "entered Sat 31 Oct 2026 17:40" in text
    assert "in its place 3 °C, Sat 31 Oct 2026 17:15" in text
    assert "in place of 40 °C, undone" in text


def test_moves_counts_deliveries_and_sign_offs_stand_in_it(kept):
    typed, jus, crisp = kept
    typed.done("freeze", jus)
    typed.done("count", crisp, "5 each")
    typed.done("delivered", "flour", "5 kg", "--temp", "3", "--from", "Mill House", "--lot", "F7")
    at(typed, "22:40").done("sign", "pastry")
    lines = {line["kind"]: line for line in typed.json("record")}
    assert lines["place"]["value"].startswith("frozen: Walk-in")
    assert lines["count"]["value"].endswith("→ 5")
    assert (lines["delivery"]["what"], lines["delivery"]["limit"]) == ("Flour", "F7, 3 C, Mill House")
    assert lines["sign-off"]["value"] == "close of 31 Oct 2026, signed LM"
    assert (lines["sign-off"]["what"], lines["sign-off"]["by"]) == ("Pastry", "LM")


def test_a_delivery_that_was_sent_back_stands_in_it(typed, write_book):
    """FDA Food Code 2022, 3-202.11(A), from memory: refused, by whom and why."""
    typed.done("load", str(write_book(LOOSE + '[goods.cream]\nunit = "l"\nstore = "chilled"\n')))
    assert "send it back" in typed.refused("delivered", "cream", "2 l", "--temp", "9", "--from", "Hill dairy")
    line = next(line for line in typed.json("record") if line["kind"] == "delivery")
    assert line["value"] == "sent back: 2 l"
    assert "it must be 6 °C (42.8 °F) or colder" in line["limit"]
    assert "Hill dairy" in line["limit"]
    assert typed.done("check").startswith("the file is whole")


def test_a_batch_that_may_not_be_used_says_so(typed):
    jus = typed.done("done", "lamb-jus").split("batch ")[1].split(",")[0]
    typed.done("block", jus, "--why", "smells odd")
    line = next(line for line in typed.json("record") if line["kind"] == "batch")
    assert line["may_be_used"] is False
    assert "may not be used: smells odd" in " ".join(typed.done("show", "record").split())


def test_a_week_or_a_day_is_asked_for_by_its_ends(kept):
    typed, _jus, _crisp = kept
    assert len(typed.json("record", "--from", "2026-10-26", "--to", "2026-11-01")) == LINES
    at(typed, "10:00", "2026-11-01").done("temp", "walk-in", "3")
    at(typed, "11:00", "2026-11-01")
    assert [line["value"] for line in typed.json("record")] == ["3 °C"]
    assert len(typed.json("record", "--from", "2026-10-31", "--to", "2026-11-01")) == LINES + 1
    assert len(typed.json("record", "--from", "2026-10-31", "--to", "2026-10-31")) == LINES


def test_a_page_to_print_says_on_which_basis_and_that_the_log_is_whole(kept):
    """Days are headings, since each line has two moments."""
    typed, jus, _crisp = kept
    page = typed.done("show", "record", "--html")
    assert page.startswith("<!doctype html>")
    assert "Skerrow Kitchen: record from Sat 31 Oct 2026 04:00 to Sat 31 Oct 2026 18:00" in page
    assert "<tr class=day><th colspan=8>Saturday 31 Oct 2026</th></tr>" in page
    assert '<tr class="out"><td>16:30</td><td>reading</td>' in page
    assert f"<td>Lamb jus {jus}</td><td>30 °C</td>" in page
    for said in ("held to FDA Food Code 2022", "A help, not the law of the place", "Clock set by hand.", "unbroken"):
        assert said in page
    for said in ("Not checked here: garlic", "Looked through by (initials, day)", "was loaded by LM, Sat 31 Oct 2026"):
        assert said in page
    seal = page.split("Seal of the log: ")[1].split("</p>")[0]
    assert "whole" in typed.done("check", "--seal", seal)
    assert "http" not in page


def test_a_row_of_a_spreadsheet_stands_alone(kept):
    typed, _jus, _crisp = kept
    rows = list(csv.DictReader(io.StringIO(typed.done("show", "record", "--csv"))))
    assert len(rows) == LINES
    assert {(row["rule_book"], row["clock"]) for row in rows} == {("food-code-2022", "by hand")}
    assert [row["ok"] for row in rows if row["kind"] == "reading"] == ["yes", "no", "yes", "no"]


def test_the_text_says_what_is_out_of_range_in_words(kept):
    typed, _jus, _crisp = kept
    text = " ".join(typed.done("show", "record").split())
    assert "in time, 21 °C (70 °F) by 16:22" in text
    assert "OUT OF RANGE, 21 °C (70 °F) by 16:22" in text
    assert "corrective action" in text
    assert "The log is unbroken from line 1, the first of this record, to its last." in text


def test_who_loaded_what_is_looser_stands_in_every_form(kept, write_book):
    typed, _jus, _crisp = kept
    typed.done("load", str(write_book(LOOSE)))
    assert f"by this kitchen's own plan ({PLAN})" in " ".join(typed.done("show", "record").split())
    assert f"by this kitchen&#x27;s own plan ({PLAN})" in typed.done("show", "record", "--html")
    lines = typed.json("record")
    assert all(line["looser"] == ["cold_holding"] for line in lines)
    loads = [line for line in lines if line["kind"] == "rules"]
    assert loads[0]["limit"] == "FDA Food Code 2022: nothing in it is looser than its code"
    assert (loads[-1]["by"], "cold holding 6 °C" in loads[-1]["limit"]) == ("LM", True)


def test_what_a_task_asks_to_be_read_is_in_the_record(typed, write_book):
    typed.done("load", str(write_book(LOOSE)))
    typed.done("task", "fridge", "3")
    typed.done("temp", "fridge", "4")
    lines = [(line["what"], line["value"], line["ok"]) for line in typed.json("record") if line["kind"] == "reading"]
    assert sorted(lines) == [("Fridge", "4 °C", True), ("Read the fridge", "3 °C", None)]


def test_one_form_at_a_time(typed):
    assert "only one of them" in typed.refused("show", "record", "--html", "--csv", code=2)


def test_a_probe_and_its_checks_stand_beside_what_it_read(typed):
    at(typed, "14:00").done("temp", "walk-in", "3", "--probe", "Blue")
    assert "good: ice water" in at(typed, "14:10").done("probe", "Blue", "--ice", "0.4")
    at(typed, "14:20").done("temp", "walk-in", "4", "--probe", "Blue")
    said = at(typed, "14:30").done("probe", "Blue", "--ice", "2 C")
    assert "1 reading, of Walk-in" in said
    lines = [line for line in typed.json("record") if line["what"] in ("Walk-in", "Blue")]
    assert [(line["kind"], line["value"], line["ok"], line["probe_good"]) for line in lines] == [
        ("reading", "3 °C", True, None), ("probe", "0.4 °C", True, None),
        ("reading", "4 °C", True, False), ("probe", "2 °C", False, None),
    ]  # fmt: skip
    assert lines[2]["probe_checked"] == "2026-10-31T14:10:00+00:00"
    text = " ".join(typed.done("show", "record").split())
    assert "probe Blue, not checked before" in text
    assert "probe Blue, checked Sat 31 Oct 2026 14:10: 0.4 °C in ice water; found out later" in text
    assert "14:30: 2 °C in ice water, OUT OF TOLERANCE" in text
    assert "say what it read" in typed.refused("probe", "Blue", code=2)


def test_a_good_check_in_ice_does_not_hide_a_bad_one_in_boiling_water(typed):
    at(typed, "14:00").done("probe", "Blue", "--boiling", "95")
    at(typed, "14:05").done("probe", "Blue", "--ice", "0")
    at(typed, "14:10").done("temp", "walk-in", "3", "--probe", "Blue")
    line = next(line for line in typed.json("record") if line["kind"] == "reading")
    assert (line["probe_good"], line["probe_checked"]) == (False, "2026-10-31T14:00:00+00:00")
    text = " ".join(typed.done("show", "record").split())
    assert "probe Blue, checked Sat 31 Oct 2026 14:00: 95 °C in boiling water, OUT OF TOLERANCE" in text
