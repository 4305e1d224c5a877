"""A board in a real browser: by link, by key, by tap, on two pages, and what happens when the line goes.

Runs where Chromium is installed (Debian: package chromium) and Playwright with it; else it says that it did not.
"""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from boards.at_a_station import BOOK, KITCHEN
from boards.web.test_server import serving

from prepboard.boards.web.devices import Device
from prepboard.clock import FixedClock
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.pins import set_pin
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
playwright = pytest.importorskip("playwright.async_api", reason="Playwright is not installed")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed: no board was opened in a browser")

QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
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


async def opened(browser: Any, link: str, size: tuple[int, int], *, fingers: bool = True) -> Any:
    """A page on which the board stands. What it asked for and what went wrong are kept."""
    context = await browser.new_context(
        viewport={"width": size[0], "height": size[1]}, has_touch=fingers, is_mobile=fingers
    )
    page = await context.new_page()
    page.asked, page.wrong = [], []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("pageerror", lambda fault: page.wrong.append(str(fault)))
    page.on("console", lambda said: page.wrong.append(said.text) if said.type == "error" else None)
    await page.goto(link)
    await page.wait_for_url("**/board")
    await page.wait_for_selector("body[data-painted=yes]")
    await says(page, "TO MAKE")
    return page


async def says(page: Any, text: str, seconds: float = 15) -> str:
    """Waits until the lines have a text."""
    async with asyncio.timeout(seconds):
        while text not in (shown := await page.evaluate(TEXT)):
            await asyncio.sleep(0.02)
    return shown


def link_of(asked: Any, name: str, **more: Any) -> str:
    secret = asked.boards.devices.add(
        Device(name, more.pop("board", "station"), more.pop("stations", ("sauce",)), **more)
    )
    return f"http://{asked.host}/#{secret}"


async def tap(page: Any, text: str) -> None:
    await page.locator("button", has_text=text).first.tap()


