"""Special days, new recipes, past services and tables from a spreadsheet, as typed."""

from __future__ import annotations

import json
import sqlite3
from datetime import date, timedelta
from pathlib import Path

import pytest


def refused(typed, *words: str) -> str:
    """The lines that a command that must not succeed prints on stderr."""
    result = typed(*words)
    assert (result.exit_code, result.stdout) == (1, ""), result.output
    return result.stderr


HEAD = "day,service,dish,plates,covers\n"


@pytest.fixture
def table(tmp_path: Path):
    def write(text: str, name: str = "past.csv") -> str:
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def dinners(n: int) -> str:
    days = [date(2026, 10, 30) - timedelta(days=back) for back in range(n)]
    return HEAD + "".join(f"{day},dinner,lamb,{20 + day.day % 7},90\n{day},Dinner,Braised hen,40,90\n" for day in days)


def test_past_services_are_imported_and_make_the_pars(typed, table):
    assert typed("history", "import", table(dinners(12))).output == "12 past sittings\n"
    jus = next(par for par in typed.json("pars") if par["prep"] == "lamb-jus")
    assert (jus["source"], jus["stage"]) == ("history", "learning")
    assert {sales["dish"]: sales["services"] for sales in jus["dishes"]} == {"lamb": 12, "hen": 12}
    assert jus["promise"] >= 0.95
    shown = typed("history", "show", "lamb").output
    for_scripts = json.loads(typed("history", "show", "lamb", "--json").output)
    assert for_scripts["services_learned"] == len(for_scripts["history"])
    assert {"day", "service", "plates", "par_plates", "ran_out", "clipped"} == set(for_scripts["history"][0])
    rows = typed("history", "show", "lamb", "--csv").output.splitlines()
    assert rows[0] == "day,service,plates,par_plates,ran_out,clipped"
    assert len(rows) == 1 + len(for_scripts["history"])
    assert "12 services learned (learning)." in shown
    assert shown.count("|") == 12


def test_every_line_that_does_not_fit_is_named_and_nothing_is_imported(typed, table):
    text = HEAD + (
        "2026-10-30,dinner,lamb,20,90\n"
        "2026-10-30,dinner,mutton,20,90\n"
        "2026-10-30,dinner,lamb,21,90\n"
        "2026-10-30,dinner,hen,twelve,90\n"
        "2026-10-30,dinner,hen,12,91\n"
        "10/11/2026,dinner,hen,12,90\n"
        "2026-12-24,dinner,hen,12,90\n"
        "2026-10-29,supper,hen,12,90\n"
        "2026-10-29,dinner,hen,12,\n"
    )
    said = refused(typed, "history", "import", table(text)).splitlines()
    assert [line.split(":")[1] for line in said] == [f" past.csv, line {n}" for n in (3, 4, 5, 6, 7, 8, 9, 10)] + [
        " past.csv"
    ]
    for n, words in enumerate(
        (
            "no dish is called 'mutton'",
            "has a line already",
            "'twelve'",
            "90 in line 2",
            "no day",
            "not over",
            "no service",
            "covers",
        )
    ):
        assert words in said[n]
    assert "nothing was imported: 8 of 9 lines do not fit" in said[-1]
    assert all(par["source"] == "mix" for par in typed.json("pars") if par["prep"] == "lamb-jus")
    assert typed("history", "import", table(dinners(12))).output == "12 past sittings\n"


def test_what_was_imported_once_is_not_imported_again(typed, table):
    typed("history", "import", table(dinners(2)))
    assert "has plates already" in refused(typed, "history", "import", table(dinners(2)))


def test_an_import_is_taken_back(typed, table):
    typed("history", "import", table(dinners(10)))
    assert "undone: 10 past sittings" in typed("undo").output
    assert "No service of it has been learned yet." in typed("history", "show", "lamb").output


@pytest.mark.parametrize("cut", [";", "\t"])
def test_tables_as_other_spreadsheets_save_them(typed, table, cut):
    assert typed("history", "import", table("\ufeff" + dinners(3).replace(",", cut))).output == "3 past sittings\n"


