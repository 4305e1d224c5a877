"""Every board, page and dialog at up to four sizes, as plain text in `pictures/all/`: one file each, looked at before
it is kept. A box with room around it is the same on every larger screen, which is looked at for one of them. What
differs on purpose is written anew with PREPBOARD_PICTURES=write. They are read as a page in a browser is given them.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from boards.at_a_station import ANOTHER, NOW, Until
from boards.test_pictures import _text
from boards.web.test_cells import drawn
from screens import draw_whole
from textual.drivers.headless_driver import HeadlessDriver
from textual.pilot import Pilot
from textual.screen import Screen

from prepboard.boards.app.app import BoardApp
from prepboard.boards.closing.board import ClosingScreen
from prepboard.boards.pars.board import ParsScreen
from prepboard.boards.questions.mine_or_theirs import MineOrTheirs
from prepboard.boards.questions.pin import AskPin
from prepboard.boards.questions.sure import AskAll, AskTakeBack, Sure
from prepboard.boards.station.board import StationScreen
from prepboard.boards.wall.board import WallScreen
from prepboard.boards.web.cells import Cells
from prepboard.store.actions.food.making import done, start
from prepboard.store.actions.handover import note
from prepboard.store.kitchen_file import KitchenFile

__all__ = ["drawn"]

KEPT = Path(__file__).parent / "pictures" / "all"
SIZES = ((44, 24), (80, 24), (120, 36), (200, 50))
OPENED = SIZES[1]
"""Where each is opened, and what it comes back to at the end."""

BOARDS: dict[str, tuple[Callable[[KitchenFile], Screen[None]], dict[str, str]]] = {
    "station": (
        lambda file: StationScreen(file, ("sauce", "roast"), "LM"),
        {
            "": "",
            "an open line": "enter",
            "done, how much": "d",
            "count what": "c",
            "plate out": "p",
            "a timer": "y",
            "86, which dish": "8",
            "a smaller portion": "w",
            "began earlier": "b",
            "throw away, why": "x",
            "other use, which": "o",
            "a temperature": "t",
            "made, in no book": "m",
            "a note": "n",
            "bring to the line": "f",
            "hold or move": "h",
            "only some lines": "slash",
            "all keys": "question_mark",
            "undo": "u",
            "a label": "l",
            "allergens": "asterisk",
            "timeline": "e",
            "initials": "i",
            "a batch": "slash A 3 8 enter",
        },
    ),
    "closing": (
        lambda file: ClosingScreen(file, (), "LM"),
        {"": "", "count": "c", "bin, other reason": "minus", "waste": "dollar_sign", "find batch": "slash"},
    ),
    "pars": (
        lambda file: ParsScreen(file, "", "LM"),
        {
            "": "",
            "a number typed": "7 5",
            "what changes": "7 5 down v",
            "menu": "full_stop",
            "begins later": "up up full_stop b",
            "one more service": "plus",
            "order": "dollar_sign",
            "a par, menu": "tab full_stop",
            "a par, look": "full_stop o",
            "a par, chart": "full_stop c",
            "dishes": "right",
            "today": "right",
        },
    ),
    "wall": (lambda file: WallScreen(file), {"": "", "all keys": "question_mark"}),
}


@pytest.fixture
def busy(file: KitchenFile) -> KitchenFile:
    """The kitchen of the sauce bench with a run under way, batches that end at different times, and a note."""
    done(file, ANOTHER, prep="soubise", at=NOW - timedelta(days=3))
    done(file, ANOTHER, prep="crumb", at=NOW - timedelta(days=6))
    start(file, ANOTHER, "jus", 1, at=NOW - timedelta(minutes=10))  # type: ignore[arg-type]
    note(file, ANOTHER, "The walk-in door does not shut by itself")
    return file


async def _still(pilot: Pilot[None], app: BoardApp) -> str:
    """The screen as text once it no longer changes."""
    before = None
    while before != (before := _text(app)):
        await pilot.pause()
    return before


def _page(drawn: Cells) -> str:
    """The lines that a page is given."""
    lines = ("".join(text for text, *_style in drawn.line(y)).rstrip() for y in range(drawn.height))
    return "\n".join(lines) + "\n"


def _has_room(said: str) -> bool:
    """Whether it is a box with some of the screen free around it."""
    top = next(filter(None, said.split("\n")), "")
    return said.startswith("\n") and top.startswith(" ") and top.lstrip().startswith("┌")


AT_EVERY_SIZE = "throw away, why"
"""The box that is looked at on all screens."""


async def _at_all_sizes(pilot: Pilot[None], app: BoardApp, drawn: Cells, until: Until, what: str) -> str:
    """As it was opened it is drawn step by step; at another size once, when it has come to rest there."""
    opened = await _still(pilot, app)
    await until(pilot, lambda: _page(drawn) == opened)
    shown = {OPENED: opened}
    for size in sorted(SIZES, key=lambda size: size == OPENED):
        if what != AT_EVERY_SIZE and any(one < size and _has_room(said) for one, said in shown.items()):
            continue
        with pytest.MonkeyPatch.context() as nobody_looks:
            nobody_looks.setattr(HeadlessDriver, "is_headless", True)
            drawn.resize(*size)
            await pilot.resize_terminal(*size)
            await pilot.pause()
        draw_whole(app)
        shown[size] = _page(drawn)
    return "\n".join(f"{size[0]}x{size[1]}\n{shown[size]}" for size in SIZES if size in shown)


QUESTIONS: dict[str, Callable[[], Screen[Any]]] = {
    "is it right": lambda: Sure("12 l is more than three times the 2 l that were planned"),
    "all of these": lambda: AskAll("Are these 2 done, each as planned?", ["Chive oil   1 l", "Rye crumb   3 kg"]),
    "undo this": lambda: AskTakeBack("LM, Sauce: Lamb jus started: 1 recipe, run M6V"),
    "a PIN": lambda: AskPin("LM", "that is not the PIN of LM"),
    "mine or theirs": lambda: MineOrTheirs("Dinner, covers", "75", "80 (JP, 14:00)"),
}


async def test_questions_are_as_they_were_looked_at(busy: KitchenFile, until: Callable[..., Any], drawn: Cells) -> None:
    screen = StationScreen(busy, ("sauce",), "LM")
    app = BoardApp(screen)
    different = []
    async with app.run_test(size=OPENED) as pilot:
        await until(pilot, lambda: screen.board is not None)
        for what, question in QUESTIONS.items():
            before = await _still(pilot, app)
            app.push_screen(question())
            await until(pilot, lambda before=before: _text(app) != before)
            if not _is_kept(f"question {what}", await _at_all_sizes(pilot, app, drawn, until, what)):
                different.append(what)
            await _back_to(screen, pilot, app, until)
    assert not different


def _is_kept(what: str, said: str) -> bool:
    """Whether a picture is the one that was looked at; written anew where that is asked for."""
    kept = KEPT / f"{what}.txt".replace(" ", "-").replace(",", "")
    if os.environ.get("PREPBOARD_PICTURES") == "write":
        kept.parent.mkdir(exist_ok=True)
        kept.write_text(said, encoding="utf-8")
    return kept.exists() and said == kept.read_text(encoding="utf-8")


async def _back_to(screen: Screen[Any], pilot: Pilot[None], app: BoardApp, until: Until) -> None:
    if app.screen is screen:
        await pilot.press("escape")
    while app.screen is not screen:
        top = app.screen
        await pilot.press("escape")
        await until(pilot, lambda top=top: app.screen is not top)


@pytest.mark.parametrize("name", BOARDS)
async def test_it_is_as_it_was_looked_at(name: str, busy: KitchenFile, until: Callable[..., Any], drawn: Cells) -> None:
    make, dialogs = BOARDS[name]
    screen = make(busy)
    app = BoardApp(screen)
    different = []
    async with app.run_test(size=OPENED) as pilot:
        await until(pilot, lambda: screen.board is not None)  # type: ignore[attr-defined]
        for what, keys in dialogs.items():
            if keys:
                before = await _still(pilot, app)
                await pilot.press(*keys.split())
                await until(pilot, lambda before=before: _text(app) != before)
            if not _is_kept(f"{name} {what}".strip(), await _at_all_sizes(pilot, app, drawn, until, what)):
                different.append(what)
            await _back_to(screen, pilot, app, until)
    assert not different
