"""Boards in a browser, measured; prints and asserts nothing. Chromium must be installed.

Until a board has its first figures, from a key at one to its text at another, memory and processor of a board at rest:
each of a page beside the same board in a terminal, in the same run. Bytes of a change and of a whole page. What the
browser itself takes is on the tablets in a kitchen, and here on the same machine. Takes three minutes and a half.

    python tests/benchmarks/browser_speed.py [PAGES]
"""

from __future__ import annotations

import asyncio
import json
import os
import shutil
import signal
import statistics
import sys
import tempfile
from pathlib import Path
from time import perf_counter
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.board_speed import Terminal, settle
from boards.web.browsing import TABLET, a_browser, opened, says
from boards.web.test_server import serving

from prepboard.boards.web.devices import Device
from prepboard.boards.widgets import presses
from prepboard.demo import build

IDLE = 65.0
"""Seconds at rest: a board works its plan out once a minute."""

NOTES = 20

APART = presses.BEGINS_TO_REPEAT + 0.1
"""Seconds between two Enters: sooner the second may be a keyboard's repeat, and waits or is none."""

WAITS = """text => new Promise(done => {
    const seen = () => lines.textContent.includes(text)
        && (watch.disconnect(), done(performance.timeOrigin + performance.now()));
    const watch = new MutationObserver(seen);
    watch.observe(lines, { childList: true, subtree: true, characterData: true });
    seen();
})"""
PRESSES = """key => { const at = performance.timeOrigin + performance.now();
    document.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true })); return at; }"""


def memory(pid: int) -> float:
    """Megabytes of a process that are its own (Linux: Pss of smaps_rollup, proc(5))."""
    for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
        if line.startswith("Pss:"):
            return int(line.split()[1]) / 1024
    return 0.0


def used(pid: int) -> float:
    """Seconds of processor that the threads of a process have used (proc(5), schedstat)."""
    return sum(int(one.read_text().split()[0]) for one in Path(f"/proc/{pid}/task").glob("*/schedstat")) / 1e9


def told(name: str, seconds: list[float]) -> None:
    marks = sorted(1000 * one for one in seconds)
    last = marks[min(len(marks) - 1, int(0.95 * len(marks)))]
    print(f"{name:<52} p50 {statistics.median(marks):6.0f} ms   p95 {last:6.0f} ms   ({len(marks)})", flush=True)


def rest(name: str, pids: list[int], before: list[float], seconds: float) -> None:
    share = [(used(pid) - was) / seconds * 100 for pid, was in zip(pids, before, strict=True)]
    print(f"{name + ' at rest, processor':<52} {statistics.median(share):6.2f} % of a core")


# --- in terminals --------------------------------------------------------------------------------------------


def terminals(path: Path, number: int) -> list[Terminal]:
    """Boards in terminals, measured but for what they use at rest; they are open yet."""
    argv = [sys.executable, "-m", "prepboard", "--file", str(path), "--by", "MR", "station", "sauce"]
    boards, seconds, worked = [], [], []
    for _each in range(number):
        board = Terminal(argv).start()
        seconds.append(board.until("TO MAKE"))
        worked.append(used(board.process.pid))
        boards.append(board)
        settle(boards, 0.5)
    told("terminal: first figures", seconds)
    told("terminal: processor until then", worked)
    settle(boards, 2)
    first, last, notes = boards[0], boards[-1], []
    looks_on = used(last.process.pid)
    for n in range(NOTES):
        text = f"term {n:03} here"
        for typed, shown in (("n", "what shall the others know"), (text, text), ("\r", "Whom is it for?")):
            first.seen.clear()
            os.write(first.master, typed.encode())
            _until(boards, first, shown)
        settle(boards, APART)
        last.seen.clear()
        begun = perf_counter()
        os.write(first.master, b"\r")
        _until(boards, last, text)
        notes.append(perf_counter() - begun)
        settle(boards, 0.5)
    told(f"terminal: a note at one of {number}, text at another", notes)
    each = (used(last.process.pid) - looks_on) / NOTES * 1000
    print(f"{'terminal: processor of a looking-on board, a note':<52} {each:6.0f} ms")
    pids = [board.process.pid for board in boards]
    print(f"{'terminal: memory':<52} {statistics.median(map(memory, pids)):6.1f} MB")
    return boards


def _until(boards: list[Terminal], board: Terminal, text: str) -> None:
    """Waits for a text; a terminal is drawn piece by piece, so its words are looked for one by one."""
    deadline = perf_counter() + 30
    while not all(word.encode() in board.seen for word in text.split()):
        if perf_counter() > deadline:
            raise SystemExit(f"{text!r} was never shown")
        settle(boards, 0.001)


