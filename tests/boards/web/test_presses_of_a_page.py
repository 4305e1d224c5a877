"""Keys of a page: when they were pressed counts, not when the network brought them."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from pathlib import Path
from time import monotonic
from types import SimpleNamespace
from typing import Any

import pytest
import pytest_asyncio
from boards.web.test_starting import first_figures, said, tell

from prepboard.boards.web.child import Wanted
from prepboard.boards.web.driver import PageDriver
from prepboard.boards.web.starting import BoardProcess, Starter

pytestmark = pytest.mark.asyncio(loop_scope="session")


class Page:
    """What a board has sent, line by line, and the keys that it is brought."""

    def __init__(self, board: BoardProcess) -> None:
        self.board = board
        self.lines: dict[int, str] = {}

    async def shows(self, text: str) -> None:
        """Waits until the lines have a text."""
        while text not in "\n".join(self.lines.values()):
            message = await said(self.board, lambda message: message.get("lines"))
            for number, runs in message["lines"].items():
                self.lines[int(number)] = "".join(run[0] for run in runs)

    def press(self, *keys: tuple[str, int]) -> None:
        """All at once, each so many ms after the first; the last was pressed just now."""
        began = monotonic() - keys[-1][1] / 1000
        told = [json.dumps({"do": "key", "key": key, "at": began + at / 1000}) for key, at in keys]
        self.board.stdin.write("".join(f"{one}\n" for one in told).encode())


@pytest_asyncio.fixture(loop_scope="session")
async def page(starter: Starter, kitchen: Path) -> AsyncIterator[Page]:
    board = await starter.start(Wanted(str(kitchen), "station", ("sauce",), "LM"), 80, 30)
    page = Page(board)
    await page.shows("TO MAKE")
    yield page
    board.stdin.close()
    await board.wait()


async def test_what_a_cook_typed_one_after_the_other_is_typed_though_it_comes_at_once(page):
    """`n` opens a question, and the letters behind it belong into it: 60 ms apart, as hands type (common practice, no
    source)."""
    page.press(*((key, 60 * n) for n, key in enumerate("nstir")))
    await page.shows("stir")


async def test_a_digit_right_behind_the_key_that_asks_for_it_is_not_lost(page):
    page.press(("s", 0))
    await page.shows("Reduce")
    await asyncio.sleep(1.2)  # A row that has just slid under the cursor is not acted on.
    page.press(("d", 0), ("8", 1), ("7", 2))
    await page.shows("87")


async def test_what_came_at_once_from_a_keyboard_that_guesses_words_presses_no_key_and_that_is_said(page):
    page.press(("n", 0), ("s", 0))
    assert "all at once" in (await said(page.board, lambda message: "at once" in message.get("said", "")))["said"]


async def test_a_key_that_repeats_itself_is_one_press_however_the_network_bunches_it(page):
    """Thirty times a second from half a second on, all brought at once: one run is started, not several."""
    page.press(("s", 0), *(("s", 500 + 33 * n) for n in range(20)))
    await page.shows("Reduce")
    await asyncio.sleep(0.5)
    tell(page.board, do="repaint")
    await said(page.board, first_figures)
    page.press(("u", 0))
    await page.shows("Undo this?")
    page.press(("enter", 0))
    await page.shows("Nothing is under way")


@pytest.mark.parametrize(
    "press", [{"do": "key", "key": "s"}, {"do": "tap", "x": 3, "y": 0}, {"do": "sign", "pad": 0, "sign": "1"}]
)
async def test_a_press_that_comes_before_the_first_picture_goes_nowhere_and_one_after_it_does(monkeypatch, press):
    """Also where the board itself knows its figures by then."""
    monkeypatch.setenv("PREPBOARD_PAGE", "20x3")
    went: list[object] = []
    pad = SimpleNamespace(signs="1", id="pad", post_message=went.append)
    pads = SimpleNamespace(results=lambda _kind: [pad])
    app: Any = SimpleNamespace(screen=SimpleNamespace(query=lambda _kind: pads, walk_children=list), theme="dark")
    driver = PageDriver(app)
    monkeypatch.setattr(driver, "process_message", went.append)
    monkeypatch.setattr(driver, "_tell", lambda _message: None)
    driver._take(press)
    assert not went
    driver.write("\x1b[1;1HTO MAKE")
    driver._take(press)
    assert not went, "what is drawn is not shown yet"
    await asyncio.sleep(0)
    driver._take(press)
    assert went


async def test_a_key_that_comes_before_anything_is_to_be_seen_does_nothing_later(starter, kitchen):
    board = await starter.start(Wanted(str(kitchen), "station", ("sauce",), "LM"), 80, 30)
    page = Page(board)
    page.press(("s", 0))
    await page.shows("TO MAKE")
    page.press(("down", 0))  # Behind which a key would come that waited.
    await asyncio.sleep(0.5)
    tell(board, do="repaint")
    shown = await said(board, first_figures)
    assert "Nothing is under way" in json.dumps(shown["lines"])
    board.stdin.close()
    await board.wait()
