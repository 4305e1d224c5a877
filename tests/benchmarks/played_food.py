"""Thousands of drawn histories of food against the small reckoning in tests/food/reckoning.py.

Each seed is one play of up to thirty actions in one rule book: python tests/benchmarks/played_food.py [HOW MANY]
[FIRST SEED]. What differs is printed with its seed and the shortest play that still differs; the same differences are
counted together. Prints besides what was done how often, and how many answers were compared.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.food.played_asking import Differs
from tests.food.played_kitchen import Op, Ready, get_ready
from tests.food.playing import drawn, played

KITCHENS = (("food-code-2022", False), ("food-code-2022", True), ("uk", False), ("ireland", False), ("fsanz", False))


def differs(ready: Ready, ops: list[Op]) -> str:
    try:
        played(ready, ops)
    except Differs as no:
        return str(no)
    return ""


def shorter(ready: Ready, ops: list[Op], kind: str) -> tuple[list[Op], str]:
    """Leaves out what is not needed for a difference of the same kind."""
    said = differs(ready, ops)
    at = 0
    while at < len(ops):
        fewer = ops[:at] + ops[at + 1 :]
        told = differs(ready, fewer)
        if told and kind_of(told) == kind:
            ops, said = fewer, told
        else:
            at += 1
    return ops, said


def kind_of(said: str) -> str:
    """LONGER or SHORTER, and which rows answered: the same cause mostly says the same."""
    words = said.split("\n")[0]
    rows = [part.split(",")[0].split("'")[0] for part in words.split("row ")[1:]]
    return f"{words.split()[1] if 'hold:' not in words else words.split()[2]} {' / '.join(rows)}"


def main() -> None:
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    found: Counter[str] = Counter()
    did: Counter[str] = Counter()
    asked, began = 0, time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        every = [get_ready(Path(folder) / f"{rules}-{hold}", rules, hold=hold) for rules, hold in KITCHENS]
        for seed in range(first, first + times):
            ready = every[seed % len(every)]
            ops = drawn(str(seed))
            try:
                play = played(ready, ops)
            except Differs as no:
                kind = kind_of(str(no))
                found[kind] += 1
                if found[kind] == 1:
                    ops, said = shorter(ready, ops, kind)
                    print(f"seed {seed}: {said}\n  {ops}\n", flush=True)
                continue
            did.update(play.did)
            asked += play.asked
    spent = time.process_time() - began
    print(f"{times} histories from seed {first}, {spent:.0f} s of processor: {asked} answers compared,")
    print("  " + ", ".join(f"{name} {n}" for name, n in did.most_common()))
    print(f"{sum(found.values())} histories differ")
    for kind, n in found.most_common():
        print(f"  {n} {kind}")
    sys.exit(bool(found))


if __name__ == "__main__":
    main()
