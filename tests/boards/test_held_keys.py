"""A key that is held, on every board: as keyboards send it, half a second after the press and then thirty times a
second. At most one thing is done, whatever the key. Here those that act, for a moment; tests/benchmarks/held_keys.py
holds all of them for five seconds."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from boards.at_a_station import ANOTHER, Until
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from prepboard.boards.app.app import BoardApp
from prepboard.boards.closing.board import ClosingScreen
from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.keys import MOVES, of
from prepboard.boards.pars.board import ParsScreen
from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.station.board import StationScreen
from prepboard.boards.wall.board import WallScreen
from prepboard.boards.widgets import line_list, presses
from prepboard.store.actions.food.making import done, start
from prepboard.store.actions.night.timers import set_timer
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

DELAY, EVERY, A_MOMENT = 0.5, 1 / 30, 0.7

ONLY_OPENS = {
    "open_line", "timeline", "all_keys", "allergens", "look", "order", "chart", "changes", "bring", "waste", "whole",
    "label", "mix", "today", "next_part", "next_list", "find_batch", "filter",
}  # fmt: skip
"""Keys that show something else and change nothing."""

BOARDS: dict[str, Callable[[KitchenFile], BoardScreen]] = {
    "station": lambda file: StationScreen(file, ("sauce",), "LM"),
    "closing": lambda file: ClosingScreen(file, ("sauce",), "LM"),
    "pars": lambda file: ParsScreen(file, "", "LM"),
    "wall": WallScreen,
}


@pytest.fixture(autouse=True)
def real_hands(quick_hands: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(presses, "HELD", 0.08)
    monkeypatch.setattr(line_list, "SLID", 1.0)


def held(name: str, at: float, seconds: float) -> list[events.Key]:
    times = [at, *(at + DELAY + n * EVERY for n in range(round((seconds - DELAY) / EVERY)))]
    return [_key(name, each) for each in times]


def _key(name: str, at: float) -> events.Key:
    sign = {"space": " ", "slash": "/", "plus": "+", "dollar_sign": "$", "question_mark": "?"}.get(name, name)
    pressed = events.Key(name, sign if len(sign) == 1 else None)
    pressed.time = at
    return pressed


async def sent(pilot: Pilot[None], until: Until, keys: list[events.Key]) -> None:
    """All of them in one packet; returns when all were seen to, and what they asked for too."""
    app: Any = pilot.app
    for pressed in keys:
        app.post_message(pressed)
    await pilot.pause()
    await until(pilot, lambda: not app._keys and not app._on_its_way and not app.presses.undecided)
    asking = isinstance(app.screen, Dialog)
    await until(pilot, lambda: asking or not any(one.is_running for one in app.workers if one.group == "asked"))


def changes(file: KitchenFile) -> int:
    with file.looking() as db:
        return int(db.execute("SELECT count(*) FROM actions").fetchone()[0])


@pytest.fixture
def busy(file: KitchenFile) -> KitchenFile:
    return fill(file)


def fill(file: KitchenFile) -> KitchenFile:
    """Something of everything that a key could do: runs, batches, a timer, a change to undo."""
    for prep in ("soubise", "crumb"):
        done(file, ANOTHER, prep=prep)
    start(file, ANOTHER, "jus", 1)
    set_timer(file, Who("LM", "sauce"), "sauce", 5)
    return file


def keys_of(name: str, *, acting: bool = False) -> list[str]:
    """All keys of a board, but the one that closes it; or those of them that may change something."""
    groups = (name,) if name == "wall" else (name, "board", "list")
    keys = [key for key in of(*groups) if key.action != "quit"]
    if acting:
        keys = [key for key in keys if key.action not in ONLY_OPENS and not key.each]
    return [one for key in keys for one in key.keys.split(",") if not (acting and one in MOVES)]


async def hold(
    pilot: Pilot[None], until: Until, board: BoardScreen, names: list[str], seconds: float
) -> dict[str, int]:
    """Holds each of these keys, and goes back to the board after each; how many changes came of it."""
    at, found = 100.0, {}
    await until(pilot, lambda: board.board is not None)
    for each in names:
        before = changes(board.file)
        await sent(pilot, until, held(each, at, seconds))
        found[each] = changes(board.file) - before
        at += 10 + seconds
        for _out in range(6):
            if pilot.app.screen is board and not isinstance(board.focused, Input):
                break
            await sent(pilot, until, [_key("escape", at)])
            at += 10
        assert pilot.app.screen is board, each
    return found


@pytest.mark.parametrize("name", BOARDS)
async def test_no_key_of_a_board_does_more_than_one_thing_however_long_it_is_held(
    busy: KitchenFile, until: Until, name: str
) -> None:
    board = BOARDS[name](busy)
    async with BoardApp(board).run_test(size=(120, 36)) as pilot:
        found = await hold(pilot, until, board, keys_of(name, acting=True), A_MOMENT)
    assert {each: n for each, n in found.items() if n > 1} == {}
    assert any(found.values()) == (name in ("station", "closing"))


async def test_pasted_text_is_typed_where_something_is_typed_and_presses_no_key_elsewhere(
    busy: KitchenFile, until: Until
) -> None:
    board = BOARDS["station"](busy)
    async with BoardApp(board).run_test(size=(120, 36)) as pilot:
        await until(pilot, lambda: board.board is not None)
        before = changes(busy)
        pilot.app.post_message(events.Paste("sdu8x 94"))
        await pilot.pause()
        assert pilot.app.screen is board
        assert changes(busy) == before
        await sent(pilot, until, [_key("d", 1.0)])
        assert isinstance(pilot.app.screen, AskAmount)
        pilot.app.post_message(events.Paste("1250 ml"))
        await until(pilot, lambda: pilot.app.screen.query_one(Input).value == "1250 ml")
        await sent(pilot, until, [_key("escape", 2.0), _key("x", 4.0)])
        assert isinstance(pilot.app.screen, AskWhich)
        pilot.app.post_message(events.Paste("y\nu\n"))
        await pilot.pause()
        assert isinstance(pilot.app.screen, AskWhich)
        assert changes(busy) == before
