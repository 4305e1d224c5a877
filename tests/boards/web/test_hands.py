"""What hands may rely on: no long press, the keyboard when asked for, a bell after the first tap; a wall comes back."""

from __future__ import annotations

import asyncio
from pathlib import Path

from boards.web.browsing import DESK, TABLET, in_a_browser, link_of, opened, says, tap
from boards.web.test_server import serving

from prepboard.boards.web import server

pytestmark = in_a_browser

RINGS = """() => { let tones = 0; const made = AudioContext.prototype.createOscillator;
    AudioContext.prototype.createOscillator = function () { tones += 1; return made.call(this); };
    rung = 0; ring(1); AudioContext.prototype.createOscillator = made; return tones; }"""
MENU = """() => { const asks = new MouseEvent('contextmenu', { bubbles: true, cancelable: true });
    lines.dispatchEvent(asks); return asks.defaultPrevented; }"""
TYPES = "() => document.activeElement === typed"


async def test_the_keyboard_comes_when_asked_for_a_long_press_does_nothing_and_the_bell_rings_after_a_tap(
    kitchen, starter, browser
):
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        assert ":hover" not in (Path(server.__file__).parent / "page" / "board.css").read_text(encoding="utf-8")
        assert await page.evaluate(MENU)
        assert await page.evaluate(RINGS) == 0, "browsers allow no sound before a tap"
        await page.locator("#lines > div", has_text="TO MAKE").tap()
        assert await page.evaluate(RINGS) == 1
        assert not await page.evaluate(TYPES)
        await tap(page, "keyboard")
        assert await page.evaluate(TYPES)
        await page.keyboard.insert_text("n")
        await says(page, "what shall the others know")
        assert page.wrong == []


async def test_a_wall_has_no_key_to_end_it_and_comes_back_by_itself(kitchen, starter, browser):
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", board="wall", stations=()), DESK, first="NEXT TO START")
        assert "quit" not in await page.text_content("#keys")
        (before,) = asked.boards.sessions.open.values()
        await page.keyboard.press("q")
        await asyncio.wait_for(before.ended.wait(), 10)
        async with asyncio.timeout(15):
            while not asked.boards.sessions.open:
                await asyncio.sleep(0.02)
        await says(page, "NEXT TO START")
        (after,) = asked.boards.sessions.open.values()
        assert after.process.pid != before.process.pid
