"""Whether "runs out" comes true as often as it is said, over simulated evenings with a known truth. Asserts nothing.

    python tests/benchmarks/run_outs.py [EVENINGS]

An evening: guests come at random by the arrival curve (each guest's moment drawn from it, by inverse transform), and
take the dish with its share times a factor of the evening. The factor is drawn from the gamma distribution that the
mix's `spread` stands for; it is the same all evening ("fixed"), or goes its own way by the half hour ("drifting": a
random walk around it). The plan sees what is left and the plates counted so far, at 30, 50 and 70 % of the arrivals.

Printed: how often it said "runs out", with which chance on average, and how often that came true; the same in bands of
the chance; how far the moment was off; and of the dishes that ended short by 15 % or more, how many were not announced
half an hour before. The simulation knows nothing of the plan's reckoning.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from math import exp
from pathlib import Path
from random import Random
from statistics import mean, median

sys.path.insert(0, str(Path(__file__).parents[2]))

from prepboard.book.book import Book
from prepboard.book.reading.reader import read_texts
from prepboard.plan.given.state import Batch, State
from prepboard.plan.service import counts

DAY = date(2026, 10, 31)
START = datetime(2026, 10, 31, 18, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
COVERS, SHARE, SPREAD = 92, Fraction(1, 4), 0.1
CURVE = ((0, 0.3), (90, 0.5), (180, 0.2))
"""(minutes from the start, share of the guests from then on), evenly to the next; the last to 270."""
ENDS = 270
PARTS = (0.3, 0.5, 0.7)
"""Shares of the arrivals at which the plan is asked."""
HALF_AN_HOUR = 30.0

BOOK = f"""
[services.dinner]
days = ["sat"]
starts = "18:00"
ends = "22:30"
covers = {COVERS}
arrivals = {{ "18:00" = 0.3, "19:30" = 0.5, "21:00" = 0.2 }}

[dishes.lamb]
name = "Lamb"
services = ["dinner"]
course = "main"
share = {float(SHARE)}
plate = {{ lamb = "1 each" }}

[dishes.others]
name = "All else"
services = ["dinner"]
course = "main"
share = {float(1 - SHARE)}
plate = {{ rest = "1 each" }}

[preps.rest]
name = "Rest"
keeps = "3 days"
makes = "10 each"

[preps.lamb]
name = "Lamb"
keeps = "3 days"
makes = "10 each"
"""
KITCHEN = 'name = "Test"\ntime_zone = "UTC"\nday_starts = "04:00"\nrules = "food-code-2022"\n'


@dataclass(frozen=True)
class Look:
    """One look at one evening. `said` is the predicted and `came` the real end, in minutes from the start (None: it
    lasted); the plan's moment is when the guests ask for more than there is: the plate that is no longer there."""

    part: float
    chance: float
    said: float | None
    came: float | None


def fixed(random: Random) -> Callable[[float], float]:
    """A factor that stays all evening."""
    factor = random.gammavariate(1 / SPREAD**2, SPREAD**2)
    return lambda _minute: factor


