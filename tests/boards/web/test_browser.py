"""A board in a real browser: by link, by key, by tap, on two pages, and what a screen reader hears of it.

Runs where Chromium is installed (Debian: package chromium) and Playwright with it; else it says that it did not.
"""

from __future__ import annotations

import asyncio
from contextlib import closing
from datetime import UTC, datetime

import pytest
from boards.at_a_station import BOOK, KITCHEN
from boards.web.browsing import DESK, PHONE, TABLET, TEXT, in_a_browser, link_of, live, opened, says, tap, warned
from boards.web.test_server import serving

from prepboard.boards.widgets.presses import HELD
from prepboard.clock import FixedClock
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.pins import set_pin
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

pytestmark = in_a_browser


async def test_by_taps_alone_a_run_is_started_and_another_page_sees_it(kitchen, starter, browser):
    async with serving(kitchen, starter=starter) as asked:
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
        await says(one, "Undo this?")
        await asyncio.sleep(HELD)  # It is the same key once more, and no hand is as fast as this machine.
        await tap(one, "take it back")
        await says(one, "Nothing is under way")
        await says(two, "Nothing is under way")
        assert one.wrong == two.wrong == []


async def test_by_keys_alone_the_first_key_works_and_a_screen_reader_hears_lines_and_answers(kitchen, starter, browser):
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "desk", by="LM"), DESK, fingers=False)
        client = await page.context.new_cdp_session(page)
        tree = (await client.send("Accessibility.getFullAXTree"))["nodes"]
        heard = [(node["role"]["value"], node.get("name", {}).get("value", "")) for node in tree if not node["ignored"]]
        roles = {role for role, _name in heard}
        assert {"list", "listitem", "button", "status"} <= roles
        assert any(role == "StaticText" and "TO MAKE" in name for role, name in heard)
        assert not any(set(name) == {"─"} for _role, name in heard)
        await page.keyboard.press("s")
        await says(page, "UNDER WAY")
        await says(page, "Reduce")
        async with asyncio.timeout(15):
            while "started" not in (await page.text_content("#said") or ""):
                await asyncio.sleep(0.02)
        await page.keyboard.press("?")
        await says(page, "start the line under the cursor")
        await page.keyboard.press("Escape")
        assert page.wrong == []


async def test_a_pin_is_asked_for_by_taps_is_not_shown_and_lets_its_person_act(
    kitchen, starter, browser, tmp_path, monkeypatch
):
    """Typed on the keys of the page, in the open kitchen: what stands there is dots."""
    monkeypatch.setattr("prepboard.store.file.pins.N", 2**4)
    people = '[people.lm]\nname = "Leda"\nrole = "sous"\n'
    (tmp_path / "book").mkdir()
    (tmp_path / "book" / "kitchen.toml").write_text(KITCHEN + BOOK + people, encoding="utf-8")
    with closing(KitchenFile.open(kitchen, FixedClock(datetime(2026, 10, 31, 14, tzinfo=UTC)))) as file:
        load_book(file, Who("lm", ""), tmp_path / "book")
        set_pin(file, Who("LM", "sauce"), "4711")
    async with serving(kitchen, starter=starter) as asked:
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


async def test_a_rule_stands_on_the_paper_of_its_board_and_letters_of_other_scripts_and_boxes_in_their_columns(
    kitchen, starter, browser
):
    """Three letters of each stand as far right as three zeros, or six for wide ones, whatever the fonts say."""
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", look="light"), TABLET)
        papers = await page.evaluate(
            "() => [...document.querySelectorAll('i.rule')].map(rule => getComputedStyle(rule).backgroundColor)"
        )
        assert papers
        assert all(min(map(int, paper[4:-1].split(","))) > 180 for paper in papers if paper.startswith("rgb("))
        assert not any(paper.startswith("rgba") for paper in papers)
        ink = await page.evaluate("() => getComputedStyle(document.querySelector('i.rule')).color")
        assert max(map(int, ink[4:-1].split(","))) < 210, "and is seen on it"
        odd = [[["0", 0]] * 3, [["柚", 0, 2]] * 3, *([[sign, 0, 1]] * 3 for sign in ("─", "▸", "ד", "é", "█"))]
        await page.evaluate("odd => odd.forEach((runs, n) => draw(n, [...runs, ['|', 0]]))", odd)
        ends = await page.evaluate(
            "() => [...document.querySelectorAll('#lines > div')].slice(0, 7)"
            ".map(line => line.lastElementChild.getBoundingClientRect().left)"
        )
        width = ends[0] / 3
        assert ends == pytest.approx([width * cells for cells in (3, 6, 3, 3, 3, 3, 3)], abs=0.6)


async def test_a_line_that_is_down_is_said_and_nothing_pressed_into_it_is_done_later(kitchen, starter, browser):
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        await page.context.set_offline(True)
        await page.evaluate("() => socket.close()")
        await warned(page, "Not live since", 4)
        await page.keyboard.press("s")
        await warned(page, "Not sent")
        await page.context.set_offline(False)
        await live(page, 8)
        assert "Not sent" in await warned(page, "Press again"), (
            "who pressed into it is told so, now that the board is back"
        )
        await asyncio.sleep(0.5)
        assert "Reduce" not in await page.evaluate(TEXT)
        await page.keyboard.press("s")
        await says(page, "Reduce")


async def test_a_dialog_and_what_is_half_typed_are_there_again(kitchen, starter, browser):
    async with serving(kitchen, starter=starter) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), TABLET)
        await page.keyboard.press("s")
        await says(page, "Reduce")
        await asyncio.sleep(1.2)  # A row that has just slid under the cursor is not acted on.
        await page.keyboard.press("d")
        await page.locator("button", has_text="take it").wait_for()
        for sign in "1.5":
            await tap(page, sign)
        await says(page, "1.5")
        await page.evaluate("() => { lines.replaceChildren(); keys.replaceChildren(); socket.close(); }")
        await says(page, "1.5")
        await page.locator("button", has_text="take it").wait_for()


async def test_a_server_that_stops_leaves_no_process_and_its_pages_come_back_with_the_next_one(kitchen, browser):
    async with serving(kitchen) as asked:
        page = await opened(browser, link_of(asked, "t", by="LM"), DESK)
        (session,) = asked.boards.sessions.open.values()
    assert session.process.returncode is not None
    await warned(page, "Not live since", 5)
    await page.evaluate("() => lines.replaceChildren()")
    async with serving(kitchen, asked.port):
        assert "LM" in await says(page, "TO MAKE", 10)
        await live(page, 5)
        assert await page.is_hidden("#late")


async def test_without_its_key_a_page_shows_nothing(kitchen, starter, browser):
    async with serving(kitchen, starter=starter) as asked:
        page = await browser.new_page()
        await page.goto(f"http://{asked.host}/#" + "x" * 43)
        await page.wait_for_function("() => document.getElementById('said').textContent.includes('not known')")
        answer = await page.goto(f"http://{asked.host}/board")
        assert answer.status == 403
