"""Whatever is written, imported or typed is answered in words: a hundred of each; tests/benchmarks draws thousands."""

from __future__ import annotations

from itertools import islice
from random import Random

import pytest
from commands.conftest import BOOK
from mutating import STRANGE, books, command_lines, read, run, tables

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


def test_what_is_strange_reaches_the_commands(typed):
    """The test above can fail."""
    lines = list(islice(command_lines(Random(SEED), WORDS), SOME))
    assert sum(any(word in STRANGE for word in line) for line in lines) > SOME // 4
