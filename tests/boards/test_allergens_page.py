"""Allergens on a board: a key of every board opens tonight's dishes, escape goes back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.widgets import Static

from prepboard.boards.pages.allergens_page import AllergensPage


async def test_a_key_of_every_board_opens_tonights_dishes(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.choose("asterisk")
        assert isinstance(it.app.screen, AllergensPage)
        text = str(it.app.screen.query_one("#text", Static).content)
        assert "check the packets" in text.splitlines()[0] + text.splitlines()[1]
        assert all(dish.name in text for dish in it.board.board.state.book.dishes.values())
        await it.choose("escape")
        assert it.app.screen is it.board