def test_a_table_that_is_none_is_refused_in_words(typed, table, tmp_path):
    assert "no column 'covers'" in refused(typed, "history", "import", table("day,service,dish,plates\n"))
    assert "cannot be read" in refused(typed, "history", "import", str(tmp_path / "none.csv"))
    (tmp_path / "odd.csv").write_bytes(b"\xff\xfe\x00")
    assert "it is no text" in refused(typed, "history", "import", str(tmp_path / "odd.csv"))


def test_covers_from_a_spreadsheet_are_saved_together_or_not_at_all(typed, table):
    good = "day,service,covers\n2026-10-31,dinner,94\n2026-11-01,Sunday brunch,31\n"
    bad = good + "2026-11-02,brunch,12\n2026-10-30,dinner,12\n2026-10-31,dinner,7\n"
    said = refused(typed, "import", "covers", table(bad))
    for words in ("line 4: there is no such sitting", "line 5: that sitting is over", "line 6: that number has a line"):
        assert words in said
    assert {par["covers"] for par in typed.json("pars") if par["service"] == "dinner"} == {92}
    typed("import", "covers", table(good))
    assert {(par["service"], par["covers"]) for par in typed.json("pars")} >= {("dinner", 94), ("brunch", 31)}
    typed("undo")
    assert {par["covers"] for par in typed.json("pars") if par["service"] == "dinner"} == {92}


def test_pars_from_a_spreadsheet(typed, table):
    text = "prep,amount,day,service\nlamb jus,6 l,2026-10-31,dinner\nfat,500 g,,\n"
    typed("import", "pars", table(text))
    pars = {(par["prep"], par["source"]): par["par"]["amount"] for par in typed.json("pars")}
    assert pars["lamb-jus", "by hand"] == 6
    assert any(prep == "fat" and source == "standing" for prep, source in pars)
    said = refused(typed, "import", "pars", table("prep,amount\ngravy,1 l\nlamb jus,a lot\n"))
    assert "line 2: no prep is called 'gravy'" in said
    assert "line 3: Lamb jus" in said


def test_a_special_day_has_no_promise(typed, table):
    typed("history", "import", table(dinners(12)))
    assert "special" in typed("special", "dinner").output
    jus = next(par for par in typed.json("pars") if par["prep"] == "lamb-jus")
    assert (jus["special"], jus["promise"]) == (True, None)
    shown = typed("show", "pars").output
    assert "no promise" in shown
    assert "A special day: history has no promise for it." in " ".join(shown.split())
    typed("special", "dinner", "--off")
    assert "no promise" not in typed("show", "pars").output


def test_a_new_recipe(typed, table):
    typed("history", "import", table(dinners(12)))
    assert typed("reset", "braised hen").output == "Braised hen: old sales count less from now on\n"
    assert "no dish is called" in refused(typed, "reset", "soup")


def test_goods_from_a_spreadsheet_change_costs_in_the_books_own_lines(typed, table, book):
    before = (book / "kitchen.toml").read_text(encoding="utf-8")
    text = "goods,cost,unit,allergens\nbones,3.20,,\nFlour,0.9,,\nmalt,4,kg,gluten\n"
    said = typed.done("import", "goods", table(text), "--book", str(book))
    assert "changed: kitchen.toml, goods-imported.toml" in said
    after = (book / "kitchen.toml").read_text(encoding="utf-8")
    assert after == before.replace("[goods.bones]\n", "[goods.bones]\ncost = 3.20\n").replace(
        "[goods.flour]\n", "[goods.flour]\ncost = 0.9\n"
    )
    added = (book / "goods-imported.toml").read_text(encoding="utf-8")
    assert added == '[goods.malt]\nunit = "kg"\ncost = 4\nallergens = ["gluten"]\n'
    again = typed.done("import", "goods", table("goods,cost\nbones,3.20\n"), "--book", str(book))
    assert "all of it already" in again


