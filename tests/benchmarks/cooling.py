"""How good the cooling forecast is, and how long the log's proof and the watch of a large kitchen take.

Simulated coolings with the errors that the forecast names (probe and place), and with a core that lags. Prints, by
number of readings and limit: the mean and the mean absolute error in minutes, how often the limit was reached within
what was promised (90 in 100 are meant), and how often later than the latest. Run it by hand:
python tests/benchmarks/cooling.py
"""

from __future__ import annotations

import math
import statistics
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random

from prepboard.book.safety.temperatures import Reading
from prepboard.demo import build
from prepboard.plan.probes.forecast import PLACE_OFF, READING_OFF, reached
from prepboard.plan.probes.watching import watch
from prepboard.store.kitchen_file import KitchenFile, chain

BEGIN = datetime(2026, 10, 31, 12, 0, tzinfo=UTC)
TIMES = 2000
LOG_LINES = 100_000
Curve = Callable[[float], float]


def newton(k: float, cold: float) -> Curve:
    """From 57 °C towards the place's temperature."""
    return lambda at: cold + (57 - cold) * math.exp(-k * at)


def lagging(k: float, cold: float) -> Curve:
    """As a core cools: the first of the modes of a slab, behind a shoulder of half an hour or so."""
    return lambda at: cold + (57 - cold) * (1.27 * math.exp(-k * at) - 0.27 * math.exp(-5 * k * at))


def crossing(curve: Curve, to: float) -> float:
    """Minutes until the curve is at `to`; by halving."""
    low, high = 0.0, 60.0 * 48
    if curve(high) > to:
        return math.inf
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if curve(middle) > to else (low, middle)
    return high


def forecasts(shape: Callable[[float, float], Curve], count: int, last: float, to: float) -> None:
    random, errors, inside, late, shown = Random(1), [], 0, 0, 0
    for _ in range(TIMES):
        cold = 2.0 + random.gauss(0, PLACE_OFF)
        curve = shape(random.uniform(0.008, 0.03), cold)
        whole = crossing(curve, last)
        times = [whole * (n + 1) / count for n in range(count)]
        read = [
            Reading(
                "K7F", "batch", BEGIN + timedelta(minutes=at), _shown(curve(at) + random.gauss(0, READING_OFF)), "C"
            )
            for at in times
        ]
        found = reached(read, to, 2.0)
        if found is None:
            continue
        shown += 1
        true, latest = crossing(curve, to), _minutes(found.latest)
        inside += _minutes(found.earliest) <= true <= latest
        late += true > latest
        if true < math.inf:
            errors.append(_minutes(found.at) - true)
    print(
        f"  {count} readings down to {last:g} °C, to {to:g} °C: mean error {statistics.mean(errors):+.1f} min, "
        f"mean absolute {statistics.mean(map(abs, errors)):.1f} min, within the promise {inside / shown:.1%}, "
        f"later than the latest {late / shown:.1%}"
    )


def _shown(degrees: float) -> Fraction:
    """A probe shows tenths."""
    return Fraction(round(degrees * 10), 10)


def _minutes(at: datetime | None) -> float:
    return (at - BEGIN).total_seconds() / 60 if at else math.inf


def proofs() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.db"
        build(path)
        file = KitchenFile.open(path)
        with file.writing() as db:
            action = db.execute("SELECT id FROM actions LIMIT 1").fetchone()[0]
            began = time.process_time()
            for _ in range(LOG_LINES):
                chain.add_line(db, [action, "2026-06-13T12:00:00Z", "ab", "cook", "roast", "read", *[""] * 6])
            written = time.process_time() - began
        with file.looking() as db:
            began = time.process_time()
            assert chain.faults(db) == []
            proved = time.process_time() - began
        state, now = file.read(), file.clock.now()
        began = time.process_time()
        for _ in range(100):
            watch(state, now)
        watched = (time.process_time() - began) * 10
        file.close()
    print(f"{LOG_LINES} lines of log: written in {written:.1f} s and proved in {proved:.2f} s of processor time")
    print(f"the demo kitchen's readings judged in {watched:.2f} ms")


def main() -> None:
    for name, shape in (("as Newton has it", newton), ("a core that lags", lagging)):
        print(name)
        for count, last, to in ((2, 40, 21), (2, 30, 21), (3, 30, 21), (4, 25, 21), (2, 18, 5), (3, 12, 5), (4, 8, 5)):
            forecasts(shape, count, last, to)
    proofs()


if __name__ == "__main__":
    main()
