"""What stands beside a list that changed is not drawn again, and never shows what it said before."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from fractions import Fraction
from typing import Any

import pytest
from boards.at_a_station import ANOTHER
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.strip import Strip
from textual.widgets import Input

from prepboard.boards.app.looks import LIGHT
from prepboard.boards.frame.live import NotLive
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.boards.widgets.still import Stack
from prepboard.store.actions.food import making
from prepboard.store.actions.night import dishes
from prepboard.store.kitchen_file import KitchenFile


def seen(it: Any) -> list[Strip]:
    """The screen as the terminal has it."""
    strips: list[Strip] = it.app.screen._compositor.render_strips()
    return strips


async def is_as_drawn_anew(it: Any) -> None:
    await it.pilot.pause()
    before = seen(it)
    for widget in it.app.screen.walk_children(with_self=True):
        widget.refresh()
        if isinstance(widget, Stack | PlainLine):
            widget.given.forget()
    await it.pilot.pause()
    assert seen(it) == before


async def _start(it: Any, another: KitchenFile) -> None:
    making.start(another, ANOTHER, "jus", Fraction(1), it.board.board.make[0].line)
    await it.until(it.pilot, lambda: it.names("under-way") != [])


async def _taken_off(it: Any, another: KitchenFile) -> None:
    dishes.take_off(another, ANOTHER, ("dinner", it.board.board.sittings[0].day), "oyster", "no oysters")
    await it.until(it.pilot, lambda: "no oysters" in it.answer)


async def _light(it: Any, _another: KitchenFile) -> None:
    before = seen(it)
    it.app.theme = LIGHT.name
    await it.until(it.pilot, lambda: seen(it) != before)


async def _not_live(it: Any, _another: KitchenFile) -> None:
    it.board._take(NotLive(it.board.board.now, "The file is gone."))
    await it.until(it.pilot, lambda: "not live" in it.board.query_one("#title", PlainLine).text)


async def _narrow(it: Any, _another: KitchenFile) -> None:
    await it.pilot.resize_terminal(44, 24)
    await it.until(it.pilot, lambda: it.board.has_class("-narrow"))


@pytest.mark.parametrize("happens", [_start, _taken_off, _light, _not_live, _narrow])
async def test_a_board_that_changed_is_as_if_it_were_drawn_anew(
    desk: Callable[..., Any], another: KitchenFile, happens: Callable[[Any, KitchenFile], Awaitable[None]]
) -> None:
    async with desk(size=(120, 36)) as it:
        await happens(it, another)
        await is_as_drawn_anew(it)


async def test_a_title_is_worked_out_again_only_when_it_says_something_else(desk: Callable[..., Any]) -> None:
    async with desk(size=(120, 36)) as it:
        title = it.board.query_one("#title", PlainLine)
        whole = title.outer_size.region
        before = title.render_lines(whole)
        it.board.list_of("to-make").refresh_lines(0)
        await it.pilot.pause()
        assert title.render_lines(whole) is before
        assert [line.cell_length for line in title.render_lines(Region(0, 0, 10, 1))] == [10]
        title.say(("Another bench", "strong"))
        (line, *_rule) = title.render_lines(whole)
        assert line.text.startswith("Another bench")


class Two(App[None]):
    """Rules that ask for a state of the widget, and for a class of what it lies in."""

    CSS = """
    Input { color: #010101; }
    Input:focus { color: #020202; }
    Screen.on Input { color: #030303; }
    Input:last-of-type { background: #040404; }
    """

    def compose(self) -> ComposeResult:
        yield Input(id="one")
        yield Input(id="two")


@pytest.mark.parametrize("_time", ["first", "again"])
async def test_styles_that_boards_share_are_those_of_the_state(_time: str):
    async with Two().run_test() as pilot:
        one, two = pilot.app.query(Input)
        assert [one.styles.color.hex, two.styles.color.hex] == ["#020202", "#010101"]
        assert two.styles.background.hex == "#040404" != one.styles.background.hex
        await pilot.press("tab")
        assert [one.styles.color.hex, two.styles.color.hex] == ["#010101", "#020202"]
        pilot.app.screen.add_class("on")
        await pilot.pause()
        assert [one.styles.color.hex, two.styles.color.hex] == ["#030303", "#030303"]
