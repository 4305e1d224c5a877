"""The same day in a browser, by taps alone, on two pages at once: a bench's tablet, and another that looks on.
The figures of both screens are checked against the count of what was made less what went out."""

from __future__ import annotations

import asyncio
import os
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from boards.web.browsing import CHROMIUM, TABLET, TEXT, a_browser, link_of, playwright, says, tap
from boards.web.test_server import serving
from conftest import kitchen_file
from days.test_a_day_by_keys import BOOK, KITCHEN, Count

from prepboard.clock import RealClock
from prepboard.store.actions.loading import set_clock
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed: no day was walked in a browser")
# Half a minute with two browsers: as long as a quarter of all other tests.
long = pytest.mark.skipif("PREPBOARD_LONG" not in os.environ, reason="PREPBOARD_LONG=1 walks a whole day in a browser")
COOK = Who("LM", "hot")


@pytest.fixture
def hatch(tmp_path: Path) -> KitchenFile:
    afternoon = datetime.fromisoformat("2026-10-31T14:20+00:00")
    file = kitchen_file(tmp_path, afternoon, COOK, seed=3, kitchen=KITCHEN, book=BOOK)
    file.clock = RealClock()
    return file


def at(file: KitchenFile, clock: str) -> None:
    """It is that time in the kitchen."""
    set_clock(file, datetime.fromisoformat(f"2026-10-31T{clock}:05+00:00"))


async def page_of(browser: Any, link: str) -> Any:
    context = await browser.new_context(
        viewport={"width": TABLET[0], "height": TABLET[1]}, has_touch=True, is_mobile=True
    )
    page = await context.new_page()
    page.wrong = []
    page.on("pageerror", lambda fault: page.wrong.append(str(fault)))
    await page.goto(link)
    await page.wait_for_selector("body[data-painted=yes]")
    return page


async def shows(page: Any, holds: Any, what: str) -> str:
    """Waits until the lines of a page are so."""
    for _turn in range(1500):
        if holds(shown := await page.evaluate(TEXT)):
            return shown
        await asyncio.sleep(0.02)
    raise AssertionError(f"{what}:\n{shown}")


async def until(holds: Any) -> None:
    async with asyncio.timeout(30):
        while not holds():
            await asyncio.sleep(0.02)


async def go_to(page: Any, text: str) -> None:
    """A tap on a row goes there."""
    await page.locator("#lines > div", has_text=text).first.tap()


async def plates(page: Any, file: KitchenFile, *signs: str) -> None:
    """Plates go out: "3", a dish, "+" and another; then taken."""
    before = dict(file.read().plated)
    await tap(page, "plate")
    await says(page, "Plate out")
    for sign in signs:
        if sign.isdigit() or sign == "+":
            await tap(page, sign)
        else:
            await page.keyboard.press(sign)
    await tap(page, "take it")
    await until(lambda: file.read().plated != before)