def drifting(random: Random) -> Callable[[float], float]:
    """A factor that goes its own way by the half hour."""
    factor, steps = random.gammavariate(1 / SPREAD**2, SPREAD**2), []
    for _ in range(ENDS // 30 + 1):
        steps.append(factor)
        factor *= exp(random.gauss(0, SPREAD / 2))
    return lambda minute: steps[int(minute // 30)]


PACES = {"fixed": fixed, "drifting": drifting}


def evening(random: Random, pace: Callable[[float], float]) -> tuple[list[float], list[float]]:
    """Minutes from the start at which the dish is taken, in order; and those at which another one is."""
    guests = sorted(minute_of(random.random()) for _ in range(COVERS))
    takes, others = [], []
    for at in guests:
        (takes if random.random() < float(SHARE) * pace(at) else others).append(at)
    return takes, others


def minute_of(part: float) -> float:
    """The minute by which this share of the guests has come."""
    for (begin, share), until in zip(CURVE, [*(begin for begin, _ in CURVE[1:]), ENDS], strict=True):
        if part <= share:
            return begin + (until - begin) * part / share
        part -= share
    return float(ENDS)


def the_book() -> Book:
    return read_texts({"kitchen.toml": KITCHEN, "book.toml": BOOK})


def look_at(book: Book, at: float, plates: int, takes: list[float], others: list[float]) -> tuple[float, float | None]:
    """What the plan says at a minute of an evening that began with so many plates: the chance, and the moment."""
    gone = [take for take in takes if take <= at]
    left = plates - len(gone)
    batch = Batch(
        "B", "lamb", left * 10**6, START - timedelta(days=1), DAY, None, "keeps", "chilled", "chilled", "", "LM"
    )
    seen = {"lamb": gone, "others": [take for take in others if take <= at]}
    plated = {("dinner", DAY, dish): len(takes) for dish, takes in seen.items()}
    last = {("dinner", DAY, dish): START + takes[-1] * MINUTE for dish, takes in seen.items() if takes}
    state = State(book, batches=(batch,), plated=plated, plated_at=last)
    now = START + at * MINUTE
    line = counts.left(state, now, counts.serving(state, now))[0]
    return line.chance_out, (line.runs_out_at - START) / MINUTE if line.runs_out_at else None


def looks(evenings: int, seed: int, pace: str, parts: tuple[float, ...] = PARTS) -> Iterator[Look]:
    """Looks at evenings that begin with between three quarters and five quarters of what is expected, while some are
    left."""
    random, book = Random(seed), the_book()
    expected = COVERS * float(SHARE)
    for _ in range(evenings):
        takes, others = evening(random, PACES[pace](random))
        plates = round(random.uniform(0.75, 1.25) * expected)
        came = takes[plates] if len(takes) > plates else None
        for part in parts:
            at = minute_of(part)
            if sum(take <= at for take in takes) < plates:
                yield Look(part, *look_at(book, at, plates, takes, others), came)


def announced(evenings: int, seed: int, pace: str) -> tuple[int, int]:
    """Of the evenings that ended short by 15 % or more: how many were announced half an hour before, and how many there
    were."""
    random, book = Random(seed), the_book()
    expected, told, every = COVERS * float(SHARE), 0, 0
    for _ in range(evenings):
        takes, others = evening(random, PACES[pace](random))
        plates = round(random.uniform(0.6, 1.0) * expected)
        if len(takes) >= 1.15 * plates:
            every += 1
            _chance, said = look_at(book, max(0.0, takes[plates] - HALF_AN_HOUR), plates, takes, others)
            told += said is not None
    return told, every


def said_and_true(found: list[Look], low: float = 0.5, high: float = 1.01) -> tuple[int, float, float]:
    """Of the looks that said a chance between these: how many, the chance on average, how often it came true."""
    these = [look for look in found if low <= look.chance < high]
    if not these:
        return 0, 0.0, 0.0
    return len(these), mean(look.chance for look in these), mean(look.came is not None for look in these)


def errors(found: list[Look]) -> list[float]:
    """Minutes that the predicted end is after the real one, where both are."""
    return sorted(look.said - look.came for look in found if look.said is not None and look.came is not None)


def main() -> None:
    evenings = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000
    for pace in PACES:
        found = list(looks(evenings, 7, pace))
        print(f"{evenings} evenings, pace {pace}: of what was said to run out (chance 1/2 or more)")
        print("  arrivals   said   chance said   came true   off by    moment: median error, 90 % within (min)")
        for part in PARTS:
            here = [look for look in found if look.part == part]
            n, said, true = said_and_true(here)
            off = errors(here)
            size = sorted(map(abs, off))
            print(
                f"  {part:8.0%} {n:6}   {said:11.1%}   {true:9.1%}   {100 * (true - said):+6.1f}"
                f"   {median(off):+20.1f}   {size[int(0.9 * len(size))]:8.1f}"
            )
        print("  chance said     looks   on average   came true")
        for low in (0.0, 0.1, 0.3, 0.5, 0.7, 0.9):
            high = {0.0: 0.1, 0.1: 0.3, 0.3: 0.5, 0.5: 0.7, 0.7: 0.9, 0.9: 1.01}[low]
            n, said, true = said_and_true(found, low, high)
            print(f"  {low:.0%} to {min(1.0, high):.0%} {n:12}   {said:10.1%}   {true:9.1%}")
        told, every = announced(evenings, 8, pace)
        print(f"  short by 15 % or more: {every}, unannounced half an hour before: {1 - told / every:.1%}\n")


if __name__ == "__main__":
    main()
