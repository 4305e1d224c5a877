"""What a board holds after 60 and after 600 minutes of a busy demo: nothing may grow with the evening.

A station's board in a headless terminal, from 14:20 on. Minute for minute the clock moves, the evening's story goes on
through real actions, and the board reads, shows what was recorded and takes its plan. Printed: what the process holds,
and how many entries are remembered between plans. With `--top` also where what was added was made, at several times
the time. Asserts nothing.

    python tests/benchmarks/board_memory.py [--minutes 600] [--top 12]
"""

from __future__ import annotations

import argparse
import asyncio
import gc
import sys
import tempfile
import time
import tracemalloc
from datetime import timedelta
from pathlib import Path
from random import Random

from prepboard.boards.app.app import BoardApp
from prepboard.boards.station.board import StationScreen
from prepboard.clock import FixedClock
from prepboard.demo import NOW, build, go_on
from prepboard.plan import memory
from prepboard.plan.planner import Planner
from prepboard.plan.recording import recorded
from prepboard.store.kitchen_file import KitchenFile

EARLY, EVERY = 60, 60
"""Minutes after which it is held against the end, and between two lines."""

MINUTE = timedelta(minutes=1)


def resident() -> float:
    """Megabytes that the process holds."""
    text = Path("/proc/self/status").read_text()
    return int(next(line for line in text.splitlines() if line.startswith("VmRSS")).split()[1]) / 1024


async def evening(path: Path, minutes: int, top: int) -> None:
    clock = FixedClock(NOW)
    file = KitchenFile.open(path, clock, random=Random(5))
    file.makes_planner = Planner
    board = StationScreen(file, ("fish",), "bx")
    early: tuple[float, int, tracemalloc.Snapshot | None] | None = None
    async with BoardApp(board).run_test(size=(120, 36)) as pilot:
        while board.board is None:
            await pilot.pause(0.05)
        for minute in range(1, minutes + 1):
            was, clock.at = clock.at, NOW + minute * MINUTE
            go_on(file, was, clock.at)
            state = file.read()
            board._take(recorded(board.board, state, clock.at))
            await pilot.pause()
            board._take(file.planner.board(state, clock.at))
            await pilot.pause()
            if minute % EVERY and minute != minutes:
                continue
            gc.collect()
            of_process, entries = resident(), sum(memory.sizes().values())
            beside = f"{of_process / early[0]:.2f} x, {entries / early[1]:.2f} x" if early else ""
            print(f"{minute:>4} min: process {of_process:6.1f} MB, {entries:>5} entries   {beside}")
            sys.stdout.flush()
            if minute == EARLY:
                early = of_process, entries, tracemalloc.take_snapshot() if top else None
    if early and early[2]:
        for one in tracemalloc.take_snapshot().compare_to(early[2], "lineno")[:top]:
            print(f"  {one.size_diff / 1024:+9.0f} kB {one.count_diff:+8}  {one.traceback}")
    file.close()


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--minutes", type=int, default=600)
    asked.add_argument("--top", type=int, default=0)
    wanted = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.db"
        build(path)
        if wanted.top:
            tracemalloc.start()
        began = time.monotonic()
        asyncio.run(evening(path, wanted.minutes, wanted.top))
        print(f"({time.monotonic() - began:.0f} s)")


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    main()
