"""A new cook before a cold board: finds the most urgent line, opens its recipe, starts it, marks it done.

Each of the four by keys alone and by taps alone, in at most four presses; DEVELOPERS.md tells the same walk.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from boards.at_a_station import JUS, L

from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.initials import AskInitials
from prepboard.boards.questions.pad import Pad
from prepboard.boards.questions.typed import AskTyped
from prepboard.boards.station.board import StationScreen
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine

MOST = 4
SIZES = [(44, 24), (120, 36)]


@dataclass
class Hand:
    """Counts what a hand does in each part of the walk."""

    it: Any
    presses: int = 0

    async def key(self, name: str) -> None:
        self.presses += 1
        await self.it.press(name)

    async def tap(self, widget: Any, x: int = 1, y: int = 0) -> None:
        self.presses += 1
        await self.in_place(widget)
        await self.it.pilot.click(widget, offset=(x, y))

    async def in_place(self, widget: Any) -> None:
        """Waits until the layout has come to rest: a hand taps what it sees."""
        before = None
        while before != (before := (widget.region, self.it.app.screen)) or not widget.region:
            await self.it.pilot.pause(0.05)

    async def tap_word(self, kind: type[PlainLine], word: str) -> None:
        """Taps where a word stands in a footer or a pad, once it stands there: a question may still be being drawn."""
        for _look in range(300):
            for widget in self.it.app.screen.query(kind):
                for y, line in enumerate(widget.text.split("\n")):
                    if word in line.split() or word in line:
                        await self.tap(widget, line.index(word), y)
                        return
            await self.it.pilot.pause(0.05)
        raise AssertionError(f"{word} is not in sight")

    def part_over(self) -> None:
        assert 0 < self.presses <= MOST
        self.presses = 0


Walk = Callable[[Hand], Awaitable[None]]


async def steps(it: Any, find: Walk, open_: Walk, start: Walk, done: Walk) -> None:
    hand = Hand(it)
    await find(hand)
    await it.until(it.pilot, lambda: it.cursor == JUS)
    hand.part_over()
    await open_(hand)
    await it.on(LineScreen)
    await it.until(it.pilot, lambda: "Shallots" in str(it.app.screen.query_one("#text").render()))
    hand.part_over()
    await start(hand)
    await it.shows("under-way", [JUS])
    await it.until(it.pilot, lambda: "started 14:00 by rk" in str(it.app.screen.query_one("#text").render()))
    hand.part_over()
    await done(hand)
    await it.on(StationScreen)
    await it.shows("under-way", [])
    assert [(batch.prep, batch.left, batch.by) for batch in it.file.read().batches] == [("jus", 2 * L, "rk")]
    hand.part_over()


async def passes_over_the_reading(hand: Hand) -> None:
    """What cools is asked for its reading as it is done; Enter passes over it."""
    await hand.it.until(hand.it.pilot, lambda: type(hand.it.app.screen) is AskTyped)


@pytest.mark.parametrize("size", [(80, 24)], ids=["80x24"])
async def test_by_keys_alone(desk: Callable[..., Any], size: tuple[int, int]) -> None:
    async def find(hand: Hand) -> None:
        await hand.key("down")

    async def open_(hand: Hand) -> None:
        await hand.key("enter")

    async def start(hand: Hand) -> None:
        await hand.key("s")
        await hand.it.on(AskInitials)
        for key in ("r", "k", "enter"):
            await hand.key(key)

    async def done(hand: Hand) -> None:
        await hand.key("d")
        await hand.it.on(AskAmount)
        await hand.key("enter")
        await passes_over_the_reading(hand)
        await hand.key("enter")

    async with desk(by="", size=size) as it:
        await steps(it, find, open_, start, done)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_by_taps_alone(desk: Callable[..., Any], size: tuple[int, int]) -> None:
    async def find(hand: Hand) -> None:
        await hand.tap(hand.it.board.list_of("to-make"), 12)

    async def open_(hand: Hand) -> None:
        await hand.tap(hand.it.board.list_of("to-make"), 12)

    async def start(hand: Hand) -> None:
        await hand.tap_word(KeyLine, "s start")
        await hand.it.on(AskInitials)
        for sign in ("r", "k"):
            await hand.tap_word(Pad, sign)
        await hand.tap_word(KeyLine, "enter take it")

    async def done(hand: Hand) -> None:
        await hand.tap_word(KeyLine, "d done")
        await hand.it.on(AskAmount)
        await hand.tap_word(KeyLine, "enter take it")
        await passes_over_the_reading(hand)
        await hand.tap_word(KeyLine, "enter take it")

    async with desk(by="", size=size) as it:
        await steps(it, find, open_, start, done)


def test_the_walk_is_written_down() -> None:
    told = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert "## The walk" in told
    for part in ("finds the most urgent line", "opens its recipe", "starts it", "marks it done"):
        assert part in told
