"""Obedient kitchens, drawn: how many of the promises that boards make in whole days are broken.

python tests/benchmarks/obedient.py [KITCHENS] [FIRST SEED]
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections import Counter
from datetime import timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from days.obedient import Kept, Obedient, opened
from random_kitchens import NOW, SHIFTS, TWO_A_DAY, text_of

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
    main(*map(int, sys.argv[1:]))
