"""Books as texts: what they hold when they are good, what is said about them when they are not."""

from __future__ import annotations

from collections.abc import Callable
from textwrap import dedent

import pytest

from prepboard.book.book import Book
from prepboard.book.reading.faults import Fault
from prepboard.book.reading.reader import Faults, read_texts

SOUBISE = """
[preps.soubise]
name = "Soubise"
keeps = "3 days"
makes = "2 kg"
"""


@pytest.fixture
def book() -> Callable[..., Book]:
    """Reads a good book; one good prep is in it already."""
    return lambda text="": read_texts({"a.toml": dedent(text), "z.toml": SOUBISE})


@pytest.fixture
def faults() -> Callable[[str], list[Fault]]:
    """Reads a bad book; one good prep is in it already. Line 1 is the first line of the text."""

    def read(text: str) -> list[Fault]:
        try:
            read_texts({"a.toml": dedent(text).removeprefix("\n"), "z.toml": SOUBISE})
        except Faults as caught:
            return list(caught.faults)
        pytest.fail(f"no fault was found in\n{text}")

    return read


@pytest.fixture
def fault(faults: Callable[[str], list[Fault]]) -> Callable[[str], Fault]:
    """Reads a book with exactly one fault."""

    def read(text: str) -> Fault:
        found = faults(text)
        assert len(found) == 1, "\n".join([text, *map(str, found)])
        return found[0]

    return read
