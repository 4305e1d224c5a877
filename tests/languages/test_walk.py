"""Lists, papers and boards of the demo are walked in a language of other letters: what stands there in ours is the
book's own, a unit or a code, or it is a text that no translator can reach; and every text is in the catalogue."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result
from languages.conftest import UNTIL
from languages.other_letters import WORD, Recording, left_over
from languages.pseudo import speaking, theirs

from prepboard import demo
from prepboard.boards.pars.as_text import texts as pars_texts
from prepboard.boards.station.as_text import texts as station_texts
from prepboard.boards.station.as_text import wall_texts
from prepboard.boards.timeline.rows import texts as timeline_texts
from prepboard.cli import FAMILIES, cli
from prepboard.clock import FixedClock
from prepboard.commands.show.lists import FROM_THE_BOARD
from prepboard.paper import as_text
from prepboard.plan.board import plan
from prepboard.store.kitchen_file import KitchenFile


@pytest.fixture
def spoken(monkeypatch: pytest.MonkeyPatch) -> Iterator[Recording]:
    catalogue = Recording()
    monkeypatch.setenv("COLUMNS", "300")  # So that no word is cut.
    monkeypatch.setenv("PREPBOARD_NOW", "2026-06-13T16:30:30+02:00")
    with speaking(catalogue):
        yield catalogue


def run(path: Path, *words: str) -> Result:
    return CliRunner().invoke(cli, ["--file", str(path), "--by", "mr", *words], catch_exceptions=False)


def test_lists_and_boards_in_print_say_nothing_that_is_not_a_text(
    in_english: Path, of_the_book: frozenset[str], spoken: Recording
) -> None:
    file = KitchenFile.open(in_english, FixedClock(demo.later(UNTIL)))
    try:
        board = plan(file.read(), file.clock.now())
        shown = {what: as_text.page(what, board, "", 100) for what in FROM_THE_BOARD}
        shown["wall"] = wall_texts(board, 100)
        shown["pars board"] = pars_texts(board, 100, "mr")
        shown["timeline"] = timeline_texts(board, tuple(board.state.book.stations), 100)
        for station in board.state.book.stations:
            shown[station] = station_texts(board, (station,), 100, "mr")
    finally:
        file.close()
    for words in ("closing", "log", "record", "rules", "allergens", "file"):
        shown[words] = re.sub(r"\(\w+\)|\b[0-9a-f]{12}\b", "", run(in_english, "show", words).output)
    found = {what: left_over(text, of_the_book) for what, text in shown.items() if theirs(text)}
    assert found.keys() == shown.keys()
    # Paths stand in the list of the file; what a limit is called in a book stands beside its name; a seal is figures.
    assert {what: words for what, words in found.items() if words and what != "file"} == {}
    assert spoken.unknown == set()


def test_every_help_page_says_nothing_that_is_not_a_text(spoken: Recording) -> None:
    """Names of commands and options, and the words that one of several is typed as, are the same in every language."""
    code = re.compile(
        r"--?[\w-]+|\"[^\"]*\"|'[^']*'|`[^`]*`|\[[\w-]+\|[^\]]*\]|\[default: [^\]]*\]|\$\w+|\w+\.db|\w+=\w+"
    )
    names = {name for family in FAMILIES.values() for name in family}
    inside = {word for name in names for own in _inside(name) for word in WORD.findall(own)}
    wrong = {}
    for name in names:
        shown = code.sub(
            "", CliRunner().invoke(cli, [name, "--help"], prog_name="prepboard", catch_exceptions=False).output
        )
        said = set(WORD.findall(shown)) - names - inside - {"prepboard", "move", "take", "delivery"}
        # Headings and the two options of every command are click's own, looked up by the standard library.
        found = said - {
            "Usage",
            "Options",
            "Commands",
            "Show",
            "this",
            "message",
            "and",
            "exit",
            "default",
            "required",
        }
        if found:
            wrong[name] = found
    assert wrong == {}


def _inside(name: str) -> list[str]:
    """The names of a command's own commands."""
    context = click.Context(cli)
    command = cli.get_command(context, name)
    return command.list_commands(click.Context(command)) if isinstance(command, click.Group) else []


def _help(name: str) -> str:
    return CliRunner().invoke(cli, [name, "--help"], prog_name="prepboard", catch_exceptions=False).output
