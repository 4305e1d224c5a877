"""What a kitchen that is driven by commands alone is told about its file: copies, checks, how far something is."""

from __future__ import annotations

import json
import sqlite3
import time
from threading import Event

import click
import pytest
from commands.conftest import BOOK

from prepboard.book.reading import reader
from prepboard.commands.given import progress
from prepboard.store.kitchen_file import KitchenFile


@pytest.fixture
def live(typed):
    """The same kitchen on this machine's own clock."""
    typed.now = ""
    return typed


def test_a_kitchen_that_is_driven_by_commands_only_is_copied_and_checked_too(live):
    assert not (live.folder / "kitchen-copies").exists()
    live.done("show", "make")
    assert not (live.folder / "kitchen-copies").exists(), "nothing was written"
    live.done("note", "the walk-in is warm")
    assert len(list((live.folder / "kitchen-copies").iterdir())) == 1
    facts = {fact["what"]: fact for fact in live.json("file")}
    assert facts["copies"]["said"].startswith("1 in ")
    assert facts["checked"]["said"].endswith("all of it is as it was written")
    assert all(fact["ok"] for fact in facts.values())


def test_a_till_that_writes_line_by_line_is_copied_while_it_goes_on(live, tmp_path):
    (tmp_path / "lines").write_text('note "the walk-in is warm"\nnote "no parsley"\n', encoding="utf-8")
    live.done("do", str(tmp_path / "lines"))
    assert len(list((live.folder / "kitchen-copies").iterdir())) == 1


def test_what_a_check_finds_is_kept_for_the_sous_chefs_board(live):
    live.done("check")
    with sqlite3.connect(live.folder / "kitchen.db", isolation_level=None) as raw:
        raw.execute("UPDATE book SET by = 'nobody'")
    raw.close()
    assert "the book that was loaded then was changed" in live.refused("check")
    (fact,) = (fact for fact in live.json("file") if fact["what"] == "checked")
    assert not fact["ok"]
    assert "found 1 fault in the kitchen's file" in fact["said"]
    assert "found 1 fault" in " ".join(live.done("show", "file").split())


def test_what_came_since_the_last_check_can_be_asked_alone(typed):
    assert "what came since the last check" in typed.done("check", "--new")
    assert "the file is whole" in typed.done("check")
    assert json.loads(typed.done("check", "--json"))["seal"]


@pytest.fixture
def at_a_terminal(monkeypatch):
    monkeypatch.setattr(progress, "somebody_looks", lambda: True)


def test_what_takes_long_says_how_far_it_is(capsys, monkeypatch, at_a_terminal):
    monkeypatch.setattr(progress, "FIRST", 0.01)
    monkeypatch.setattr(progress, "EVERY", 0.01)
    with progress.progress("checking the log, line {n} of {of}") as far:
        far(20_000, 5_000_000)
        until = time.monotonic() + 20
        said = ""
        while "of 5,000,000" not in said and time.monotonic() < until:
            said += capsys.readouterr().err
    assert "prepboard: checking the log, line 20,000 of 5,000,000, 0 s so far" in said


@pytest.mark.parametrize("words", [("show", "waste", "--from", "2001-01-01"), ("show", "make"), ("note", "warm")])
def test_every_command_that_takes_long_says_that_it_is_at_it(typed, monkeypatch, at_a_terminal, words):
    monkeypatch.setattr(progress, "FIRST", 0.0)
    real = KitchenFile.read

    def slow(file):
        """Not before the other thread had its turn."""
        said.wait(20)
        return real(file)

    said = Event()
    echo = click.echo
    monkeypatch.setattr(progress.click, "echo", lambda *given, **how: (echo(*given, **how), said.set()))
    monkeypatch.setattr(KitchenFile, "read", slow)
    answer = typed(*words)
    assert answer.exit_code == 0
    assert "prepboard: still at it, 0 s so far" in answer.stderr


def test_a_load_says_what_it_is_at_in_a_terminal_and_nothing_in_a_pipe(typed, monkeypatch, write_book, request):
    monkeypatch.setattr(progress, "FIRST", 0.0)
    said, real = Event(), reader.read_with_warnings
    echo = click.echo
    monkeypatch.setattr(progress.click, "echo", lambda *given, **how: (echo(*given, **how), said.set()))
    book = str(write_book(BOOK))
    assert typed("load", book, "--check").stderr == ""

    def slow(folder):
        """Not before the other thread had its turn."""
        said.wait(20)
        return real(folder)

    request.getfixturevalue("at_a_terminal")
    monkeypatch.setattr(reader, "read_with_warnings", slow)
    assert "prepboard: reading the book, 0 s so far" in typed("load", book, "--check").stderr
