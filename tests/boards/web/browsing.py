"""Boards opened in a real browser, for the tests that do so: Chromium, driven by Playwright."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any
from weakref import WeakKeyDictionary

import pytest

from prepboard.boards.web.devices import Device

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
playwright = pytest.importorskip("playwright.async_api", reason="Playwright is not installed")
in_a_browser = [
    pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed: no board was opened in a browser"),
    pytest.mark.asyncio(loop_scope="session"),
]
"""Marks of tests that open boards in the one browser that they share."""

LEFT_OUT = [
    # The address bar, of which nothing is seen, would load pages of its own for each page that is opened here.
    "WebUIOmniboxPopup", "WebUIOmniboxAimPopup", "WebUIOmniboxFullPopup",
    # What Playwright leaves out, which this takes the place of.
    "AvoidUnnecessaryBeforeUnloadCheckSync", "DestroyProfileOnBrowserClose", "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable", "LensOverlay", "MediaRouter", "PaintHolding", "ThirdPartyStoragePartitioning",
    "AvoidCorsURLLoaderRestartOnRedirect", "OptimizationHints", "NetworkTimeServiceQuerying", "AimEnabled",
    "PreconnectToSearch",
]  # fmt: skip
QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", f"--disable-features={','.join(LEFT_OUT)}",
]  # fmt: skip
PHONE, TABLET, DESK = (390, 844), (768, 1024), (1280, 800)
TEXT = "() => [...document.querySelectorAll('#lines > div')].map(line => line.textContent).join('\\n')"


@asynccontextmanager
async def a_browser() -> AsyncIterator[Any]:
    async with playwright.async_playwright() as started:
        browser = await started.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        try:
            yield browser
        finally:
            await browser.close()


async def opened(
    browser: Any, link: str, size: tuple[int, int], *, fingers: bool = True, first: str = "TO MAKE"
) -> Any:
    """A page on which the board stands. What it asked for and what went wrong are kept."""
    free = _FREE.setdefault(browser, {}).setdefault(fingers, [])
    page = free.pop() if free else await _begun(browser, fingers)
    page.asked, page.wrong = [], []
    await page.set_viewport_size({"width": size[0], "height": size[1]})
    await page.goto(link)
    await page.wait_for_url("**/board")
    await page.wait_for_selector("body[data-painted=yes]")
    await says(page, first)
    return page


_FREE: WeakKeyDictionary[Any, dict[bool, list[Any]]] = WeakKeyDictionary()
"""Pages that were shut, by browser and by what they are pressed with: to begin one takes longer than most tests."""


async def _begun(browser: Any, fingers: bool) -> Any:
    context = await browser.new_context(has_touch=fingers, is_mobile=fingers)
    page = await context.new_page()
    page.fingers = fingers
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("pageerror", lambda fault: page.wrong.append(str(fault)))
    page.on("console", lambda said: page.wrong.append(said.text) if said.type == "error" else None)
    return page


NOTHING, EMPTY = "http://127.0.0.1/", "<link rel=icon href='data:,'>"


async def shut(browser: Any) -> None:
    """Leaves nothing of what was opened in a browser: no board, no key, and nothing that a page remembers."""
    for context in list(browser.contexts):
        page = context.pages[0] if context.pages else None
        if getattr(page, "fingers", None) is None:
            await context.close()
        elif page not in _FREE[browser][page.fingers]:
            await context.set_offline(False)
            await context.clear_cookies()
            # From here: to another site it would go on in another process.
            await page.route(NOTHING, lambda route: route.fulfill(body=EMPTY, content_type="text/html"))
            await page.goto(NOTHING)
            await page.unroute(NOTHING)
            _FREE[browser][page.fingers].append(page)


STUCK = "() => { const asked = new XMLHttpRequest(); asked.open('GET', '/stuck', false); asked.send(); }"
"""Runs nothing in a page until what it asks for here is answered: as if it were asleep."""


@asynccontextmanager
async def stuck_for(page: Any, seconds: float) -> AsyncIterator[None]:
    """Lets `STUCK` end after so long."""

    async def late(route: Any) -> None:
        await asyncio.sleep(seconds)
        await route.fulfill(body="")

    await page.route("**/stuck", late)
    yield
    await page.unroute("**/stuck")


LOOK = 20
"""Milliseconds between looks of a page at itself: asked for each from here it would do little else."""


async def _when(page: Any, found: str, text: str, seconds: float) -> str:
    """What a page has `found`, in words of its own, once the text is in it."""
    waits = f"""async text => {{ const look = {found};
        while (!look().includes(text)) await new Promise(done => setTimeout(done, {LOOK}));
        return look(); }}"""
    async with asyncio.timeout(seconds):
        while True:
            try:
                return str(await page.evaluate(waits, text))
            except playwright.Error as fault:
                # Another page came in its place meanwhile.
                if "context was destroyed" not in str(fault):
                    raise


async def says(page: Any, text: str, seconds: float = 15) -> str:
    """Waits until the lines have a text."""
    return await _when(page, TEXT, text, seconds)


async def live(page: Any, seconds: float = 15) -> None:
    """Waits until the page hears its board again."""
    await _when(page, "() => since === null ? 'live' : ''", "live", seconds)


async def warned(page: Any, text: str, seconds: float = 10) -> str:
    """Waits until the bar at the top, in sight, says a text."""
    return await _when(page, "() => late.hidden ? '' : late.textContent", text, seconds)


def link_of(asked: Any, name: str, **more: Any) -> str:
    secret = asked.boards.devices.add(
        Device(name, more.pop("board", "station"), more.pop("stations", ("sauce",)), **more)
    )
    return f"http://{asked.host}/#{secret}"


async def tap(page: Any, text: str) -> None:
    await page.locator("button", has_text=text).first.tap()