@pytest.mark.parametrize("to", ["all is started", pytest.param("the signature", marks=long)])
async def test_from_the_afternoon_on_by_taps_on_two_pages(hatch: KitchenFile, to: str) -> None:
    count = Count()
    at(hatch, "14:20")
    async with serving(hatch.path) as asked, a_browser() as browser:
        links = [link_of(asked, name, stations=("hot",), by=by) for name, by in (("tablet", "LM"), ("second", "JP"))]

        async def both(clock: str) -> list[Any]:
            """It is that time, and both pages are opened again: a kitchen's clock does not jump under a board."""
            at(hatch, clock)
            for context in browser.contexts:
                assert [one.wrong for one in context.pages] == [[]]
                await context.close()
            pages = [await page_of(browser, link) for link in links]
            for page in pages:
                await says(page, clock[:4])
            return pages

        bench, other = await both("14:20")
        for n in (1, 2, 3):
            await _start(bench, hatch, n)
        await shows(other, lambda shown: "Pies" in shown and "Nothing to make" in shown, "the other page sees it")
        if to == "all is started":
            assert bench.wrong == other.wrong == []
            assert len(hatch.read().runs) == 3
            return
        for clock in ("15:20", "16:40"):
            bench, other = await both(clock)
            await _go_on(bench, hatch)
        assert hatch.read().runs == (), await bench.evaluate(TEXT)
        for batch in hatch.read().batches:
            count.made(batch.prep, batch.left // 10**6)

        bench, other = await both("18:30")
        await plates(bench, hatch, "3", "f", "+", "2", "t")
        count.plated("fish", 3)
        count.plated("tart", 2)
        for page in (bench, other):
            await shows(page, lambda shown: _left(shown) == _counted(count), f"plates left {_counted(count)}")

        bench, other = await both("21:55")
        await plates(bench, hatch, "1", "4", "f", "+", "1", "2", "t")
        count.plated("fish", 14)
        count.plated("tart", 12)
        bench, other = await both("22:10")
        await says(bench, "last plates")
        await plates(other, hatch, "t")
        count.plated("tart", 1)
        for page in (bench, other):
            await shows(page, lambda shown: _left(shown) == _counted(count), f"the last plates {_counted(count)}")
        await _close(browser, asked, hatch)
        assert bench.wrong == other.wrong == []
    held = {batch.prep: batch.left // 10**6 for batch in hatch.read().batches}
    assert held == {prep: n for prep, n in count.there.items() if n}


async def _start(page: Any, file: KitchenFile, n: int) -> None:
    """The first line is started, the n-th of the day: a board that says that the list moved is tapped once more."""
    for _turn in range(20):
        if len(file.read().runs) >= n:
            return
        await tap(page, "yes" if await page.locator("button", has_text="yes").count() else "start")
        for _look in range(20):
            await asyncio.sleep(0.1)
            if len(file.read().runs) >= n or await page.locator("button", has_text="yes").count():
                break
    raise AssertionError(await page.evaluate(TEXT))


def _left(shown: str) -> dict[str, int]:
    """The plates left that a page shows, by dish; a row may take two lines."""
    found, named = {}, ""
    for line in shown.splitlines():
        words = line.replace("▸", " ").split()
        if words[:1] and words[0] in ("Fish", "Tart"):
            named, words = words[0].lower(), words[1:]
        if named and words[:1] and words[0].isdigit():
            found[named] = int(words[0])
            named = ""
    return found


def _counted(count: Count) -> dict[str, int]:
    return {dish: count.left(dish) for dish in ("fish", "tart")}


async def _tap(page: Any, text: str) -> None:
    """A tap; a button that just went is none, and what is there is looked at anew."""
    with suppress(playwright.TimeoutError):
        await page.locator("button", has_text=text).first.tap(timeout=2000)


async def _soon(holds: Any, seconds: float = 2.0) -> bool:
    """Whether it comes to that within a few seconds."""
    for _turn in range(int(seconds / 0.05)):
        if await holds():
            return True
        await asyncio.sleep(0.05)
    return False


async def _go_on(page: Any, file: KitchenFile) -> None:
    """What is due is gone on with by the first button, each done as planned, until nothing is."""

    async def asked() -> bool:
        return bool(await page.locator("button", has_text="take it").count())

    async def due() -> bool:
        return "DUE" in await page.evaluate(TEXT)

    for _turn in range(40):
        before = file.read().version

        async def moved(before: int = before) -> bool:
            return file.read().version != before or await asked()

        if await asked():
            await _tap(page, "take it")
            await asyncio.sleep(0.3)
        elif await _soon(due, 4.0):
            await _tap(page, "start")
            await _soon(moved)
        else:
            return


async def _close(browser: Any, asked: Any, file: KitchenFile) -> None:
    """The walk of the close on a page of its own: each batch is there as shown; then the bench is signed."""
    close = await page_of(browser, link_of(asked, "close", board="closing", stations=(), by="LM"))
    await says(close, "COUNT AND BIN")
    async with asyncio.timeout(60):
        while not file.read().signed:
            shown = await close.evaluate(TEXT)
            for name in ("as shown", "sign", "yes"):
                if await close.locator("button", has_text=name).count():
                    await tap(close, name)
                    break
            else:
                await go_to(close, "SIGN" if "SIGN" in shown else "COUNT")
            await asyncio.sleep(0.2)
    assert close.wrong == []
