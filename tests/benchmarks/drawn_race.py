"""Four stations, real processes, press drawn keys on drawn rows of one file: how many presses did what their presser
had not seen. Prints counts by key; one evening passes meanwhile.

python tests/benchmarks/drawn_race.py [PRESSES] [SEED]
"""

from __future__ import annotations

import asyncio
import json
import subprocess
import sys
import tempfile
import time
from collections import Counter
from datetime import datetime
from functools import partial
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from stations.pressing import BEGINS, STATIONS, Hand, opened_kitchen, twice, when

from prepboard.clock import FixedClock
from prepboard.store.health.health import check
from prepboard.store.kitchen_file import KitchenFile

A_PRESS = 0.05
"""Seconds that a press is expected to take, for the pace of the evening."""

PATIENCE = 0.01
"""Seconds that a question stands, at most."""


class Evening:
    """A clock that all stations share: it runs as fast as the machine needs for the presses."""

    set_by_hand = True

    def __init__(self, began: float, presses: int) -> None:
        self._began, self._long = began, presses * A_PRESS

    def now(self) -> datetime:
        return when(min(1.0, (time.time() - self._began) / self._long))


async def station(path: Path, at: int, presses: int, seed: int, began: float) -> None:
    """One station's presses; prints what came of them as JSON."""
    chance = Random(seed * 100 + at)

    async def others() -> None:
        await asyncio.sleep(chance.random() * PATIENCE)

    file = KitchenFile.open(path, Evening(began, presses), random=Random(seed * 1000 + at))
    hand = Hand(file, STATIONS[at % 2], ("jp", "lm", "ab", "dk")[at], seed * 10 + at, others)
    while hand.pressed.total() < presses:
        await hand.press()
    told = {"pressed": hand.pressed, "done": hand.done, "refused": hand.refused, "unseen": hand.unseen}
    print(json.dumps(told))
    file.close()


def main(presses: int, seed: int) -> None:
    folder = Path(tempfile.mkdtemp())
    path = opened_kitchen(folder, partial(KitchenFile.open, clock=FixedClock(BEGINS)))
    began = time.time()
    asked = [sys.executable, __file__, "station", str(path)]
    stations = [
        subprocess.Popen([*asked, str(at), str(presses // 4), str(seed), str(began)], stdout=subprocess.PIPE, text=True)
        for at in range(4)
    ]
    told = [json.loads(one.communicate()[0]) for one in stations]
    pressed, done, refused = (
        sum((Counter(one[name]) for one in told), Counter()) for name in ("pressed", "done", "refused")
    )
    found = [what for one in told for what in one["unseen"]]
    print(f"seed {seed}: {pressed.total()} presses by 4 stations in {time.time() - began:.0f} s")
    print(f"done {done.total()}, refused since it had moved {refused['moved']}, else nothing done or refused")
    print("by key:", ", ".join(f"{name} {n} of {pressed[name]}" for name, n in sorted(done.items())))
    print("keys that did nothing:", ", ".join(sorted(set(pressed) - set(done))) or "none")
    file = KitchenFile.open(path, FixedClock(when(1.0)))
    print(
        f"met what was not seen: {len(found)}; lines with two runs: {len(twice(file))}; check: {check(file) or 'whole'}"
    )
    print("\n".join(found))


if __name__ == "__main__":
    if sys.argv[1:2] == ["station"]:
        _name, path, at, presses, seed, began = sys.argv[1:]
        asyncio.run(station(Path(path), int(at), int(presses), int(seed), float(began)))
    else:
        main(*(int(one) for one in (sys.argv[1:] + ["10000", "1"][len(sys.argv) - 1 :])))
