"""What is different today, typed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from commands.conftest import BOOK, read_json

if TYPE_CHECKING:
    from tests.commands.conftest import Typed


def test_a_bad_afternoon_is_typed_and_shown(typed: Typed) -> None:
    typed.done("hands", "sauce", "0")
    typed.done("give", "jus", "pastry")
    assert typed.done("missing", "flour", "--until", "16:00") == "Flour is missing until 16:00"
    typed.done("missing", "bones")
    typed.done("86", "braised", "hen", "--why", "the oven died")
    typed.done("portion", "lamb", "jus", "40 ml")
    rows = {(row["kind"], row["what"]): row for row in typed.json("today")}
    assert rows["hands", "sauce"]["n"] == 0
    assert rows["given", "lamb-jus"]["of"] == "pastry"
    assert rows["missing", "flour"]["at"] == "2026-10-31T16:00:00+00:00"
    assert rows["missing", "bones"]["at"] is None
    assert (rows["taken off", "hen"]["of"], rows["taken off", "hen"]["why"]) == ("dinner", "the oven died")
    assert rows["portion", "lamb-jus"]["amount"] == {"amount": 0.04, "unit": "l"}
    text = typed.done("show", "today")
    assert "missing, and nobody knows until when" in text
    assert "40 ml on a plate of Pressed lamb" in text
    assert {row["station"] for row in typed.json("make") if row["prep"] == "lamb-jus"} == {"pastry", "sauce"}
    assert any("waits for Flour, due 16:00" in row["notes"] for row in typed.json("make"))
    typed.done("arrived", "flour")
    typed.done("arrived", "bones")
    typed.done("back", "hen")
    typed.done("portion", "lamb", "jus", "--free")
    assert {row["kind"] for row in typed.json("today")} == {"hands", "given"}


def test_a_sitting_more_and_one_less(typed: Typed) -> None:
    typed.done("service", "cancel", "dinner")
    said = typed.done("service", "add", "Late", "table", "--like", "dinner", "--starts", "20:00", "--ends", "23:00",
                      "--covers", "20")  # fmt: skip
    assert said == "Late table: 20 covers on Sat, 20:00 to 23:00"
    today = [row for row in typed.json("pars") if row["day"] == "2026-10-31"]
    assert {(row["service"], row["covers"]) for row in today if row["service"]} == {("late-table", 20)}
    typed.done("undo")
    typed.done("service", "add", "dinner", "--covers", "50")
    assert {row["covers"] for row in typed.json("pars") if row["service"] == "dinner"} >= {50}


def test_a_function_with_counts(typed: Typed) -> None:
    typed.done("service", "add", "Lantern", "--starts", "19:00", "--ends", "20:00", "--covers", "50",
               "--count", "lamb=30", "--count", "cake=12", "--over", "10 %")  # fmt: skip
    pars = {row["prep"]: row for row in typed.json("pars") if row["service"] == "lantern"}
    assert pars["crisp"]["source"] == "count"
    assert pars["crisp"]["par"]["amount"] == 33 + 14, "30 and 12 with a tenth more, each made up to whole portions"


def test_what_cannot_be_is_refused_in_one_line(typed: Typed) -> None:
    assert "is over" in typed.refused("missing", "flour", "--until", "10:00")
    assert "no station is called" in typed.refused("hands", "fish", "1")
    assert "no service is called" in typed.refused("service", "cancel", "tea")
    assert "is held already" in typed.refused("service", "add", "dinner")
    assert "needs --starts" in typed.refused("service", "add", "Tea", "--like", "dinner", code=2)
    assert "is no count" in typed.refused("service", "add", "Tea", "--starts", "15:00", "--ends", "16:00",
                                          "--covers", "5", "--count", "lamb", code=2)  # fmt: skip
    assert "nobody took" in typed.refused("back", "hen")
    assert "no weekday" in typed.refused("par", "crumb", "600 g", "--standing", "--on", "foo")
    typed.refused("86", "hen", code=2)


def test_a_standing_par_by_weekday(typed: Typed) -> None:
    typed.done("par", "crumb", "800", "g", "--standing", "--on", "sun,mon")
    pars = {row["day"]: row["par"]["amount"] for row in typed.json("pars") if row["prep"] == "crumb"}
    assert (pars["2026-10-31"], pars["2026-11-01"]) == (0.5, 0.8)


def test_what_to_bring_to_the_line_is_printed_station_by_station(typed: Typed) -> None:
    typed.done("done", "crisp", "30", "--at", "13:00")
    text = typed.done("show", "bring")
    assert "BRING TO THE LINE BY 18:00, FOR DINNER" in text
    assert text.index("SAUCE") < text.index("PASTRY")
    (crisp,) = [row for row in typed.json("bring") if row["item"] == "crisp" and row["batch"]]
    assert (crisp["station"], crisp["amount"], crisp["at"]) == (
        "pastry", {"amount": 30, "unit": "each"}, "2026-10-31T18:00:00+00:00",
    )  # fmt: skip
    assert "SAUCE" not in typed.done("show", "bring", "--station", "pastry")
    assert typed.done("show", "bring", "--csv").startswith("station,item,kind,amount,amount_unit,")


def test_a_late_line_is_shown_with_what_helps_and_its_command_does_it(typed: Typed) -> None:
    """Nobody is at the sauce bench; pastry has a cook."""
    assert "say of which LINE" in typed.refused("show", "make", "--helps", code=2)
    typed.done("hands", "sauce", "0")

    def jus() -> dict[str, Any]:
        line: dict[str, Any] = read_json(typed("show", "make", "lamb-jus", "--helps", "--json"))["make"][0]
        return line

    help = jus()["helps"][0]
    assert help["command"] == "give lamb-jus pastry"
    assert help["text"] in typed.done("show", "make", "lamb-jus", "--helps")
    typed.done(*help["command"].split())
    assert jus()["helps"] == []


def test_a_service_is_moved_and_lasts_until_it_is_ended(typed: Typed) -> None:
    typed.now = "2026-10-31T14:00+00:00"
    assert "begins at 19:00, not at 18:00" in typed.done("service", "move", "dinner", "19:00", "--sure")
    typed.now = "2026-10-31T22:30+00:00"
    assert "guests may come until then" in typed.refused("service", "end")
    typed.now = "2026-10-31T23:40+00:00"
    assert "the last plate is out" in typed.done("service", "end")
    assert "was ended at 23:40" in typed.refused("service", "end", "dinner", "--day", "2026-10-31")


def test_today_says_what_was_set_for_its_services(typed):
    assert "All is as the book has it." in typed.done("show", "today")
    typed.done("covers", "dinner", "73")
    typed.done("adjust", "10")
    said = typed.done("show", "today")
    assert "73 covers; all pars +10 %" in said
    assert "All is as the book has it." not in said


def test_somebody_stays_from_the_end_of_the_hours_unless_it_is_said_from_when(typed: Typed, tmp_path: Path) -> None:
    assert "keeps no hours" in typed.refused("stay", "sauce", "20")
    folder = tmp_path / "with hours"
    folder.mkdir()
    text = BOOK.replace('name = "Sauce"\n', 'name = "Sauce"\nhours = "08:00-15:00, 16:00-23:00"\n', 1)
    (folder / "kitchen.toml").write_text(text, encoding="utf-8")
    typed.done("load", str(folder))
    assert typed.done("stay", "sauce", "20") == "Sauce: a cook stays from 15:00, 20 min"
    assert typed.done("stay", "sauce", "5", "--from", "15:40") == "Sauce: a cook stays from 15:40, 5 min"
    (first, second) = typed.json("today")
    assert (first["kind"], first["what"], first["of"], first["n"]) == ("staying", "sauce", "15:00", 20)
    assert (second["of"], second["n"]) == ("15:40", 5)
    assert "a cook stays from 15:40, 5 min" in typed.done("show", "today")
    assert typed.done("stay", "sauce", "0", "--from", "15:40") == "Sauce: nobody stays from 15:40"
    assert "at most 240" in typed.refused("stay", "sauce", "300")
    typed.done("undo")
    assert len(typed.json("today")) == 2
