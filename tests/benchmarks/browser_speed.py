"""Boards in a browser, measured; prints and asserts nothing. Chromium must be installed.

From a key in one page to its text in another, until a page has its first figures, memory and processor of a board at
rest, bytes of a change and of a whole page.

    python tests/benchmarks/browser_speed.py [PAGES]
"""

from __future__ import annotations

import asyncio
import json
import os
import shutil
import statistics
import sys
import tempfile
from pathlib import Path
from time import perf_counter
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from boards.web.browsing import TABLET, a_browser, opened, says
from boards.web.test_server import serving

from prepboard.boards.web.devices import Device
from prepboard.demo import build

IDLE = 20.0
"""Seconds at rest."""


def memory(pid: int) -> float:
    """Megabytes of a process that are its own (Linux: Pss of smaps_rollup, proc(5))."""
    for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
        if line.startswith("Pss:"):
            return int(line.split()[1]) / 1024
    return 0.0


def used(pid: int) -> float:
    """Seconds of processor that a process has used (proc(5), utime and stime)."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def told(name: str, seconds: list[float]) -> None:
    marks = sorted(1000 * one for one in seconds)
    last = marks[min(len(marks) - 1, int(0.95 * len(marks)))]
    print(f"{name:<44} p50 {statistics.median(marks):6.0f} ms   p95 {last:6.0f} ms   ({len(marks)})", flush=True)


async def first_figures(browser: Any, link: str) -> tuple[Any, float]:
    begun = perf_counter()
    page = await opened(browser, link, TABLET)
    return page, perf_counter() - begun


async def measure(pages: int) -> None:
    folder = Path(tempfile.mkdtemp(prefix="prepboard-"))
    build(folder / "kitchen.db")
    async with serving(folder / "kitchen.db") as asked, a_browser() as browser:
        links = []
        for n in range(pages):
            secret = asked.boards.devices.add(Device(f"page {n}", "station", ("sauce",), by="MR"))
            links.append(f"http://{asked.host}/#{secret}")
        opened_pages, seconds = [], []
        for link in links:
            page, took = await first_figures(browser, link)
            opened_pages.append(page)
            seconds.append(took)
        told("link to first figures", seconds)
        await notes(opened_pages)
        children = [one.process.pid for one in asked.boards.sessions.open.values()]
        print(f"{'a board of a page, memory':<44} {statistics.median(map(memory, children)):6.1f} MB")
        before = [used(pid) for pid in children]
        await asyncio.sleep(IDLE)
        rest = [(used(pid) - was) / IDLE * 100 for pid, was in zip(children, before, strict=True)]
        print(f"{'a board of a page at rest, processor':<44} {statistics.median(rest):6.2f} % of a core")
        await sizes(asked, opened_pages[0])
    shutil.rmtree(folder)


async def notes(opened_pages: list[Any]) -> None:
    """A note is written on one page, and read on the last."""
    one, other = opened_pages[0], opened_pages[-1]
    seconds = []
    for n in range(20):
        await one.keyboard.press("n")
        await says(one, "what shall the others know")
        text = f"look {n:03} here"
        await one.keyboard.type(text)
        await one.keyboard.press("Enter")
        await says(one, "Whom is it for?")
        begun = perf_counter()
        await one.keyboard.press("Enter")
        await says(other, text)
        seconds.append(perf_counter() - begun)
    told(f"a note in one of {len(opened_pages)} pages, text in another", seconds)


async def sizes(asked: Any, page: Any) -> None:
    counted: list[int] = []
    (session, *_rest) = asked.boards.sessions.open.values()
    send = session.send

    async def counting(message: dict[str, Any]) -> None:
        counted.append(len(json.dumps(message, ensure_ascii=False, separators=(",", ":")).encode()))
        await send(message)

    session.send = counting
    await session.tell({"do": "repaint"})
    await asyncio.sleep(1)
    print(f"{'a whole board':<44} {sum(counted) / 1000:6.1f} kB")
    counted.clear()
    await page.keyboard.press("ArrowDown")
    await asyncio.sleep(1)
    print(f"{'the cursor a line down':<44} {sum(counted) / 1000:6.1f} kB")
    session.send = send
    folder = Path(__file__).parents[2] / "prepboard" / "boards" / "web" / "page"
    print(f"{'the page itself':<44} {sum(len(one.read_bytes()) for one in folder.iterdir()) / 1000:6.1f} kB")


if __name__ == "__main__":
    asyncio.run(measure(int(sys.argv[1]) if len(sys.argv) > 1 else 8))