@pytest.fixture
def kitchen(loaded: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PREPBOARD_NOW", "2026-10-31T14:00:00+00:00")
    shutil.copy(loaded, tmp_path / "kitchen.db")
    return tmp_path / "kitchen.db"


async def test_by_taps_alone_a_run_is_started_and_another_page_sees_it(kitchen):
    async with serving(kitchen) as asked, a_browser() as browser:
        one = await opened(browser, link_of(asked, "tablet"), TABLET)
        two = await opened(browser, link_of(asked, "phone", by="JP"), PHONE)
        assert all(url.startswith(f"http://{asked.host}/") for url in one.asked)
        await tap(one, "start")
        await says(one, "Who is working here?")
        await tap(one, "l")
        await tap(one, "m")
        await tap(one, "take it")
        await says(one, "Reduce")
        shown = await says(two, "Reduce")
        assert "Lamb [b]jus[/b]" in shown
        await tap(one, "undo")
        await says(one, "take")
        assert one.wrong == two.wrong == []


async def test_by_keys_alone_the_first_key_works(kitchen):
    async with serving(kitchen) as asked, a_browser() as browser:
        page = await opened(browser, link_of(asked, "desk", by="LM"), DESK, fingers=False)
        await page.keyboard.press("s")
        await says(page, "UNDER WAY")
        await says(page, "Reduce")
        await page.keyboard.press("?")
        await says(page, "keys")
        await page.keyboard.press("Escape")
        assert page.wrong == []


async def test_a_pin_is_asked_for_by_taps_is_not_shown_and_lets_its_person_act(kitchen, tmp_path, monkeypatch):
    """Typed on the keys of the page, in the open kitchen: what stands there is dots."""
    monkeypatch.setattr("prepboard.store.file.pins.N", 2**4)
    people = '[people.lm]\nname = "Leda"\nrole = "sous"\n'
    (tmp_path / "book").mkdir()
    (tmp_path / "book" / "kitchen.toml").write_text(KITCHEN + BOOK + people, encoding="utf-8")
    with closing(KitchenFile.open(kitchen, FixedClock(datetime(2026, 10, 31, 14, tzinfo=UTC)))) as file:
        load_book(file, Who("lm", ""), tmp_path / "book")
        set_pin(file, Who("LM", "sauce"), "4711")
    async with serving(kitchen) as asked, a_browser() as browser:
        page = await opened(browser, link_of(asked, "tablet", by="LM"), TABLET)
        await tap(page, "start")
        await says(page, "PIN")
        for digits in ("4712", "4711"):
            for sign in digits:
                await tap(page, sign)
            assert digits not in await page.evaluate(TEXT)
            await tap(page, "take it")
            await says(page, "not the PIN of LM" if digits == "4712" else "Reduce")
        assert page.wrong == []


async def test_fingers_find_every_button_and_nothing_is_cut(kitchen):
    async with serving(kitchen) as asked, a_browser() as browser:
        link = link_of(asked, "t", by="LM")
        for size in (PHONE, TABLET, DESK):
            page = await opened(browser, link, size)
            boxes = await page.evaluate(
                "() => [...document.querySelectorAll('button')].filter(b => b.offsetParent)"
                ".map(b => { const r = b.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom]; })"
            )
            assert boxes
            for left, top, right, bottom in boxes:
                assert min(right - left, bottom - top) >= 44
                assert left >= 0
                assert right <= size[0] + 0.5
                assert bottom <= size[1] + 0.5
            await asyncio.sleep(0.5)
            room = await page.evaluate(
                "() => { const last = lines.lastElementChild.getBoundingClientRect();"
                " return [last.bottom, lines.getBoundingClientRect().bottom, lines.scrollWidth, lines.clientWidth]; }"
            )
            assert room[0] <= room[1] + 0.5
            assert room[2] <= room[3]
            await page.context.close()


async def test_letters_of_other_scripts_and_boxes_stand_in_their_columns(kitchen):
    """Three letters of each stand as far right as three zeros, or six for wide ones, whatever the fonts say."""
    async with serving(kitchen) as asked, a_browser() as browser:
        page = await opened(browser, link_of(asked, "t"), DESK, fingers=False)
        odd = [[["0", 0]] * 3, [["柚", 0, 2]] * 3, *([[sign, 0, 1]] * 3 for sign in ("─", "▸", "ד", "é", "█"))]
        await page.evaluate("odd => odd.forEach((runs, n) => draw(n, [...runs, ['|', 0]]))", odd)
        ends = await page.evaluate(
            "() => [...document.querySelectorAll('#lines > div')].slice(0, 7)"
            ".map(line => line.lastElementChild.getBoundingClientRect().left)"
        )
        width = ends[0] / 3
        assert ends == pytest.approx([width * cells for cells in (3, 6, 3, 3, 3, 3, 3)], abs=0.6)


async def test_a_line_that_is_down_is_said_and_nothing_pressed_into_it_is_done_later(kitchen):
    async with serving(kitchen) as asked, a_browser() as browser:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        await page.context.set_offline(True)
        await page.evaluate("() => socket.close()")
        await page.wait_for_selector("#late:not([hidden])", timeout=4000)
        assert "Not live since" in await page.text_content("#late")
        await page.keyboard.press("s")
        await page.context.set_offline(False)
        await page.wait_for_selector("#late[hidden]", state="attached", timeout=8000)
        await asyncio.sleep(0.5)
        assert "Reduce" not in await page.evaluate(TEXT)
        await page.keyboard.press("s")
        await says(page, "Reduce")


async def test_a_dialog_and_what_is_half_typed_are_there_again(kitchen):
    async with serving(kitchen) as asked, a_browser() as browser:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        await page.keyboard.press("s")
        await says(page, "Reduce")
        await asyncio.sleep(1.2)  # A row that has just slid under the cursor is not acted on.
        await page.keyboard.press("d")
        await says(page, "take it")
        for sign in "1.5":
            await tap(page, sign)
        await says(page, "1.5")
        await page.evaluate("() => { lines.replaceChildren(); socket.close(); }")
        shown = await says(page, "take it")
        assert "1.5" in shown


async def test_a_server_that_stops_leaves_no_process_and_its_pages_come_back_with_the_next_one(kitchen):
    async with a_browser() as browser:
        async with serving(kitchen) as asked:
            page = await opened(browser, link_of(asked, "t", by="LM"), DESK)
            (session,) = asked.boards.sessions.open.values()
        assert session.process.returncode is not None
        await page.wait_for_selector("#late:not([hidden])", timeout=5000)
        await page.evaluate("() => lines.replaceChildren()")
        async with serving(kitchen, asked.port):
            assert "LM" in await says(page, "TO MAKE", 10)
            await page.wait_for_selector("#late[hidden]", state="attached", timeout=5000)


async def test_without_its_key_a_page_shows_nothing(kitchen):
    async with serving(kitchen) as asked, a_browser() as browser:
        page = await browser.new_page()
        await page.goto(f"http://{asked.host}/#" + "x" * 43)
        await page.wait_for_function("() => document.getElementById('said').textContent.includes('not known')")
        answer = await page.goto(f"http://{asked.host}/board")
        assert answer.status == 403


async def test_a_screen_reader_hears_lines_and_answers(kitchen):
    async with serving(kitchen) as asked, a_browser() as browser:
        page = await opened(browser, link_of(asked, "t", by="LM"), DESK)
        client = await page.context.new_cdp_session(page)
        tree = (await client.send("Accessibility.getFullAXTree"))["nodes"]
        heard = [(node["role"]["value"], node.get("name", {}).get("value", "")) for node in tree if not node["ignored"]]
        roles = {role for role, _name in heard}
        assert {"list", "listitem", "button", "status"} <= roles
        assert any(role == "StaticText" and "TO MAKE" in name for role, name in heard)
        assert not any(set(name) == {"─"} for _role, name in heard)
        await page.keyboard.press("s")
        async with asyncio.timeout(15):
            while "started" not in (await page.text_content("#said") or ""):
                await asyncio.sleep(0.02)


def test_the_pages_ask_nobody_else_for_anything():
    folder = Path(__file__).parents[3] / "prepboard" / "boards" / "web" / "page"
    for file in folder.iterdir():
        text = file.read_text(encoding="utf-8")
        assert "http://" not in text.replace('http://" :', "")
        assert "https://" not in text
        assert "@import" not in text
    assert sum(len(file.read_bytes()) for file in folder.iterdir()) < 25_000
