"""Whatever is written, imported or typed is answered in words: a hundred of each; tests/benchmarks draws thousands."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from itertools import islice
from random import Random

import pytest
from commands.conftest import BOOK
from mutating import STRANGE, books, command_lines, filled, flipped, look_at, read, run, tables

from prepboard.paper.as_csv import COLUMNS

NOW = "2026-10-31T14:22+00:00"
SEED, SOME = 20261031, 100
WORDS = (
    "lamb-jus",
    "Lamb jus",
    "crisp",
    "lamb",
    "hen",
    "dinner",
    "brunch",
    "sauce",
    "walk-in",
    "bones",
    "1.2",
    "l",
    "30",
)
CELLS = ("2026-10-30", "dinner", "lamb", "hen", "12", "92", "lamb-jus", "1.2 l", "500 g", "walk-in", "yes", "")
IMPORTS = {
    ("history", "import"): ("day", "service", "dish", "plates", "covers", "special"),
    ("import", "covers"): ("day", "service", "covers"),
    ("import", "pars"): ("day", "service", "prep", "amount", "source"),
    ("import", "stock"): COLUMNS["stock"],
}


def test_a_book_with_a_slip_in_it_is_a_book_or_faults():
    wrong = [said for book in islice(books({"kitchen.toml": BOOK}, Random(SEED)), SOME) if (said := read(book))]
    assert wrong == []


@pytest.mark.parametrize("words", IMPORTS)
def test_a_table_with_a_slip_in_it_is_imported_or_refused(typed, words):
    path = typed.folder / "table.csv"
    for held in islice(tables(Random(SEED), IMPORTS[words], CELLS), SOME // len(IMPORTS)):
        path.write_bytes(held)
        assert run([*words, str(path)], typed.folder, NOW) == "", held


def test_a_command_line_with_a_slip_in_it_is_done_or_refused(typed):
    wrong = {}
    for line in islice(command_lines(Random(SEED), WORDS), SOME):
        if said := run(line, typed.folder, NOW):
            wrong[" ".join(line)] = said
    assert wrong == {}


def test_a_file_with_a_bit_turned_over_is_read_or_called_damaged(typed):
    held = filled(typed.folder, NOW)
    for damaged in islice(flipped(held, Random(SEED)), SOME // 7):
        assert look_at(damaged, typed.folder, NOW) == {}


def test_a_file_that_is_damaged_is_called_so(typed):
    with closing(sqlite3.connect(typed.folder / "kitchen.db", isolation_level=None)) as raw:
        raw.execute("INSERT OR REPLACE INTO settings VALUES ('learned to', 'one day')")
    said = typed.refused("show", "make")
    assert said.startswith("kitchen.db is damaged: something in it cannot be read")
    assert "bring back a good copy with prepboard restore: there is no copy beside it" in said


def test_a_fault_of_the_program_is_not_blamed_on_the_file(typed, monkeypatch):
    monkeypatch.setattr("prepboard.commands.given.kitchen.Kitchen.board", property(lambda _kitchen: {}["a bug"]))
    assert run(["show", "make"], typed.folder, NOW) == "prepboard: something went wrong inside: KeyError 'a bug'"


def test_what_is_strange_reaches_the_commands(typed):
    """The test above can fail."""
    lines = list(islice(command_lines(Random(SEED), WORDS), SOME))
    assert sum(any(word in STRANGE for word in line) for line in lines) > SOME // 4
