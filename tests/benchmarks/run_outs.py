"""How far the predicted moment at which a dish runs out is from the real one, over simulated evenings. Asserts nothing.

    python tests/benchmarks/run_outs.py [EVENINGS]

An evening: guests come at random by the arrival curve (each guest's moment drawn from it, by inverse transform), each
takes the dish with its share, and the share itself is off by a factor drawn for the evening, as a kitchen's guess is
off. Plates are counted as they go out. At each look, what is left and what is counted go into the plan, and its moment
is set against the one at which the simulated evening really takes the last plate.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[2]))

from prepboard.book.reading.reader import read_texts
from prepboard.plan.given.state import Batch, State
from prepboard.plan.service import counts

DAY = date(2026, 10, 31)
START = datetime(2026, 10, 31, 18, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
COVERS, SHARE = 92, Fraction(1, 4)
CURVE = ((0, 0.3), (90, 0.5), (180, 0.2))
"""(minutes from the start, share of the guests from then on), evenly to the next; the last to 270."""
ENDS = 270

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

[preps.lamb]
name = "Lamb"
keeps = "3 days"
makes = "10 each"
"""
KITCHEN = 'name = "Test"\ntime_zone = "UTC"\nday_starts = "04:00"\nrules = "food-code-2022"\n'


@dataclass(frozen=True)
class Look:
    """One look at one evening: minutes from the start, the predicted and the real end (None: it lasted)."""

    at: int
    said: float | None
    came: float | None


def evening(random: Random, off_by: float, guests: int = COVERS) -> list[float]:
    """Minutes from the start at which the dish is taken, in order."""
    share = min(1.0, float(SHARE) * off_by)
    return sorted(_arrival(random.random()) for _ in range(guests) if random.random() < share)


def _arrival(part: float) -> float:
    for (begin, share), until in zip(CURVE, [*(begin for begin, _ in CURVE[1:]), ENDS], strict=True):
        if part <= share:
            return begin + (until - begin) * part / share
        part -= share
    return float(ENDS)


def looks(evenings: int, seed: int, spread: float, plates: int = 20, every: int = 30) -> Iterator[Look]:
    """Looks every so many minutes at evenings that begin with so many plates, while some are left."""
    random = Random(seed)
    book = read_texts({"kitchen.toml": KITCHEN, "book.toml": BOOK})
    for _ in range(evenings):
        takes = evening(random, random.lognormvariate(0.0, spread))
        # The plan's moment is when the guests use more than there is: the plate that is no longer there.
        came = takes[plates] if len(takes) > plates else None
        for at in range(0, ENDS, every):
            gone = sum(take <= at for take in takes)
            if gone < plates:
                yield Look(at, _said(book, at, plates - gone, gone), came)


def _said(book: object, at: int, left: int, gone: int) -> float | None:
    batch = Batch(
        "B", "lamb", left * 10**6, START - timedelta(days=1), DAY, None, "keeps", "chilled", "chilled", "", "LM"
    )
    state = State(book, batches=(batch,), plated={("dinner", DAY, "lamb"): gone})  # type: ignore[arg-type]
    now = START + at * MINUTE
    (line,) = counts.left(state, now, counts.under_way_or_next(state, now))
    return (line.runs_out_at - START) / MINUTE if line.runs_out_at else None


def errors(found: list[Look], of: Callable[[Look], bool]) -> list[float]:
    """Minutes that the predicted end is after the real one; an end that never came, or was never said, is the
    service's end."""
    chosen = [look for look in found if of(look) and (look.said is not None or look.came is not None)]
    return sorted((look.said or ENDS) - (look.came or ENDS) for look in chosen)


def main() -> None:
    evenings = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    for spread in (0.0, 0.3):
        found = list(looks(evenings, 7, spread))
        print(f"{evenings} evenings, the share off by a factor of e^N(0, {spread}); error in minutes, + is too late")
        print("  look at   evenings   median error   median |error|   90 % |error| within   missed ends   false ends")
        for at in range(0, ENDS, 30):
            ours = errors(found, lambda look, at=at: look.at == at)  # type: ignore[misc]
            size = sorted(map(abs, ours))
            here = [look for look in found if look.at == at]
            missed = sum(look.came is not None and look.said is None for look in here)
            false = sum(look.came is None and look.said is not None for look in here)
            print(
                f"  {START + at * MINUTE:%H:%M} {len(here):10}   {median(ours):+10.1f}   {median(size):14.1f}"
                f"   {size[int(0.9 * len(size))]:18.1f}   {missed / len(here):11.1%}   {false / len(here):10.1%}"
            )


if __name__ == "__main__":
    main()