def test_goods_that_do_not_fit_change_no_file(typed, table, book):
    before = (book / "kitchen.toml").read_text(encoding="utf-8")
    text = "goods,cost,unit\nbones,cheap,\nmalt,4,\nMalted Oats,4,kg\nbarley,4,kg\nbarley,5,kg\n"
    said = refused(typed, "import", "goods", table(text), "--book", str(book))
    for words in ("line 2: 'cheap'", "line 3: malt is new", "line 4: no goods", "line 6: barley has a line"):
        assert words in said
    assert "bushel" in refused(
        typed, "import", "goods", table("goods,cost,unit\nbarley,4,bushel\n"), "--book", str(book)
    )
    assert [path.name for path in book.iterdir()] == ["kitchen.toml"]
    assert (book / "kitchen.toml").read_text(encoding="utf-8") == before


def test_what_past_services_taught_is_kept_by_whoever_looks_first(typed, table):
    typed("history", "import", table(dinners(12)))
    typed.json("pars")
    db = sqlite3.connect(typed.folder / "kitchen.db")
    try:
        assert db.execute("SELECT value FROM settings WHERE name = 'learned to'").fetchone() == ("2026-10-28",)
        assert db.execute("SELECT count(*) FROM learned WHERE dish != ''").fetchone() == (2,)
    finally:
        db.close()
    assert typed.json("pars")[0]["dishes"][0]["services"] == 12


def test_a_table_lists_all_numbers_far_above_what_is_usual_and_saves_none(typed, table):
    path = table("prep,amount,day,service\nlamb-jus,150 l,2026-10-31,dinner\nlamb-jus,1 l,2026-11-01,dinner\n")
    said = refused(typed, "import", "pars", path)
    assert "more than three times what is usual" in said
    assert said.count("usually") == 1
    covers = table("day,service,covers\n2026-10-31,dinner,9999\n2026-11-01,dinner,8888\n", "covers.csv")
    said = refused(typed, "import", "covers", covers)
    assert "9999" in said
    assert "8888" in said
    assert "9999" not in typed("show", "pars").output
    assert typed("import", "covers", covers, "--sure").exit_code == 0
    assert "9999 covers" in typed("show", "pars").output.lower()


def test_past_plates_and_guests_far_above_what_is_usual_are_all_listed(typed, table):
    """A feast of two and a half times the guests is none of them; a dish that sells two sold nine."""
    text = dinners(12).replace("2026-10-24,dinner,lamb,23,90\n", "2026-10-24,dinner,lamb,2300,90\n")
    text = text.replace("2026-10-22,dinner,lamb,21,90\n2026-10-22,Dinner,Braised hen,40,90\n",
                        "2026-10-22,dinner,lamb,50,9000\n2026-10-22,Dinner,Braised hen,40,9000\n")  # fmt: skip
    text = text.replace("2026-10-21,dinner,lamb,20,90\n2026-10-21,Dinner,Braised hen,40,90\n",
                        "2026-10-21,dinner,lamb,60,220\n2026-10-21,Dinner,Braised hen,99,220\n")  # fmt: skip
    assert text.count("9000") == 2
    assert text.count("220") == 2
    said = refused(typed, "history", "import", table(text))
    assert said.count("usually") == 2
    assert "Dinner 2026-10-24, Pressed lamb: 2300, usually" in said
    assert "Dinner 2026-10-22: 9000, usually" in said
    assert typed("history", "import", table(text), "--sure").output == "12 past sittings\n"


def test_a_special_day_of_the_past_is_said_in_a_column_and_teaches_nothing(typed, table):
    text = dinners(12).replace("covers\n", "covers,special\n", 1).replace(",90\n", ",90,\n")
    feast = text.replace("2026-10-24,dinner,lamb,23,90,\n", "2026-10-24,dinner,lamb,90,90,yes\n")
    assert feast != text
    assert typed("history", "import", table(feast)).exit_code == 0
    jus = next(par for par in typed.json("pars") if par["prep"] == "lamb-jus")
    assert {sales["dish"]: sales["services"] for sales in jus["dishes"]} == {"lamb": 11, "hen": 11}


def test_a_special_column_that_says_neither_yes_nor_no_is_named(typed, table):
    text = "day,service,dish,plates,covers,special\n2026-10-30,dinner,lamb,20,90,perhaps\n"
    assert "'perhaps' says neither yes nor no" in refused(typed, "history", "import", table(text))
