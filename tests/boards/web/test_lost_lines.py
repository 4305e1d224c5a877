"""A line that is lost and comes back: asleep, past the grace, the server killed; nothing lost, nothing done late."""

from __future__ import annotations

import asyncio
import re
from typing import Any

from boards.web.browsing import STUCK, TABLET, TEXT, in_a_browser, link_of, live, opened, says, stuck_for, warned
from boards.web.test_serve_command import a_server, begun_by
from boards.web.test_server import free_port, serving
from boards.web.test_starting import gone

from prepboard.boards.web import sessions
from prepboard.boards.web.devices import Device, Devices

pytestmark = in_a_browser


async def half_typed(page: Any) -> None:
    """A question stands open, and a number in it."""
    await page.keyboard.press("n")
    await says(page, "what shall the others know")
    await page.keyboard.type("half a", delay=20)
    await says(page, "half a")


async def test_past_the_grace_a_fresh_board_of_the_same_bench_and_person_comes(kitchen, starter, browser, monkeypatch):
    monkeypatch.setattr(sessions, "GRACE", 0.3)
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        (session,) = asked.boards.sessions.open.values()
        await half_typed(page)
        await page.context.set_offline(True)
        await page.evaluate("() => socket.close()")
        await asyncio.wait_for(session.ended.wait(), 10)
        await gone(session.process.pid)
        await page.keyboard.press("s")
        banner = await warned(page, "Not sent")
        assert re.search(r"Not live since [012]\d:\d\d:\d\d: .* Not sent: ", banner), banner
        begin = sessions.Sessions._start

        async def slowly(*told: Any) -> Any:
            await asyncio.sleep(1.5)
            return await begin(*told)

        monkeypatch.setattr(sessions.Sessions, "_start", slowly)
        await page.context.set_offline(False)
        async with asyncio.timeout(10):
            while not await page.evaluate("() => socket.readyState === 1 && performance.now() - heard < 500"):
                await asyncio.sleep(0.02)
        await asyncio.sleep(0.2)
        assert "half a" in await page.evaluate(TEXT), "an old picture stands there yet"
        await warned(page, "Not live since", 0.1)
        await page.keyboard.press("s")
        await warned(page, "Not sent", 0.1)
        await live(page)
        shown = await says(page, "TO MAKE")
        assert "SAUCE" in shown
        assert "LM" in shown
        assert "half a" not in shown
        assert "Reduce" not in shown, "what was pressed into the silence was done"
        (fresh,) = asked.boards.sessions.open.values()
        assert fresh.process.pid != session.process.pid


async def test_a_page_that_slept_says_so_and_its_first_press_is_not_lost_without_a_word(kitchen, starter, browser):
    """Asleep: the page runs nothing, and its line stands open. Its pings were not answered meanwhile."""
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        await half_typed(page)
        # Nothing runs in a page that is stuck in its own script; what was pressed meanwhile is taken up behind it.
        async with stuck_for(page, 3.2):
            asleep = asyncio.create_task(page.evaluate(STUCK))
            await asyncio.sleep(2.8)
            pressed = asyncio.create_task(page.keyboard.press("Enter"))
            await asyncio.gather(asleep, pressed)
        await warned(page, "ress again")
        await live(page)
        shown = await says(page, "half a")
        assert "Whom is it for?" not in shown
        await page.keyboard.press("Enter")
        await says(page, "Whom is it for?")


async def test_what_was_pressed_before_the_silence_ended_is_not_done_though_its_event_comes_after(
    kitchen, starter, browser
):
    """A page that wakes may take up what the line brought before what was pressed earlier."""
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        await half_typed(page)
        async with stuck_for(page, 1.6):
            await page.evaluate(
                f"""() => {{ const pressed = new KeyboardEvent('keydown', {{ key: 'Enter', bubbles: true }});
                ({STUCK})();
                heard = pressed.timeStamp - 1100;
                socket.onmessage({{ data: '{{}}' }});
                document.dispatchEvent(pressed); }}"""
            )
        await warned(page, "Not sent")
        await asyncio.sleep(0.5)
        assert "Whom is it for?" not in await page.evaluate(TEXT)


async def test_a_server_that_is_killed_leaves_no_process_and_started_again_has_its_pages_back(kitchen, browser):
    """As when the machine went down: nothing was said, and the devices are those in the file."""
    port = await free_port()
    devices = Devices(kitchen)
    secret = devices.add(Device("tablet", "station", ("sauce",), by="LM"))
    async with a_server(kitchen, port) as server:
        page = await opened(browser, f"http://127.0.0.1:{port}/#{secret}", TABLET)
        await half_typed(page)
        begun = begun_by(server.pid)
        assert len(begun) >= 2
        server.kill()
        await server.wait()
        await gone(*begun)
        await warned(page, "Not live since")
        await page.keyboard.press("s")
    async with a_server(kitchen, port):
        await live(page)
        shown = await says(page, "TO MAKE")
        assert "SAUCE" in shown
        assert "LM" in shown
        await asyncio.sleep(0.3)
        assert "Reduce" not in await page.evaluate(TEXT), "what was pressed into the silence was done"
        await page.keyboard.press("s")
        await says(page, "Reduce")
