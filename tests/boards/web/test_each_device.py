"""What was said of a device when it was added is seen on it; what it missed it is told; what ended it stays said."""

from __future__ import annotations

import asyncio
from typing import Any

from boards.web.browsing import DESK, TABLET, in_a_browser, link_of, live, opened, says, warned
from boards.web.test_server import serving

pytestmark = in_a_browser

SEEN = """() => { const one = lines.querySelector('span'); return {
    paper: getComputedStyle(one).backgroundColor, high: lines.firstElementChild.getBoundingClientRect().height,
    letters: parseFloat(getComputedStyle(one).fontSize), columns, cut: lines.scrollWidth - lines.clientWidth }; }"""
AWAKE = "() => [lock !== null, lockable]"
WATCH = "() => { window.lockable = Boolean(navigator.wakeLock); }"


def brightness(colour: str) -> float:
    return sum(int(part) for part in colour.removeprefix("rgb(").rstrip(")").split(",")) / 3


async def test_look_size_of_lines_and_letters_and_whether_its_screen_stays_on_are_each_devices_own(
    kitchen, starter, browser
):
    async with serving(kitchen, starter=starter) as asked:
        plain = await opened(browser, link_of(asked, "plain"), DESK)
        other = await opened(
            browser, link_of(asked, "gloves", look="light", line=60, letters=22, sleeps=True), DESK
        )  # fmt: skip
        await asyncio.sleep(0.5)  # Sizes are settled.
        for page in (plain, other):
            await says(page, "TO MAKE")
            await page.evaluate(WATCH)
            await page.locator("#lines > div", has_text="TO MAKE").tap()
        one, two = await plain.evaluate(SEEN), await other.evaluate(SEEN)
        assert brightness(one["paper"]) < 80
        assert brightness(two["paper"]) > 180
        assert one["high"] < 60 <= two["high"]
        assert one["letters"] < 22 <= two["letters"] < 23
        assert two["columns"] < one["columns"]
        assert two["cut"] <= 0
        for page, asks in ((plain, True), (other, False)):
            await asyncio.sleep(0.1)
            awake, lockable = await page.evaluate(AWAKE)
            assert lockable, "the browser can be asked to"
            assert awake == asks


async def test_letters_grow_no_larger_than_a_narrow_board_has_room_for(kitchen, starter, browser):
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "far", letters=40), TABLET)
        await asyncio.sleep(0.5)
        now = await page.evaluate(SEEN)
        assert now["columns"] in (43, 44)
        assert 26 < now["letters"] < 40


async def missed(page: Any, session: Any, tell: Any) -> None:
    """The line is lost; meanwhile something happens; the page comes back."""
    await page.context.set_offline(True)
    await page.evaluate("() => socket.close()")
    while session.watched:
        await asyncio.sleep(0.02)
    tell()
    await page.context.set_offline(False)
    await live(page)


async def test_a_ring_that_nobody_heard_is_shown_until_somebody_taps_and_why_a_board_ended_whatever_is_pressed(
    kitchen, starter, browser
):
    """That it tries again would be no truth where it was removed."""
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        (session,) = asked.boards.sessions.open.values()
        await missed(page, session, lambda: None)
        assert await page.is_hidden("#late")

        def ring() -> None:
            session.rings += 1  # As its board said it: read by the server though no page is there.

        await missed(page, session, ring)
        await warned(page, "The bell rang")
        await asyncio.sleep(1.2)  # A ping later it is there yet.
        await warned(page, "The bell rang")
        await page.locator("#lines > div", has_text="TO MAKE").tap()
        await asyncio.sleep(1.2)
        assert await page.is_hidden("#late")
        asked.boards.devices.remove("t")
        await warned(page, "This device was removed")
        await asyncio.sleep(2.8)
        await page.keyboard.press("s")
        await asyncio.sleep(0.1)
        assert await page.text_content("#late") == "This device was removed."


async def test_a_line_on_which_nothing_comes_is_given_up_also_while_it_is_being_opened(kitchen, starter, browser):
    """A network that swallows all: no end is heard of, and the browser itself would wait for minutes."""
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)

        # The next line is one that stays as it is, neither open nor closed; the one after that is a real one.
        await page.evaluate(
            """() => { const real = WebSocket; let first = true;
            window.WebSocket = function (to) { const one = first ? { readyState: 0, close() {} } : new real(to);
                first = false; return one; };
            window.WebSocket.OPEN = real.OPEN; socket.close(); }"""
        )
        await warned(page, "Not live since")
        await live(page, 9)
        await says(page, "TO MAKE")
