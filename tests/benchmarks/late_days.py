"""Late kitchens, drawn: how often a board said what was not true, and how much later kept plans were than new ones.

python tests/benchmarks/late_days.py [KITCHENS] [FIRST SEED]
python tests/benchmarks/late_days.py walked [SEED]

Two in three are walked by keys within the minute, and every second one loses now and then what was kept of where runs
lie. With `walked` the demo kitchen from each of its moments to the close, without anything kept, and small books.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections import Counter
from datetime import datetime, timedelta
from datetime import time as clock
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from days.late import LITTLE, Late, worked
from days.obedient import opened
from days.small_books import BOOKS
from obedient import KINDS
from random_kitchens import NOW, text_of

from prepboard.clock import FixedClock
from prepboard.demo import NOW as AFTERNOON
from prepboard.demo import build, later
from prepboard.plan.planner import Planner
from prepboard.store.kitchen_file import KitchenFile

SOMETIMES = 0.05


def told(name: str, found: Late, began: float, so_far: Counter[str]) -> None:
    """Prints what became of one kitchen, and adds it up."""
    compared, broken = found.compared, found.found.broken
    over = sum(one > LITTLE for one in compared.later)
    so_far.update(
        kitchens=1, lines=found.found.lines, sentences=found.truth.checked + found.found.starts_tried,
        broken=len(broken), compared=compared.looks, later=over, lost_more=compared.lost_more,
        presses=sum(found.pressed.values()), soon=compared.within_the_hour,
    )  # fmt: skip
    kept = f"{over:>2} of {compared.looks:>3} kept plans later by more than a little, {compared.lost_more} lost more"
    lines = f"{found.found.lines:>3} lines {found.truth.checked:>5} sentences {len(broken):>3} untrue"
    print(f"{name:<32} {lines}, {kept}, {dict(found.pressed)} {time.perf_counter() - began:5.1f} s")
    for what in list(dict.fromkeys(broken))[:6]:
        print(f"        {what}")
    sys.stdout.flush()


def summed_up(so_far: Counter[str]) -> None:
    print(
        f"{so_far['kitchens']} kitchens, {so_far['lines']} lines, {so_far['presses']} presses by others, "
        f"{so_far['sentences']} sentences, {so_far['broken']} untrue; of {so_far['compared']} kept plans "
        f"{so_far['later']} more than {LITTLE:.0f} weighed minutes later than a new one, "
        f"{so_far['lost_more']} with more sittings lost; {so_far['soon']} more for what begins within the hour alone"
    )


def main(kitchens: int = 20, first: int = 1) -> None:
    so_far: Counter[str] = Counter()
    for number in range(kitchens):
        seed, kind = first + number, list(KINDS)[number % len(KINDS)]
        folder, began = Path(tempfile.mkdtemp()), time.perf_counter()
        file = opened(folder, text_of(seed, strict=seed % 2 == 0, **KINDS[kind]), NOW)
        loses = SOMETIMES if seed % 2 else 0.0
        found = worked(file, seed, timedelta(hours=50), seconds=seed % 3 > 0, loses=loses)
        found.file.close()
        shutil.rmtree(folder)
        told(f"{seed:>5} {kind}", found, began, so_far)
    summed_up(so_far)


def walked(seed: int = 7) -> None:
    """Small books, and the demo from each of its moments on: nothing was kept there of where runs lie."""
    so_far: Counter[str] = Counter()
    for name, book in BOOKS.items():
        with tempfile.TemporaryDirectory() as folder:
            began = time.perf_counter()
            file = opened(Path(folder), book, NOW)
            found = worked(file, seed, timedelta(hours=60), seconds=True, guests=True, loses=SOMETIMES)
            found.file.close()
            told(name, found, began, so_far)
    for at in (AFTERNOON, later(clock(17, 20)), later(clock(19, 45)), later(clock(23, 0))):
        with tempfile.TemporaryDirectory() as folder:
            told(f"demo {at:%H:%M} UTC", _demo(Path(folder), at, seed), time.perf_counter(), so_far)
    summed_up(so_far)


def _demo(folder: Path, at: datetime, seed: int) -> Late:
    build(folder / "kitchen.db", at=at)
    file = KitchenFile.open(folder / "kitchen.db", FixedClock(at), random=Random(1))
    file.makes_planner = Planner
    kitchen = Late(file, seed, seconds=True, guests=True, loses=SOMETIMES, looks=timedelta(minutes=5))
    kitchen.lose_placements()
    kitchen.work(min(at + timedelta(hours=3), later(clock(23, 30))))
    kitchen.file.close()
    return kitchen


if __name__ == "__main__":
    if sys.argv[1:2] == ["walked"]:
        walked(*map(int, sys.argv[2:]))
    else:
        main(*map(int, sys.argv[1:]))
