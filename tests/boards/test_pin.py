"""A PIN at a board: asked for once, before the first change of who has one, and again when somebody else stands."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from boards.at_a_station import BOOK, JUS, KITCHEN, Desk
from textual.widgets import Input, Static

from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.initials import AskInitials
from prepboard.boards.questions.pin import AskPin
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.pins import prove, set_pin
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

PEOPLE = '[people.lm]\nname = "Leda"\nrole = "sous"\n\n[people.jp]\nname = "Jo"\nrole = "cook"\n'


@pytest.fixture(autouse=True)
def locked(file: KitchenFile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """LM, who stands at the board, has the PIN 4711."""
    monkeypatch.setattr("prepboard.store.file.pins.N", 2**4)
    book = tmp_path / "book"
    book.mkdir()
    (book / "kitchen.toml").write_text(KITCHEN, encoding="utf-8")
    (book / "book.toml").write_text(BOOK + PEOPLE, encoding="utf-8")
    load_book(file, Who("lm", ""), book)
    set_pin(file, Who("LM", "sauce"), "4711")


def fault(it: Desk) -> str:
    return str(it.app.screen.query_one(".fault", Static).render())


async def test_it_is_asked_for_once_not_shown_and_a_wrong_one_does_nothing(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    async with desk() as it:
        await it.go_to("to-make", JUS)
        await it.press("s")
        await it.on(AskPin)
        await it.press(*"1174")
        assert it.app.screen.query_one(Input).password
        await it.press("enter")
        await it.until(it.pilot, lambda: isinstance(it.app.screen, AskPin) and "not the PIN of LM" in fault(it))
        assert file.read().runs == ()
        await it.type("4711")
        await it.until(it.pilot, lambda: len(file.read().runs) == 1)
        await it.go_to("to-make", "Chive oil")
        await it.press("s")
        await it.until(it.pilot, lambda: len(file.read().runs) == 2)
        set_pin(file, prove(file, Who("LM", "sauce"), "4711"), "998877")
        await it.go_to("to-make", "Onion soubise")
        await it.press("d")
        await it.on(AskAmount)
        await it.choose("enter")
        await it.answered("has a PIN, and it was not typed")
        await it.press("d")
        await it.on(AskPin)


def test_what_initials_are_without_one_is_said_where_they_are_asked_for_and_in_the_readme() -> None:
    notes = " ".join(AskInitials().parts[0].notes)
    assert "They say who it was; they are no lock without a PIN." in notes
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    assert "Initials say who did something and are no lock" in readme


async def test_who_leaves_the_question_has_done_nothing(desk: Callable[..., Any], file: KitchenFile) -> None:
    async with desk() as it:
        await it.go_to("to-make", JUS)
        await it.press("s")
        await it.on(AskPin)
        await it.choose("escape")
        assert it.app.screen is it.board
        assert file.read().runs == ()


async def test_nobody_becomes_somebody_with_a_pin_without_it(desk: Callable[..., Any], file: KitchenFile) -> None:
    """And who became somebody else types it again to come back."""
    async with desk("JP") as it:
        await it.press("i")
        await it.type("LM")
        await it.on(AskPin)
        await it.choose("escape")
        assert it.board.desk.known == "JP"
        await it.press("i")
        await it.type("lm")
        await it.on(AskPin)
        await it.type("4711")
        await it.until(it.pilot, lambda: it.board.desk.known == "lm")
        await it.press("i")
        await it.type("JP")
        await it.until(it.pilot, lambda: it.board.desk.known == "JP")
        await it.press("i")
        await it.type("LM")
        await it.on(AskPin)


async def test_after_half_an_hour_without_a_press_it_is_asked_for_again(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    async with desk() as it:
        await it.go_to("to-make", JUS)
        await it.press("s")
        await it.on(AskPin)
        await it.type("4711")
        await it.until(it.pilot, lambda: len(file.read().runs) == 1)
        it.board.desk._pressed -= 31 * 60
        await it.go_to("to-make", "Chive oil")
        await it.press("s")
        await it.until(it.pilot, lambda: it.app.screen is not it.board)
        await it.type("LM")
        await it.on(AskPin)
