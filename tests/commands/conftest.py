"""A small kitchen in a file of its own, and a way to type commands at it."""

from __future__ import annotations

import json
import shlex
import shutil
from collections.abc import Callable, Generator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from conftest import any_plan, books_are_read_once, once

from prepboard.book.book import Book
from prepboard.cli import cli

BOOK = """
name = "Skerrow Kitchen"
time_zone = "Europe/Dublin"
ready_before = "0 min"
rules = "food-code-2022"

[stations.sauce]
name = "Sauce"
[stations.pastry]
name = "Pastry"

[places.walk-in]
name = "Walk-in"
store = "chilled"

[services.dinner]
name = "Dinner"
days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
starts = "18:00"
ends = "22:30"
covers = 92

[services.brunch]
name = "Sunday brunch"
days = ["sun"]
starts = "10:00"
ends = "14:00"
covers = 40

[dishes.lamb]
name = "Pressed lamb"
services = ["dinner"]
course = "main"
share = 0.3
plate = { lamb-jus = "45 ml", crisp = "1 each" }

[dishes.hen]
name = "Braised hen"
services = ["dinner"]
course = "main"
share = 0.5
plate = { lamb-jus = "30 ml" }

[dishes.cake]
name = "Brunch cake"
services = ["brunch"]
share = 0.5
plate = { crisp = "1 each" }

[preps.lamb-jus]
name = "Lamb jus"
station = "sauce"
store = "chilled"
keeps = "4 days"
makes = "1.2 l"
also_makes = { fat = "200 g" }
held_in = { "deep sixth" = "2.2 l" }
uses = { bones = "3 kg" }
steps = [
  { do = "Roast", hands_on = "10 min", wait = "1 h", at = "200 C" },
  { do = "Reduce", hands_on = "20 min", wait = "40 min" },
]
note = "Do not salt."

[preps.fat]
name = "Lamb fat"
keeps = "5 days"

[preps.crisp]
name = "Rye crisp"
station = "pastry"
store = "ambient"
stable = "crisp"
keeps = "36 h"
makes = "24 each"
uses = { flour = "500 g" }
steps = [{ do = "Bake", at = "150 C" }]

[preps.crumb]
name = "Rye crumb"
station = "pastry"
store = "ambient"
stable = "crisp"
keeps = "5 days"
makes = "1 kg"
par = "500 g"
steps = [{ do = "Bake", at = "150 C" }]

[goods.bones]
name = "Bones"
unit = "kg"
usable = 0.8

[goods.flour]
name = "Flour"
stable = "dry"
unit = "kg"
allergens = ["gluten"]
"""

NOW = "2026-10-31T14:22+00:00"
"""A Saturday."""


def read_json(result: Result) -> dict[str, Any]:
    assert result.exit_code == 0, result.stderr
    whole: dict[str, Any] = json.loads(result.stdout)
    return whole


@dataclass
class Typed:
    """A kitchen's file, and commands typed at it."""

    folder: Path
    now: str = NOW

    def __call__(self, *words: str, typed_in: str | None = None, **environment: str) -> Result:
        """The result of `prepboard WORDS`, with what is `typed_in` on standard input; a fault that would be a traceback
        fails the test."""
        settings = {"PREPBOARD_FILE": str(self.folder / "kitchen.db"), "PREPBOARD_NOW": self.now, "PREPBOARD_BY": "LM"}
        result = CliRunner(env={**settings, **environment}).invoke(cli, words, typed_in, prog_name="prepboard")
        assert "Traceback" not in result.output
        assert "inside" not in result.stderr
        return result

    def done(self, *words: str) -> str:
        """What a command that must succeed prints."""
        result = self(*words)
        assert result.exit_code == 0, result.stderr
        assert result.stderr == ""
        return result.stdout.strip()

    def refused(self, *words: str, code: int = 1) -> str:
        """The one line that a command that must not succeed prints on stderr."""
        result = self(*words)
        assert result.exit_code == code, result.output
        assert result.stdout == ""
        (line,) = result.stderr.splitlines()
        assert line.startswith("prepboard: ")
        return line.removeprefix("prepboard: ")

    def json(self, *words: str) -> Any:
        """The value of `show WORDS --json`."""
        return read_json(self("show", *words, "--json"))[words[0]]


@pytest.fixture
def empty(tmp_path: Path) -> Typed:
    return Typed(tmp_path)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "kitchen.toml").write_text(BOOK, encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file into which the book was loaded, once for all tests."""
    folder = tmp_path_factory.mktemp("loaded")
    (folder / "kitchen.toml").write_text(BOOK, encoding="utf-8")
    Typed(folder).done("load", str(folder))
    return folder / "kitchen.db"


@pytest.fixture
def typed(empty: Typed, loaded: Path) -> Typed:
    shutil.copy(loaded, empty.folder)
    return empty


@pytest.fixture
def after(typed: Typed) -> Callable[..., Typed]:
    """The kitchen after some commands, which are typed once for all tests that begin with them: `after("done jus")`."""

    def go_on(*lines: str) -> Typed:
        once(lines, typed.folder / "kitchen.db", lambda: [typed.done(*shlex.split(line)) for line in lines])
        return typed

    return go_on


@pytest.fixture
def write_book(tmp_path: Path) -> Callable[[str], Path]:
    def write(text: str) -> Path:
        folder = tmp_path / "other"
        folder.mkdir(exist_ok=True)
        (folder / "kitchen.toml").write_text(text, encoding="utf-8")
        return folder

    return write


_BOOKS: dict[str, Book] = {}


@pytest.fixture(scope="module", autouse=True)
def plans_are_quick() -> Generator[None]:
    """Commands that are typed one after the other share the books that they find; how good their plans are is not
    asked."""
    with any_plan(), books_are_read_once(_BOOKS):
        yield


@pytest.fixture(autouse=True)
def in_no_hurry(monkeypatch: pytest.MonkeyPatch) -> None:
    """However slow the machine is that runs the tests, no command says that it is still at it."""
    monkeypatch.setattr("prepboard.commands.given.progress.FIRST", 3600.0)
