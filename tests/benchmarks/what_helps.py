"""What helps late lines of drawn kitchens: how much is offered, by kind, and whether each offer gives what it promised.

Each is done through its one action, as Enter does it: the line is ready then when that was said, no other line is late
or later, and undo gives back the plan. Seeds are printed. Run it by hand:

    python tests/benchmarks/what_helps.py [--first 100] [--kitchens 40] [--runs 9]
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1]))

from boards.test_helps_hold import opened, tried


def main() -> None:
    asked = argparse.ArgumentParser(description="What helps late lines, tried.")
    asked.add_argument("--first", type=int, default=100, help="the first seed")
    asked.add_argument("--kitchens", type=int, default=40)
    asked.add_argument("--runs", type=int, default=9, help="of each kitchen")
    given = asked.parse_args()
    kinds, broken, began = Counter[str](), 0, time.process_time()
    for seed in range(given.first, given.first + given.kitchens):
        with TemporaryDirectory() as folder:
            file = opened(seed, Path(folder), given.runs)
            try:
                found = tried(file)
            except AssertionError as fault:
                broken, found = broken + 1, Counter[str]()
                print(f"seed {seed}: {fault}")
            finally:
                file.close()
        kinds += found
        print(f"seed {seed}: {dict(found)}", flush=True)
    took = (time.process_time() - began) / given.kitchens
    print(f"{given.kitchens} kitchens: {dict(kinds)}; {broken} with a broken promise; {took:.1f} s of processor each")


if __name__ == "__main__":
    main()
