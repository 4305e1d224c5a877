"""Nobody has to know a letter: Enter on a line opens what can be done with it, the palette offers what works there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import time
from typing import Any

import pytest

from prepboard.boards.app.app import BoardApp
from prepboard.boards.keys import of
from prepboard.boards.pars.changes_page import Changes
from prepboard.boards.pars.menus import MENUS, Menu, menu
from prepboard.boards.pars.moving import AskBegins
from tests.boards.test_pars import before_dinner, board, file, path

__all__ = ["before_dinner", "board", "file", "path"]


@pytest.mark.parametrize("kind", MENUS)
def test_every_line_of_a_menu_says_what_it_does_and_its_key(kind: str) -> None:
    keys = {key.action: key for key in of("pars")}
    for row in menu(kind):
        assert row.when, "the key"
        assert row.words == keys[row.key].help


async def test_enter_with_nothing_typed_opens_the_menu_and_its_choice_is_done(board: Callable[..., Any]) -> None:
    async with board() as desk:
        await desk.press("enter")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Menu))
        await desk.pilot.press("a")
        await desk.until(lambda: desk.board.entry.display)
        assert desk.board.typed.drafting.typing.number.of == "percent"
        await desk.press("1", "0", "enter")
        await desk.until(lambda: desk.tonight.percent == 10)


async def test_a_service_begins_an_hour_later_by_the_menu_a_letter_and_a_digit(board: Callable[..., Any]) -> None:
    async with board() as desk:
        await desk.press("full_stop")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Menu))
        await desk.pilot.press("b")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, AskBegins))
        await desk.pilot.press("4")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Changes))
        assert desk.tonight.moved_to is None, "what it changes is shown first"
        await desk.pilot.press("enter")
        await desk.until(lambda: desk.tonight.moved_to == time(19))
        await desk.press("full_stop")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Menu))
        await desk.pilot.press("b")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, AskBegins))
        await desk.pilot.press("0")
        await desk.until(lambda: isinstance(desk.pilot.app.screen, Changes))
        await desk.pilot.press("enter")
        await desk.until(lambda: desk.tonight.moved_to is None)


def titles(app: BoardApp) -> list[str]:
    return [command.title for command in app.get_system_commands(app.screen)]


async def test_the_palette_offers_what_works_there_and_finds_theme_colours_and_language(
    board: Callable[..., Any],
) -> None:
    async with board() as desk:
        app = desk.pilot.app
        assert "mix" in titles(app)
        for word in ("theme", "colours", "language"):
            assert any(word in title for title in titles(app)), word
        await desk.press("e")
        await desk.until(lambda: type(app.screen).__name__ == "TimelineScreen")
        assert "later" in titles(app)
        assert not {"mix", "save", "start", "all pars"} & set(titles(app)), "keys of the board below do nothing here"
