"""A book is changed while the kitchen works: what goes is named with what hangs on it, and what is renamed stays."""

from __future__ import annotations

import json
from pathlib import Path

import pytest


@pytest.fixture
def changed(typed, book):
    """Loads the book again with some of its text replaced."""

    def change(*pairs: tuple[str, str]) -> str:
        path = Path(book) / "kitchen.toml"
        text = path.read_text(encoding="utf-8")
        for old, new in pairs:
            assert old in text
            text = text.replace(old, new)
        path.write_text(text, encoding="utf-8")
        return str(book)

    return change


JUS_TO_SAUCE = (("lamb-jus", "lamb-sauce"), ('name = "Lamb jus"', 'name = "Lamb sauce"\nwas = "lamb-jus"'))


def test_check_names_what_goes_and_what_hangs_on_it_and_changes_nothing(typed, changed):
    typed.done("done", "crisp", "20")
    typed.done("start", "crisp")
    typed.done("par", "crisp", "60", "--service", "dinner")
    folder = changed(("[preps.crisp]", "[preps.wafer]"), ("crisp =", "wafer ="))
    said = typed.done("load", folder, "--check")
    gone = next(line for line in said.splitlines() if "Rye crisp is gone" in line)
    assert "(prep 'crisp')" in gone
    assert "20 in batch " in gone
    assert "under way: " in gone
    assert "1 par by hand" in gone
    assert 'was = "crisp"' in said
    assert {line["prep"] for line in typed.json("underway")} == {"crisp"}
    assert "crisp" in {line["prep"] for line in typed.json("pars")}, "nothing was loaded"
    assert "Rye crisp is gone" in typed.done("load", folder)


def test_a_station_and_a_dish_that_go_are_named(typed, changed):
    typed.done("note", "fryer is on", "--to", "pastry")
    typed.done("plate", "lamb", "2", "--service", "dinner")
    folder = changed(
        ("[stations.pastry]", "[stations.sweet]"),
        ('station = "pastry"', 'station = "sweet"'), ("dishes.lamb", "dishes.x"),
    )  # fmt: skip
    said = typed.done("load", folder)
    assert "Pastry is gone from the book (station 'pastry'): 1 note" in said
    assert "Pressed lamb is gone from the book (dish 'lamb'): plates of 1 sitting, and what they taught" in said


def test_what_is_renamed_keeps_its_batches_its_runs_and_its_pars(typed, changed):
    code = typed.done("done", "lamb jus", "1 l").split("batch ")[1][:3]
    typed.done("start", "lamb jus")
    typed.done("par", "lamb jus", "6 l", "--service", "dinner")
    before = typed.json("left")
    said = typed.done("load", changed(*JUS_TO_SAUCE))
    assert "is gone" not in said
    label = typed.done("label", code)
    assert "Lamb sauce" in label
    assert "1 l" in label
    (run,) = typed.json("underway")
    assert run["prep"] == "lamb-sauce"
    par = next(line for line in typed.json("pars") if (line["prep"], line["day"]) == ("lamb-sauce", "2026-10-31"))
    assert (par["source"], par["par"]["amount"]) == ("by hand", 6)
    assert [line["plates_left"] for line in typed.json("left")] == [line["plates_left"] for line in before]
    assert "Lamb sauce" in typed.done("done", run["run"])
    typed.done("check")


def test_a_renamed_dish_keeps_what_its_services_taught(typed, changed, tmp_path):
    past = tmp_path / "past.csv"
    lines = [f"2026-10-{day:02},dinner,lamb,{20 + day % 5},90" for day in range(10, 30)]
    past.write_text("\n".join(["day,service,dish,plates,covers", *lines]), encoding="utf-8")
    typed.done("history", "import", str(past))
    before = typed("history", "show", "lamb").output
    assert "20 services learned" in before
    typed.done("load", changed(("[dishes.lamb]", '[dishes.shoulder]\nwas = "lamb"')))
    assert typed("history", "show", "shoulder").output == before


def test_a_run_under_way_whose_recipe_became_another_stays_under_its_old_name(typed, changed):
    typed.done("start", "lamb jus")
    typed.done("load", changed(*JUS_TO_SAUCE, ('  { do = "Reduce"', '  { do = "Skim" },\n  { do = "Reduce"')))
    (run,) = typed.json("underway")
    assert run["prep"] == "lamb-jus"
    typed.done("done", run["run"])


def test_load_names_the_batches_whose_life_it_shortens(typed, changed):
    """Made on Saturday with four days; by two it is good to Sunday."""
    code = typed.done("done", "lamb jus", "1 l").split("batch ")[1][:3]
    folder = changed(('keeps = "4 days"', 'keeps = "2 days"'))
    said = f"Lamb jus {code}: Sun instead of Tue by this book: label it anew"
    assert said in typed.done("load", folder, "--check").splitlines()
    told = json.loads(typed.done("load", folder, "--check", "--json"))["shorter"]
    assert told == [{"batch": code, "prep": "lamb-jus", "until": "2026-11-02T00:00:00+00:00",
                     "was": "2026-11-04T00:00:00+00:00"}]  # fmt: skip
    assert said in typed.done("load", folder).splitlines()
    assert "instead of" not in typed.done("load", folder)
    again = typed.done("load", changed(("covers = 92", "covers = 93")))
    assert "instead of" not in again, "this change shortens nothing"


def test_a_batch_that_ends_sooner_by_its_label_is_not_named(typed, changed):
    """Its label says four days; a book that had six has five now."""
    typed.done("done", "lamb jus", "1 l")
    typed.done("load", changed(('keeps = "4 days"', 'keeps = "6 days"')))
    assert "instead of" not in typed.done("load", changed(('keeps = "6 days"', 'keeps = "5 days"')), "--check")


def test_a_rule_book_with_shorter_days_names_them_and_a_longer_life_names_none(typed, changed):
    typed.done("done", "crisp", "20")
    code = typed.done("done", "lamb jus", "1 l").split("batch ")[1][:3]
    assert "instead of" not in typed.done("load", changed(('keeps = "4 days"', 'keeps = "6 days"')), "--check")
    house = 'rules = "food-code-2022"\n[rules_of_the_house]\ndate_mark = "3 days"\n'
    said = typed.done("load", changed(('rules = "food-code-2022"\n', house)), "--check")
    assert f"Lamb jus {code}: Mon instead of Tue" in said


def test_what_is_past_by_the_new_book_says_so_and_what_was_renamed_is_known(typed, changed):
    code = typed.done("done", "lamb jus", "1 l").split("batch ")[1][:3]
    typed.now = "2026-11-02T09:00+00:00"
    said = typed.done("load", changed(*JUS_TO_SAUCE, ('keeps = "4 days"', 'keeps = "2 days"')), "--check")
    assert f"Lamb sauce {code}: Sun instead of Tue by this book, which is past: bin it" in said
