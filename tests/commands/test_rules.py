"""`show rules`: what is in force, where each number was read, and what the kitchen's own plan has looser."""

from __future__ import annotations

LOOSE = """
name = "Skerrow Kitchen"
time_zone = "Europe/Dublin"
ready_before = "0 min"
rules = "food-code-2022"
approved_plan = { number = "Plan 7", by = "City food office", on = "2026-03-01" }

[rules_of_the_house]
hot_holding = "55 C"
date_mark = "4 days"

[preps.crumb]
name = "Rye crumb"
keeps = "5 days"
makes = "1 kg"
par = "500 g"
"""


def test_every_number_is_shown_with_its_section_and_where_it_was_read(typed):
    text = " ".join(typed.done("show", "rules").split())
    assert "A help, not the law of the place" in text
    assert "57 °C (135 °F) hot holding 3-501.16(A)(1), Hot and Cold Holding." in text
    assert "7 days date mark 3-501.17(A)" in text


def test_a_script_gets_the_values_one_by_one(typed):
    rules = typed.json("rules")
    assert (rules["id"], rules["title"]) == ("food-code-2022", "FDA Food Code 2022")
    assert "not the law of the place" in rules["caution"]
    cooling = next(value for value in rules["values"] if value["key"] == "cooling_first_to")
    assert (cooling["value"], cooling["unit"], cooling["also"], cooling["also_unit"]) == (21, "C", 70, "F")
    assert (cooling["section"], cooling["status"]) == ("3-501.14(A)(1)", "read")
    header, *rows = typed.done("show", "rules", "--csv").splitlines()
    assert header == "key,value,unit,also,also_unit,section,title,source,status,note"
    assert len(rows) == len(rules["values"])


def test_what_the_kitchens_own_plan_has_looser_stands_on_every_page(typed, write_book):
    typed.done("load", str(write_book(LOOSE)))
    said = " ".join(typed.done("show", "rules").split())
    assert "section 3-501.16(A)(1), by this kitchen's own plan" in said
    assert "(Plan 7, approved 1 Mar 2026 by City food office)" in said
    assert "hot holding 55 °C (131 °F), not 57 °C." in said
    for page in ("make", "closing", "log"):
        assert "Looser than that by this kitchen's own plan" in typed.done("show", page)
    rules = typed.json("rules")
    loosened = {value["key"]: value["loosened_from"] for value in rules["values"] if "loosened_from" in value}
    assert loosened == {"hot_holding": {"value": 57, "unit": "C"}}
    assert rules["approved_plan"] == "Plan 7, approved 1 Mar 2026 by City food office"
