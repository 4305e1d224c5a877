"""What fingers hit: every button, row and choice is 44 pixels or more, held upright and across; nothing is cut."""

from __future__ import annotations

import asyncio
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from boards.at_a_station import ANOTHER, NOW
from boards.web.browsing import DESK, PHONE, TABLET, TEXT, in_a_browser, link_of, opened, says, tap
from boards.web.test_server import serving

from prepboard.book.amounts import read_amount
from prepboard.clock import FixedClock
from prepboard.store.actions.food.unknown import made
from prepboard.store.kitchen_file import KitchenFile

pytestmark = in_a_browser

FINGER = 44
PHONE_ACROSS = (PHONE[1], PHONE[0])
BUTTONS = """() => [...document.querySelectorAll('button')].filter(b => b.offsetParent).map(b => {
    const r = b.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom, b.scrollWidth - b.clientWidth]; })"""
LINES = """() => { const all = lines.getBoundingClientRect(), last = lines.lastElementChild.getBoundingClientRect();
    return { columns, rows, there: lines.children.length, high: cell.height, cut: lines.scrollWidth - lines.clientWidth,
    below: last.bottom - all.bottom, scrolled: lines.classList.contains('scrolled') }; }"""


async def turned(page: Any, size: tuple[int, int]) -> dict[str, Any]:
    """The page at another size, once its board is drawn for it."""
    await page.set_viewport_size({"width": size[0], "height": size[1]})
    await asyncio.sleep(0.2)
    return await settled(page)


async def settled(page: Any) -> dict[str, Any]:
    async with asyncio.timeout(15):
        while True:
            now = await page.evaluate(LINES)
            if now["there"] == now["rows"] and (await page.evaluate(TEXT)).strip():
                return now
            await asyncio.sleep(0.02)


async def fits(page: Any, size: tuple[int, int], now: dict[str, Any]) -> None:
    buttons = await page.evaluate(BUTTONS)
    assert buttons
    for left, top, right, bottom, cut in buttons:
        assert min(right - left, bottom - top) >= FINGER
        assert left >= 0
        assert top >= 0
        assert right <= size[0] + 0.5
        assert bottom <= size[1] + 0.5
        assert cut <= 0
    assert now["cut"] <= 0
    assert now["below"] <= 0.5 or now["scrolled"]
    assert now["high"] * (2 if now["columns"] < 60 else 1) >= FINGER


@pytest.fixture
def kitchen(kitchen: Path) -> Path:
    """Something is there that can be counted."""
    with closing(KitchenFile.open(kitchen, FixedClock(NOW))) as file:
        made(file, ANOTHER, "Old stock", read_amount("1.5 l"))
    return kitchen


async def fingers_find_all(page: Any, size: tuple[int, int]) -> None:
    """Every button, row and choice, of the board and of a question; nothing is cut."""
    now = await settled(page)
    await fits(page, size, now)
    # The board's own line of keys would be one more row of them, too small to hit.
    assert "undo" not in await page.evaluate(TEXT)
    await tap(page, "count")
    shown = await says(page, "Count what?")
    await fits(page, size, await settled(page))
    assert "leave it" not in shown
    (named,) = [line for line in shown.splitlines() if "Old stock" in line]
    assert ("1.5 l" in named) == (now["columns"] >= 60), "a choice takes two lines where one is too small"
    assert page.wrong == []


@pytest.mark.parametrize("size", [PHONE, DESK])
async def test_fingers_find_every_button_row_and_choice_and_nothing_is_cut(kitchen, starter, browser, size):
    async with serving(kitchen, starter=starter) as asked:
        await fingers_find_all(await opened(browser, link_of(asked, "t", by="LM"), size), size)


async def test_fingers_find_all_on_a_tablet_and_one_that_is_turned_shows_its_board_anew(kitchen, starter, browser):
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        await fingers_find_all(page, TABLET)
        await page.keyboard.press("Escape")
        await says(page, "TO MAKE")
        for size in ((TABLET[1], TABLET[0]), TABLET):
            await fits(page, size, await turned(page, size))
            assert "TO MAKE" in await page.evaluate(TEXT)


async def test_a_phone_held_across_moves_its_lines_by_a_finger_and_taps_what_it_then_shows(kitchen, starter, browser):
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), PHONE_ACROSS)
        assert (await settled(page))["scrolled"]
        await fingers_find_all(page, PHONE_ACROSS)
        await page.keyboard.press("Escape")
        await says(page, "TO MAKE")
        await page.evaluate("() => { lines.scrollTop = 3 * cell.height; }")
        row = page.locator("#lines > div", has_text="Lamb [b]jus[/b]").first
        await row.scroll_into_view_if_needed()
        await row.tap()
        await says(page, "▸")
        marked = page.locator("#lines > div", has_text="▸").first
        assert "Lamb [b]jus[/b]" in await marked.text_content()
