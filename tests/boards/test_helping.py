"""An open line that is late says what helps, and Enter does it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from boards.at_a_station import JUS, NOW
from textual.widgets import Static

from prepboard.clock import FixedClock
from prepboard.store.kitchen_file import KitchenFile

LATER = NOW.replace(hour=16)
"""The jus cannot be ready by 18:00 any more; the roast bench has time for it."""


def read(it: Any) -> str:
    return str(it.app.screen.query_one("#text", Static).content)


async def test_a_late_line_is_tried_while_it_is_read_and_enter_does_what_helps_best(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    file.clock = FixedClock(LATER)
    async with desk(shows=["Chive oil", JUS, "Onion soubise", "Rye crumb"]) as it:
        await it.go_to("to-make", JUS)
        await it.choose("enter")
        await it.until(it.pilot, lambda: "give it to Roast" in read(it))
        assert "WHAT HELPS" in read(it)
        await it.choose("plus")
        await it.choose("enter")
        await it.answered("made by Roast")
        assert file.read().given == {("jus", date(2026, 10, 31)): "roast"}
        await it.until(it.pilot, lambda: "give it to Roast" not in read(it))
        await it.choose("escape")
        await it.choose("u")
        await it.press("enter")
        await it.until(it.pilot, lambda: file.read().given == {})


async def test_a_line_in_time_has_no_such_heading_and_nothing_is_offered(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.go_to("to-make", "Chive oil")
        await it.choose("enter")
        await it.until(it.pilot, lambda: "WHY THIS MUCH" in read(it))
        assert "WHAT HELPS" not in read(it)
        await it.press("plus")
        await it.answered("Nothing that helps is known here.")
