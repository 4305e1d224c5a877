"""Books are read in or refused with all their faults; boards are printed where there is no terminal."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.commands.conftest import Typed

BAD = """
name = "Bad"
time_zone = "Europe/Dublin"

[preps.soup]
name = "Soup"
kepes = "3 days"
makes = "4 l"

[preps.bread]
name = "Bread"
keeps = "2 days"
makes = "six loaves"
"""

ONE_BENCH = """
name = "One"
time_zone = "UTC"

[preps.soup]
name = "Soup"
keeps = "2 days"
makes = "4 l"
par = "4 l"
"""


def test_a_book_is_read_in(empty: Typed, book: Path) -> None:
    assert empty.done("load", str(book)).startswith("Skerrow Kitchen: 4 preps")
    assert {row["prep"] for row in empty.json("make")} == {"lamb-jus", "crisp", "crumb"}


def test_check_only_says_whether_it_is_right(empty: Typed, book: Path) -> None:
    said = empty.done("load", str(book), "--check")
    assert said == "Skerrow Kitchen: the book is right; 4 preps, 3 dishes, 2 services"
    assert not (empty.folder / "kitchen.db").exists()


def test_what_is_hardly_meant_is_said_each_with_its_line(empty: Typed, write_book: Callable[[str], Path]) -> None:
    book = write_book(ONE_BENCH.replace('par = "4 l"', ""))
    for more in (("--check",), ()):
        first, *said = empty.done("load", str(book), *more).splitlines()
        assert "1 prep" in first
        assert said[0].startswith("look again: kitchen.toml, line 5, preps.soup: nothing takes it: ")


def test_a_bad_book_names_every_fault_on_a_line_of_its_own_and_leaves_no_file(
    empty: Typed, write_book: Callable[[str], Path]
) -> None:
    result = empty("load", str(write_book(BAD)))
    assert result.exit_code == 1
    lines = result.stderr.splitlines()
    assert len(lines) >= 2
    assert all(line.startswith("prepboard: kitchen.toml, line ") for line in lines)
    assert any("line 7" in line and "kepes" in line and "keeps" in line for line in lines)
    assert any("six loaves" in line for line in lines)
    assert not (empty.folder / "kitchen.db").exists()


def test_a_bad_book_changes_nothing_in_a_kitchen(typed: Typed, write_book: Callable[[str], Path]) -> None:
    before = typed.json("make")
    assert typed("load", str(write_book(BAD))).exit_code == 1
    assert typed.json("make") == before


def test_a_book_that_is_not_there_is_one_line(empty: Typed) -> None:
    assert "nowhere" in empty.refused("load", "nowhere")


def test_the_starter_book_loads_as_it_is_and_teaches(empty: Typed) -> None:
    folder = empty.folder / "starter"
    assert str(folder) in empty.done("new", str(folder))
    text = "".join(path.read_text(encoding="utf-8") for path in folder.glob("**/*.toml"))
    assert text.count("#") >= 10
    empty.done("load", str(folder))
    assert empty.json("make")


def test_a_starter_book_is_never_written_over_something(empty: Typed, book: Path) -> None:
    before = (book / "kitchen.toml").read_text(encoding="utf-8")
    assert "not empty" in empty.refused("new", str(book))
    assert "is a file" in empty.refused("new", str(book / "kitchen.toml"))
    assert (book / "kitchen.toml").read_text(encoding="utf-8") == before


def test_the_schema_names_the_keys_of_a_prep(empty: Typed) -> None:
    whole = json.loads(empty.done("schema"))
    assert "$schema" in whole
    assert {"kitchen", "keeps"} & set(whole["properties"]) or "preps" in whole["properties"]


def test_a_board_is_printed_where_there_is_no_terminal(typed: Typed) -> None:
    text = typed.done("station", "sauce")
    assert "SAUCE" in text.splitlines()[0]
    assert "TO MAKE" in text
    assert "Lamb jus" in text
    assert "Rye crumb" not in text
    last = "Dates by the kitchen's book, held to FDA Food Code 2022; clock set by hand."
    assert text.splitlines()[-1].strip() == last


def test_several_benches_are_one_board(typed: Typed) -> None:
    text = typed.done("station", "sauce", "Pastry")
    assert "Lamb jus" in text
    assert "Rye crumb" in text


def test_an_unknown_station_is_named_with_the_nearest(typed: Typed) -> None:
    assert typed.refused("station", "sause") == "no station is called 'sause'; did you mean 'sauce'?"


def test_the_bare_program_lists_several_stations(typed: Typed) -> None:
    assert typed.done().splitlines()[1:] == ["  sauce  Sauce", "  pastry  Pastry"]


def test_the_bare_program_opens_the_only_station(empty: Typed, write_book: Callable[[str], Path]) -> None:
    empty.done("load", str(write_book(ONE_BENCH)))
    assert "TO MAKE" in empty.done()
    assert "Soup" in empty.done()
