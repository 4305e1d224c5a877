"""Late kitchens, drawn: how often a board said what was not true, and how much later kept plans were than new ones.

python tests/benchmarks/late_days.py [KITCHENS] [FIRST SEED]
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from datetime import timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from days.late import LITTLE, worked
from days.obedient import opened
from obedient import KINDS
from random_kitchens import NOW, text_of


def main(kitchens: int = 20, first: int = 1) -> None:
    broken, later, looks, lost_more = 0, [], 0, 0
    for number in range(kitchens):
        seed, kind = first + number, list(KINDS)[number % len(KINDS)]
        folder = Path(tempfile.mkdtemp())
        began = time.perf_counter()
        file = opened(folder, text_of(seed, strict=seed % 2 == 0, **KINDS[kind]), NOW)
        try:
            found = worked(file, seed, timedelta(hours=50))
        finally:
            file.close()
            shutil.rmtree(folder)
        took = time.perf_counter() - began
        over = [one for one in found.compared.later if one > LITTLE]
        kept = f"{len(over):>2} of {found.compared.looks:>3} kept plans later by more than a little"
        lines = f"{found.found.lines:>3} lines {len(found.found.broken):>3} broken"
        print(f"{seed:>5} {kind:<26} {lines}, {kept} {took:5.1f} s")
        for what in found.found.broken[:4]:
            print(f"        {what}")
        sys.stdout.flush()
        broken += len(found.found.broken)
        later += found.compared.later
        looks += found.compared.looks
        lost_more += found.compared.lost_more
    worst = max(later, default=0.0)
    over = sum(one > LITTLE for one in later)
    kept = f"of {looks} kept plans {over} more than {LITTLE:.0f} weighed minutes later than a new one"
    print(f"{kitchens} kitchens, {broken} broken; {kept} (at worst {worst:.0f}), {lost_more} with more sittings lost")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
