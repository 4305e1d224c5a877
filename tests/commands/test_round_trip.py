"""What prepboard writes for a spreadsheet it reads back: days are dates, amounts have their unit beside them."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from prepboard.commands.tables.spreadsheet import Sheet
from prepboard.paper.as_csv import table as as_csv

DAYS = {"2026-10-31": "dinner", "2026-11-01": "brunch"}


def saved(folder: Path, text: str) -> str:
    path = folder / "table.csv"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_business_day_is_its_date_in_json_and_csv(typed):
    assert typed.now.startswith("2026-10-31")
    pars = typed.json("pars")
    assert {par["service"] for par in pars if par["day"] == "2026-10-31"} == {"dinner"}
    assert "brunch" in {par["service"] for par in pars if par["day"] == "2026-11-01"}, "Sunday brunch, on its Sunday"
    rows = csv.DictReader(io.StringIO(typed.done("show", "pars", "--csv")))
    assert {row["day"] for row in rows} == {par["day"] for par in pars}
    dates = {serves["day"] for line in typed.json("make") for serves in line["for"]}
    assert "2026-10-31" in dates
    assert all(len(day) == 10 for day in dates)


def test_covers_are_read_from_the_table_that_was_written(typed, tmp_path):
    before = typed.json("pars")
    table = typed.done("show", "pars", "--csv")
    assert "all of it is so already" in typed.done("import", "covers", saved(tmp_path, _sittings(table, "92")))
    changed = saved(tmp_path, _sittings(table, "92").replace(",92,", ",94,"))
    typed.done("import", "covers", changed)
    assert {
        par["covers"] for par in typed.json("pars") if par["day"] == "2026-10-31" and par["service"] == "dinner"
    } == {94}
    typed.done("undo")
    assert typed.json("pars") == before


def _sittings(table: str, covers: str) -> str:
    """The lines of dinner on Saturday, several for one sitting."""
    head, *lines = table.splitlines()
    kept = [line for line in lines if line.startswith(f"dinner,2026-10-31,{covers},")]
    assert len(kept) > 1
    return "\n".join([head, *kept])


def test_pars_are_read_from_the_table_that_was_written_and_computed_ones_stay_computed(typed, tmp_path):
    typed.done("par", "crisp", "60", "--service", "dinner")
    before = typed.json("pars")
    table = typed.done("show", "pars", "--csv")
    head, *lines = table.splitlines()
    of_dinner = [line for line in lines if line.startswith("dinner,2026-10-31,")]
    assert len(of_dinner) > 2
    again = saved(tmp_path, "\n".join([head, *of_dinner]))
    assert "all of it was set already" in typed.done("import", "pars", again)
    assert typed.json("pars") == before
    jus = next(par for par in before if (par["prep"], par["day"]) == ("lamb-jus", "2026-10-31"))
    mine = [line.replace(f",{jus['par']['amount']},l,", ",8,l,", 1) for line in of_dinner]
    typed.done("import", "pars", saved(tmp_path, "\n".join([head, *mine])))
    now = {(par["prep"], par["source"]): par["par"]["amount"] for par in typed.json("pars") if par["service"]}
    assert now["lamb-jus", "by hand"] == 8
    assert now["crisp", "by hand"] == 60
    assert ("fat", "by hand") not in now


def test_past_plates_are_read_from_the_table_that_was_written(typed, tmp_path):
    past = "day,service,dish,plates,covers\n2026-10-29,dinner,lamb,20,90\n2026-10-29,dinner,hen,0,90\n"
    typed.done("history", "import", saved(tmp_path, past))
    written = typed.done("show", "sold", "--csv")
    assert sorted(written.splitlines()) == sorted(past.splitlines())
    assert typed.json("sold")[0] == {
        "day": "2026-10-29", "service": "dinner", "dish": "hen", "plates": 0, "covers": 90,
    }  # fmt: skip
    text = typed.done("show", "sold", "--from", "2026-10-29", "--to", "2026-10-29")
    assert "Pressed lamb" in text
    typed.done("undo")
    assert typed.done("history", "import", saved(tmp_path, written)) == "1 past sitting"


@pytest.mark.parametrize("name", ["=HYPERLINK(1)", "-5 %", "+44", "@home", "'tis"])
def test_a_text_that_was_guarded_against_formulas_comes_back_as_it_was(tmp_path, name):
    path = Path(saved(tmp_path, as_csv("sold", [{"day": name}])))
    assert Sheet(path, ("day",)).rows[0][1]["day"] == name
