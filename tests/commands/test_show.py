"""`show`: the fields that scripts may count on, for every list, from a real kitchen's file."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.commands.conftest import Typed

MAKE = (
    "line prep task station amount size begins start_by can_start_from ready_by ready_at late_minutes too_late due_at "
    "ready_if_started_now not_there waits_for for notes "
    "par on_hand left_over under_way short"
)
FIELDS = {
    "make": MAKE,
    "underway": "run prep station amount by started step next next_at may_go_on_from go_on_by overdue_minutes ready_at "
    "ready_by late_minutes",
    "expiring": "batch prep station amount made_at use_by why use_first",
    "left": "dish plates_left limiting runs_out_at ends_first in_mix low not_yet eighty_six taken_off basis preps"
    " service day counted_to chance_out out lacks others"
    " allergens",
    "pars": "service day covers prep par source stage chance expected on_hand left_over under_way short over thin"
    " to_make promise special dishes",
    "pull": "item kind amount as_bought take_out_at for",
    "work": "station before hands_minutes work_minutes over_minutes moves",
    "log": "at by station did batch prep dish before after why",
}


@pytest.fixture
def busy(after: Callable[..., Typed]) -> Typed:
    """With a run under way, a batch that goes off soon and a plate out."""
    return after("done crisp 30 --at 13:00", "start lamb-jus --at 14:00", "plate lamb")


@pytest.mark.parametrize("what", FIELDS)
def test_a_list_has_exactly_its_fields(what: str, busy: Typed) -> None:
    rows = busy.json(what)
    assert rows
    for row in rows:
        assert set(row) == set(FIELDS[what].split())


@pytest.mark.parametrize("what", [*FIELDS, "closing", "recipe"])
def test_the_object_around_it(what: str, busy: Typed) -> None:
    import json

    words = ["recipe", "jus"] if what == "recipe" else [what]
    whole: dict[str, Any] = json.loads(busy.done("show", *words, "--json"))
    beside = {"chance_all_stand"} if what == "pars" else set()
    assert set(whole) == {"kitchen", "now", "rules", what} | beside
    assert (whole["kitchen"], whole["rules"]) == ("Skerrow Kitchen", "food-code-2022")
    assert whole["now"] == "2026-10-31T14:22:00+00:00"


def test_the_close_is_five_lists(busy: Typed) -> None:
    value = busy.json("closing")
    assert list(value) == ["discard", "decide", "carry_over", "start_tonight", "pull"]
    assert set(value["carry_over"][0] if value["carry_over"] else value["decide"][0]) >= {"batch", "prep", "amount"}
    assert all(set(row) == set(MAKE.split()) for row in value["start_tonight"])


def test_amounts_are_numbers_in_the_preps_own_unit(busy: Typed) -> None:
    (run,) = busy.json("underway")
    assert run["amount"]["unit"] == "l"
    assert isinstance(run["amount"]["amount"], int | float)
    assert run["step"] == "Roast"
    assert run["next"] == "Reduce"


def test_the_day_of_a_sitting_is_the_midnight_that_ends_it(typed: Typed) -> None:
    assert typed.json("pars")[0]["day"] == "2026-10-31"


@pytest.mark.parametrize("what", [*FIELDS, "closing", "recipe"])
def test_csv_has_a_header_and_as_many_cells_in_every_row(what: str, busy: Typed) -> None:
    words = ["recipe", "jus"] if what == "recipe" else [what]
    rows = list(csv.reader(io.StringIO(busy.done("show", *words, "--csv"))))
    assert len(rows) > 1
    assert {len(row) for row in rows} == {len(rows[0])}


@pytest.mark.parametrize("what", [*FIELDS, "closing"])
def test_text_ends_with_its_basis(what: str, busy: Typed) -> None:
    last = "Dates by the kitchen's book, held to FDA Food Code 2022; clock set by hand."
    assert busy.done("show", what).splitlines()[-1].strip() == last


def test_a_station_sees_its_own(busy: Typed) -> None:
    assert {row["station"] for row in busy.json("make", "--station", "Pastry")} == {"pastry"}
    assert busy.json("underway", "--station", "pastry") == []
    assert "Nothing is under way." in busy.done("show", "underway", "--station", "pastry")


def test_a_recipe_is_scaled_to_an_amount(typed: Typed) -> None:
    value = typed.json("recipe", "lamb", "jus", "2.4", "l")
    assert value["size"] == 2
    assert value["uses"] == [
        {
            "item": "bones",
            "amount": {"amount": 6, "unit": "kg"},
            "as_bought": {"amount": 7.5, "unit": "kg"},
            "step": None,
        }
    ]
    assert typed.json("recipe", "jus", "1½ recipes")["size"] == 1.5
    assert typed.json("recipe", "jus")["size"] == 1


def test_the_recipe_of_what_comes_with_another_is_scaled_to_it(typed: Typed) -> None:
    value = typed.json("recipe", "fat", "100 g")
    assert (value["prep"], value["size"]) == ("lamb-jus", 0.5)


def test_a_recipe_on_paper_has_allergens_and_note(typed: Typed) -> None:
    assert "Allergens: gluten (which is not stated)." in typed.done("show", "recipe", "crisp")
    assert "Do not salt." in typed.done("show", "recipe", "jus")


def test_the_log_is_of_this_business_day_unless_said(typed: Typed) -> None:
    typed.now = "2026-10-30T10:00+00:00"
    typed.done("covers", "dinner", "80")
    typed.now = "2026-10-31T14:22+00:00"
    assert "covers" not in {row["did"] for row in typed.json("log")}
    assert "covers" in {row["did"] for row in typed.json("log", "--from", "2026-10-30")}
    assert typed.json("log", "--from", "2026-10-30", "--to", "2026-10-30")[-1]["did"] == "covers"
    assert "is no time" in typed.refused("show", "log", "--from", "whenever")


def test_two_formats_at_once_are_wrong_use(typed: Typed) -> None:
    assert "not both" in typed.refused("show", "make", "--json", "--csv", code=2)


def test_show_alone_says_what_there_is_to_show(typed: Typed) -> None:
    result = typed("show")
    assert result.exit_code == 2
    assert "underway" in result.stderr


def test_closing_without_a_terminal_prints_the_close(typed):
    """The same page as `show closing`; of one station where one is named."""
    typed.done("done", "lamb jus", "1 l")
    assert typed.done("closing") == typed.done("show", "closing")
    assert "Lamb jus" in typed.done("closing", "sauce")
    assert "Lamb jus" not in typed.done("closing", "pastry")


def test_use_first_names_the_ways_out_as_text_and_for_scripts(typed):
    """Forty crisps, good for 36 hours: dinner and brunch eat some, more plates and the staff meal the rest."""
    typed.done("done", "crisp", "120 each")
    text = typed.done("show", "use-first")
    assert "the staff meal takes" in text
    (line,) = [line for line in typed.json("use-first") if line["batch"]]
    assert line["amount"] == {"amount": 120, "unit": "each"}
    assert line["into"][-1]["kind"] == "staff meal"
    planned = sum(way["amount"]["amount"] for way in line["into"] if way["kind"] in ("service", "run"))
    assert planned + line["left_over"]["amount"] == 120
    table = typed.done("show", "use-first", "--csv").splitlines()
    assert table[0].startswith("batch,run,line,prep,amount,amount_unit,left_over,")
    assert len(table) == 1 + sum(len(line["into"]) for line in typed.json("use-first"))
    assert typed.json("use-first", "--station", "sauce") != typed.json("use-first")


def test_waste_as_text_and_for_scripts(typed):
    """Two litres of jus: half a litre spoiled, 100 ml to the staff; the count takes the rest and is no waste."""
    typed.done("done", "lamb jus", "2.4 l")
    typed.done("discard", "lamb jus", "500 ml", "--why", "spoiled")
    typed.done("use", "lamb jus", "100 ml", "--for", "staff")
    typed.done("discard", "bones", "1 kg", "--why", "dropped")
    typed.done("count", "lamb jus", "0")
    lines = [(line["kind"], line["prep"], line["reason"], line["amount"]) for line in typed.json("waste")]
    (trimmed,) = [line for line in lines if line[0] == "trim"]
    assert trimmed[1:3] == ("bones", "trim"), "a fifth of the bones that the run took"
    assert sorted((line for line in lines if line is not trimmed), key=str) == [
        ("discard", "bones", "dropped", {"amount": 1, "unit": "kg"}),
        ("discard", "lamb-jus", "spoiled", {"amount": 0.5, "unit": "l"}),
        ("use", "lamb-jus", "staff", {"amount": 0.1, "unit": "l"}),
    ]
    text = typed.done("show", "waste", "--from", "2026-10-31")
    assert "spoiled" in text.split("BY REASON")[1].split("BY PREP")[0]
    assert "staff meal" in text.split("GONE, AND NO WASTE")[1].split("TRIM")[0]
    assert "500 ml" in text.split("BY PREP")[1].split("BY STATION")[0]
    table = typed.done("show", "waste", "--csv").splitlines()
    assert table[0] == (
        "day,station,prep,reason,amount,amount_unit,cost,kind,name,because_of_size,because_of_size_unit"
    )
    assert len(table) == 1 + len(lines)
    assert typed.json("waste", "--from", "2026-10-01", "--to", "2026-10-30") == []
    assert "yesteryear" in typed.refused("show", "waste", "--from", "yesteryear")


def test_waste_by_week_and_month_stands_beside_the_lines(typed):
    typed.done("done", "lamb jus", "1.2 l")
    typed.done("discard", "lamb jus", "--why", "spoiled")
    for per, first in (("day", "2026-10-31"), ("week", "2026-10-26"), ("month", "2026-10-01")):
        whole = json.loads(typed.done("show", "waste", "--from", "2026-10-31", "--per", per, "--json"))
        (period,) = whole[f"by_{per}"]
        assert (period["first_day"], period["covers"], period["waste_per_cover"]) == (first, 0, None)


def test_sheets_for_the_printer_one_a_station(typed):
    typed.done("done", "crisp", "24 each")
    make = typed.done("show", "make", "--html")
    assert make.count("<section") == 2
    assert "<h1>Sauce</h1>" in make
    assert typed.done("show", "make", "--html", "--station", "pastry").count("<section") == 1
    close = typed.done("show", "closing", "--html")
    assert "Rye crisp" in close
    assert "initials and time" in close
    tonight = typed.done("show", "closing", "--tonight", "--html")
    first = json.loads(typed.done("show", "closing", "--json"))["closing"]["start_tonight"][0]
    assert tonight.count("<h2>") == 3
    assert first["begins"][11:16] in tonight, "what whoever stays begins, and when"
    assert "18:00  Bake" in tonight, "its steps, and when"
    assert "--tonight goes with --html" in typed.refused("show", "closing", "--tonight", code=2)
    assert "<h2>Pull</h2>" in typed.done("show", "pull", "--html")
    assert "only one of them" in typed.refused("show", "pull", "--html", "--csv", code=2)
