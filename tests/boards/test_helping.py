"""An open line that is late says what helps, and Enter does it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from threading import Event
from types import SimpleNamespace
from typing import Any, cast

import pytest
from boards.at_a_station import JUS, NOW
from conftest import Kitchen
from plan.test_helping import BREAK, CHILLED
from textual.widgets import Static

from prepboard.boards.acts.desk import Desk
from prepboard.boards.acts.helping import may_ask_to_stay
from prepboard.boards.pages.helping import Helping
from prepboard.clock import FixedClock
from prepboard.plan.changing.helping import helps, worst
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


async def test_while_it_is_still_tried_nobody_says_that_nothing_helps(
    desk: Callable[..., Any], file: KitchenFile, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried = Event()
    monkeypatch.setattr("screens.LONG", 0.1)  # What is tried here ends with the test only.
    monkeypatch.setattr("prepboard.boards.pages.helping.helps", lambda *of: tried.wait(20) and helps(*of))
    file.clock = FixedClock(LATER)
    async with desk(shows=["Chive oil", JUS, "Onion soubise", "Rye crumb"]) as it:
        await it.go_to("to-make", JUS)
        await it.choose("enter")
        await it.until(it.pilot, lambda: "trying what helps" in read(it))
        await it.press("plus")
        await it.answered("trying what helps")
        tried.set()
        await it.until(it.pilot, lambda: "give it to Roast" in read(it))


async def test_a_line_in_time_has_no_such_heading_and_nothing_is_offered(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.go_to("to-make", "Chive oil")
        await it.choose("enter")
        await it.until(it.pilot, lambda: "WHY THIS MUCH" in read(it))
        assert "WHAT HELPS" not in read(it)
        await it.press("plus")
        await it.answered("Nothing that helps is known here.")


async def test_somebodys_break_is_asked_for_by_a_sous_chef_only(kitchen: Callable[..., Kitchen]) -> None:
    """A cook reads what else helps; whoever is asked to give up a break is asked by a sous chef."""
    board = kitchen(BREAK + CHILLED).plan("2026-10-31 14:40")
    (line,) = worst(board)
    page = Helping()
    assert page.wanted(board, line) is line
    assert await page.work_out(board, line)
    for sous in (True, False):
        page.for_sous = sous
        said = " ".join(page.block(board)[1])
        assert ("a cook stays 10 min from 15:15: ready 17:25" in said) is sous
        assert ("stay" in {help.kind for help in page.found}) is sous


@pytest.mark.parametrize(("who", "may"), [("DK", True), ("LM", False), ("", False)])
def test_who_may_ask_somebody_to_stay(kitchen: Callable[..., Kitchen], who: str, may: bool) -> None:
    people = '[people.dk]\nname = "D"\nrole = "sous"\n[people.lm]\nname = "L"\nrole = "cook"\n'
    listed, open_to_all = kitchen(BREAK + CHILLED + people).book, kitchen(BREAK + CHILLED).book
    desk = SimpleNamespace(known=who, station="hot")
    assert may_ask_to_stay(cast(Desk, desk), listed) is may
    assert may_ask_to_stay(cast(Desk, desk), open_to_all)
