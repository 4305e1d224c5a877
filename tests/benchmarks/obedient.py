"""Obedient kitchens, drawn: how many of the promises that boards make in whole days are broken.

python tests/benchmarks/obedient.py [KITCHENS] [FIRST SEED]
python tests/benchmarks/obedient.py demo [SEED]

With `demo` small books, and the demo kitchen opened at 14:20, 17:20, 19:45 and 23:00 to the close of its last bench.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections import Counter
from datetime import time as clock
from datetime import timedelta
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from days.obedient import Kept, Obedient, opened
from days.small_books import BOOKS
from random_kitchens import NOW, SHIFTS, TWO_A_DAY, text_of

from prepboard.clock import FixedClock
from prepboard.demo import NOW as DEMO_NOW
from prepboard.demo import build, later
from prepboard.plan.planner import Planner
from prepboard.store.kitchen_file import KitchenFile

KINDS = {
    "normal": {"runs": 10},
    "tight": {"runs": 10, "tight": True},
    "nights": {"runs": 8, "shifts": ("20:00-05:00", "18:00-04:30", "09:00-23:30")},
    "clock change": {"runs": 8, "zone": "America/Chicago", "shifts": ("20:00-05:00", *SHIFTS)},
    "tight clock change": {"runs": 10, "tight": True, "zone": "America/Chicago"},
    "thaws": {"runs": 10, "thaws": True},
    "two sittings a day": {"runs": 12, "sittings": TWO_A_DAY},
    "shared ovens": {"runs": 12, "benches": 3, "racks": 6},
    "tight, two sittings a day": {"runs": 12, "tight": True, "sittings": TWO_A_DAY},
}


def day(seed: int, kind: str, hours: int = 50) -> Kept:
    """What became of the promises of one kitchen in so many hours, keys pressed within the minute in two of three."""
    folder = Path(tempfile.mkdtemp())
    try:
        file = opened(folder, text_of(seed, strict=seed % 2 == 0, **KINDS[kind]), NOW)
        try:
            return Obedient(file, seed, seconds=seed % 3 > 0).work(NOW + timedelta(hours=hours))
        finally:
            file.close()
    finally:
        shutil.rmtree(folder)


def told(name: str, found: Kept, began: float) -> None:
    broken = f"{found.lines:>3} lines {found.starts_tried:>3} starts tried {len(found.broken):>3} broken"
    moved = f"{found.moved_by_news:>3} moved by news {found.moved_as_found} late as found and moved"
    print(f"{name:<15} {broken} {moved} {time.perf_counter() - began:6.1f} s")
    for what in found.broken:
        print(f"        {what}")


def demo_and_small_books(seed: int = 7) -> None:
    """Plates go out as guests are expected, keys are pressed within the minute."""
    for name, book in BOOKS.items():
        with tempfile.TemporaryDirectory() as folder:
            began, file = time.perf_counter(), opened(Path(folder), book, NOW)
            found = Obedient(file, seed, seconds=True, guests=True).work(NOW + timedelta(hours=60))
            file.close()
            told(name, found, began)
    for at in (DEMO_NOW, later(clock(17, 20)), later(clock(19, 45)), later(clock(23, 0))):
        with tempfile.TemporaryDirectory() as folder:
            began, path = time.perf_counter(), Path(folder) / "kitchen.db"
            build(path, at=at)
            file = KitchenFile.open(path, FixedClock(at), random=Random(1))
            file.makes_planner = Planner
            kitchen = Obedient(file, seed, looks=timedelta(minutes=3), seconds=True, guests=True)
            found = kitchen.work(max(later(clock(23, 30)), at + timedelta(hours=2)))
            file.close()
            told(f"demo {at:%H:%M} UTC", found, began)


def main(kitchens: int = 20, first: int = 1) -> None:
    total: Counter[str] = Counter()
    for number in range(kitchens):
        kind = list(KINDS)[number % len(KINDS)]
        began = time.perf_counter()
        found = day(first + number, kind)
        total += Counter(
            lines=found.lines, tried=found.starts_tried, broken=len(found.broken), news=found.moved_by_news
        )
        took = time.perf_counter() - began
        print(f"{first + number:>5} {kind:<20} {found.lines:>4} lines {len(found.broken):>3} broken {took:6.1f} s")
        for what in found.broken[:5]:
            print(f"        {what}")
        sys.stdout.flush()
    print(
        f"{kitchens} kitchens, {total['lines']} lines, {total['tried']} starts tried, {total['broken']} broken, "
        f"{total['news']} moved by another sitting and still in time"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["demo"]:
        demo_and_small_books(*map(int, sys.argv[2:]))
    else:
        main(*map(int, sys.argv[1:]))
