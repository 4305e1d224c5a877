"""How long the plan takes: pars, needs and counts, and the whole board, for kitchens of growing size.

Prints processor time a call, after one call to warm up. Two thirds of the preps have stock on hand. Run it by hand:
python tests/benchmarks/plan_speed.py
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from functools import partial

from prepboard.book.reading.reader import read_texts
from prepboard.plan.board import plan
from prepboard.plan.demand.occasions import ahead
from prepboard.plan.demand.pars import pars
from prepboard.plan.given.state import Batch, State
from prepboard.plan.needs.needs import work_out
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.runs import RunTimes
from prepboard.plan.service.counts import left, serving

NOW = datetime(2026, 10, 31, 9, 0, tzinfo=UTC)


def kitchen(preps: int, batches: int, seed: int = 1) -> State:
    """A kitchen in which every fifth prep stands on plates and the others feed those above them."""
    chance = random.Random(seed)
    text = ['name = "Big"\ntime_zone = "UTC"\nrules = "food-code-2022"']
    text.append('[services.dinner]\ndays = ["fri","sat","sun","mon"]\nstarts = "18:00"\nends = "22:00"\ncovers = 90')
    plated = max(1, preps // 5)
    for number in range(plated):
        parts = ", ".join(f'p{part} = "60 g"' for part in {number, chance.randrange(plated)})
        text.append(
            f'[dishes.d{number}]\nname = "D{number}"\nservices = ["dinner"]\nshare = 0.2\nplate = {{ {parts} }}'
        )
    for number in range(preps):
        below = sorted({chance.randrange(number + 1, preps) for _ in range(2)}) if number + 1 < preps else []
        uses = ", ".join(f'p{part} = "300 g"' for part in below if part >= plated)
        text.append(
            f'[preps.p{number}]\nname = "P{number}"\nkeeps = "4 days"\nmakes = "2 kg"\nsizes = {{ step = 0.5 }}\n'
            f"uses = {{ {uses} }}\n"
            'steps = [{ do = "Work", hands_on = "15 min", wait = "1 h" }, { do = "Finish", hands_on = "10 min" }]'
        )
    book = read_texts({"book.toml": "\n".join(text)})
    stock = []
    for number in range(batches):
        use_by = NOW + timedelta(hours=chance.randrange(6, 90))
        prep = f"p{chance.randrange(preps * 2 // 3)}"
        amount = chance.randrange(500, 4000) * 1_000_000
        made = NOW - timedelta(hours=20)
        stock.append(
            Batch(f"B{number}", prep, amount, made, date(2026, 10, 30), use_by, "keeps", "chilled", "", "", "")
        )
    return State(book, batches=tuple(stock))


def took(work: Callable[[], object], times: int) -> str:
    """Milliseconds of processor time a call, best and median: the machine's other work only ever adds."""
    work()
    found = []
    for _ in range(times):
        began = time.process_time()
        work()
        found.append((time.process_time() - began) * 1000)
    return f"{min(found):.1f} / {statistics.median(found):.1f}"


def main() -> None:
    print(
        f"{'preps':>6} {'batches':>8} {'runs':>6} {'pars, needs, counts':>22} {'whole board':>18}   (ms, best / median)"
    )
    for preps, batches in ((100, 250), (150, 400), (500, 1250), (2000, 5000), (5000, 12500)):
        state = kitchen(preps, batches)
        until = horizon(state, NOW)
        held = ahead(state, NOW, until)

        def heart(state: State = state, until: datetime = until, held: tuple = held) -> object:
            known = pars(state, NOW, until, held)
            return work_out(state, NOW, until, known, RunTimes(state, NOW)), left(state, NOW, serving(state, NOW))

        times = min(50, max(9, 10_000 // preps))
        runs = len(plan(state, NOW).make)
        whole = took(partial(plan, state, NOW), 3)
        print(f"{preps:>6} {batches:>8} {runs:>6} {took(heart, times):>22} {whole:>18}")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