# --- in pages ------------------------------------------------------------------------------------------------


async def pages(path: Path, number: int, beside: list[Terminal]) -> None:
    """Boards in pages; then all are at rest, these and those in terminals, which waited stopped."""
    async with serving(path) as asked, a_browser() as browser:
        await asked.boards.sessions.starter.get_ready()
        await asyncio.sleep(3)  # As a server that has been started a while ago.
        opened_pages, seconds, worked = [], [], []
        for n in range(number):
            secret = asked.boards.devices.add(Device(f"page {n}", "station", ("sauce",), by="MR"))
            begun = perf_counter()
            page = await opened(browser, f"http://{asked.host}/#{secret}", TABLET)
            seconds.append(perf_counter() - begun)
            opened_pages.append(page)
            worked.append(used(_children(asked)[-1]))
            await asyncio.sleep(0.5)
        told("page: link to first figures", seconds)
        told("page: processor of its board until then", worked)
        await asyncio.sleep(2)
        await notes(opened_pages, asked)
        children = _children(asked)
        print(f"{'page: memory of its board':<52} {statistics.median(map(memory, children)):6.1f} MB")
        for board in beside:
            board.process.send_signal(signal.SIGCONT)
        await asyncio.sleep(6)  # What they put off is done.
        terminals = [board.process.pid for board in beside]
        before, server = [used(pid) for pid in (*terminals, *children)], used(os.getpid())
        await asyncio.sleep(IDLE)
        rest("terminal", terminals, before[: len(terminals)], IDLE)
        rest("page: its board", children, before[len(terminals) :], IDLE)
        mine = (used(os.getpid()) - server) / IDLE * 100 / number
        print(f"{'page: its share of the server at rest':<52} {mine:6.2f} % of a core")
        await sizes(asked, opened_pages[0])


def _children(asked: Any) -> list[int]:
    return [one.process.pid for one in asked.boards.sessions.open.values()]


async def notes(opened_pages: list[Any], asked: Any) -> None:
    """A note is written on one page, and read on the last; by the browser's own clock."""
    one, other = opened_pages[0], opened_pages[-1]
    seconds = []
    children, before = _children(asked), [used(pid) for pid in _children(asked)]
    for n in range(NOTES):
        await one.keyboard.press("n")
        await says(one, "what shall the others know")
        text = f"page {n:03} here"
        await one.keyboard.type(text)
        await says(one, text)
        await one.keyboard.press("Enter")
        await says(one, "Whom is it for?")
        await asyncio.sleep(APART)
        seen = asyncio.create_task(other.evaluate(WAITS, text))
        await asyncio.sleep(0.05)
        pressed = await one.evaluate(PRESSES, "Enter")
        seconds.append((await seen - pressed) / 1000)
        await asyncio.sleep(0.5)
    told(f"page: a note at one of {len(opened_pages)}, text at another", seconds)
    each = [(used(pid) - was) / NOTES * 1000 for pid, was in zip(children, before, strict=True)]
    print(f"{'page: processor of a looking-on board, a note':<52} {statistics.median(each):6.0f} ms")


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
    print(f"{'a whole board':<52} {sum(counted) / 1000:6.1f} kB")
    counted.clear()
    await page.keyboard.press("ArrowDown")
    await asyncio.sleep(1)
    print(f"{'the cursor a line down':<52} {sum(counted) / 1000:6.1f} kB")
    session.send = send
    folder = Path(__file__).parents[2] / "prepboard" / "boards" / "web" / "page"
    print(f"{'the page itself':<52} {sum(len(one.read_bytes()) for one in folder.iterdir()) / 1000:6.1f} kB")


def main(number: int) -> None:
    folder = Path(tempfile.mkdtemp(prefix="prepboard-"))
    for name in ("terminals", "pages"):
        build(folder / f"{name}.db")
    print("load of the machine", *(f"{one:.1f}" for one in os.getloadavg()), "on", os.cpu_count(), "cores")
    beside = terminals(folder / "terminals.db", number)
    try:
        for board in beside:
            board.process.send_signal(signal.SIGSTOP)
        asyncio.run(pages(folder / "pages.db", number, beside))
    finally:
        for board in beside:
            board.stop()
    print("load of the machine", *(f"{one:.1f}" for one in os.getloadavg()))
    shutil.rmtree(folder)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 8)
