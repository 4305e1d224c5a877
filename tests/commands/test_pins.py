"""A PIN at the command line: typed on standard input or in the environment, and never part of the command, which
terminals keep and all may list."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from commands.conftest import BOOK, Typed

PIN = {"PREPBOARD_BY": "dk", "typed_in": "4711\n"}


@pytest.fixture
def locked(typed: Typed, write_book: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch) -> Typed:
    """DK, the sous chef, has the PIN 4711."""
    monkeypatch.setattr("prepboard.store.file.pins.N", 2**4)
    typed.done("load", str(write_book(BOOK + '[people.dk]\nname = "Dana"\nrole = "sous"\n')))
    assert "the PIN is set" in typed("pin", **PIN).stdout
    return typed


def test_who_has_one_and_types_none_is_told_how(locked: Typed) -> None:
    refused = locked("covers", "dinner", "80", PREPBOARD_BY="dk")
    assert refused.exit_code == 1
    assert refused.stderr == "prepboard: dk has a PIN: --pin reads it from standard input, or set PREPBOARD_PIN\n"


def test_it_is_read_from_standard_input_or_from_the_environment(locked: Typed) -> None:
    assert "80" in locked("covers", "dinner", "80", "--pin", **PIN).stdout
    assert "81" in locked("covers", "dinner", "81", PREPBOARD_BY="dk", PREPBOARD_PIN="4711").stdout
    assert "not the PIN of dk" in locked("covers", "dinner", "82", "--pin", PREPBOARD_BY="dk", typed_in="1174\n").stderr


def test_it_is_no_word_of_the_command(locked: Typed) -> None:
    assert locked("--pin", "4711", "covers", "dinner", "80", PREPBOARD_BY="dk").exit_code == 2


def test_another_one_is_set_by_who_knows_the_old_one_and_it_is_taken_away(locked: Typed) -> None:
    assert locked("pin", PREPBOARD_BY="dk", typed_in="9999\n").exit_code == 1
    both = {"PREPBOARD_BY": "dk", "typed_in": "4711\n2580\n"}
    assert "the PIN is set" in locked("pin", "--pin", **both).stdout
    away = locked("pin", "--remove", "dk", PREPBOARD_BY="dk", PREPBOARD_PIN="2580")
    assert "has no PIN any more" in away.stdout
    assert "80" in locked("covers", "dinner", "80", PREPBOARD_BY="dk").stdout


def test_commands_without_initials_are_asked_for_none(locked: Typed) -> None:
    assert locked("note", "the walk-in is warm", PREPBOARD_BY="").exit_code == 0
