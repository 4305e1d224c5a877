"""What ten years of counted plates cost: learning them once, and every look at the file after that.

Prints processor time in milliseconds, for a kitchen of 16 dishes with 600 sittings a year, an entry a dish and sitting.
Run it by hand: python tests/benchmarks/history_cost.py
"""

from __future__ import annotations

import gc
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

from prepboard.clock import FixedClock
from prepboard.plan.board import plan
from prepboard.store.actions.history import keep_learned
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.past_plates import PastSitting, record_past
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

TODAY = date(2026, 10, 31)
NOW = datetime(2026, 10, 31, 9, 0, tzinfo=UTC)
DISHES, SITTINGS = 16, 600
WHO = Who("dk", "pass")


def book() -> str:
    parts = ['name = "Old"\ntime_zone = "UTC"\nrules = "food-code-2022"']
    for service, starts, ends in (("lunch", "12:00", "14:00"), ("dinner", "18:00", "22:00")):
        parts.append(f'[services.{service}]\ndays = ["mon","tue","wed","thu","fri","sat","sun"]')
        parts.append(f'starts = "{starts}"\nends = "{ends}"\ncovers = 80')
    for n in range(DISHES):
        parts.append(f'[dishes.d{n}]\nname = "D{n}"\nservices = ["lunch","dinner"]\nshare = 0.2')
        parts.append(f'plate = {{ p{n} = "1 each" }}\n[preps.p{n}]\nname = "P{n}"\nkeeps = "2 days"\nmakes = "10 each"')
    return "\n".join(parts)


def past(years: int) -> list[PastSitting]:
    draw = Random(3)
    found = []
    for back in range(years * SITTINGS, 0, -1):
        day = TODAY - timedelta(days=(back + 1) // 2)
        service, hour = ("lunch", 14) if back % 2 == 0 else ("dinner", 22)
        plates = {f"d{n}": draw.randrange(8, 25) for n in range(DISHES)}
        ended = datetime(day.year, day.month, day.day, hour, tzinfo=UTC)
        found.append(PastSitting(service, day, ended, draw.randrange(60, 100), plates))
    return found


def took(work: Callable[[], object]) -> float:
    began = time.process_time()
    work()
    return (time.process_time() - began) * 1000


def main() -> None:
    heads = ("years", "plates", "import", "learn once", "read", "plan")
    print("".join(f"{head:>12}" for head in heads) + "   (ms)")
    for years in (0, 1, 3, 10):
        with tempfile.TemporaryDirectory() as place:
            (Path(place) / "book").mkdir()
            (Path(place) / "book" / "kitchen.toml").write_text(book(), encoding="utf-8")
            (Path(place) / "data").mkdir()
            file = KitchenFile.open(Path(place) / "data" / "kitchen.db", FixedClock(NOW), create=True)
            load_book(file, WHO, Path(place) / "book")
            sittings = past(years)
            imported = took(lambda file=file, sittings=sittings: record_past(file, WHO, sittings))  # type: ignore[misc]

            def learn(file: KitchenFile = file) -> None:
                board = plan(file.read(), NOW)
                if board.new_learned:
                    keep_learned(file, board.state.version, *board.new_learned)

            entries = len(sittings) * DISHES
            # What a real board does not hold in memory would be looked through by the collector each time.
            sittings.clear()
            learned = took(learn)
            gc.collect()
            plan(file.read(), NOW)
            read = min(took(file.read) for _ in range(5))
            state = file.read()
            planned = min(took(lambda state=state: plan(state, NOW)) for _ in range(5))  # type: ignore[misc]
            figures = (imported, learned, read, planned)
            print(f"{years:>12}{entries:>12}" + "".join(f"{figure:>12.1f}" for figure in figures))
            sys.stdout.flush()
            file.close()


if __name__ == "__main__":
    main()
