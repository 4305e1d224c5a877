"""What a press costs: the action with its transaction, and the plan that the board which pressed shows for it.

Prints and asserts nothing: processor milliseconds, best and median of each kind of press, on the demo kitchen at 17:20.
Beside it the same presses with nothing shared: where runs lie is worked out by a whole plan each time, and the board
plans once more; and what the second costs over the first.

    python tests/benchmarks/press_cost.py [--presses 12]
"""

from __future__ import annotations

import argparse
import shutil
import statistics
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from datetime import datetime
from datetime import time as of_day
from pathlib import Path
from random import Random

from prepboard.clock import FixedClock
from prepboard.demo import build, later
from prepboard.plan.board import Board, plan
from prepboard.plan.given.state import Lies, State
from prepboard.plan.outline import lies_in, outline
from prepboard.plan.planner import Planner
from prepboard.store.actions.food.making import done, start, step
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Did, Refused, Who
from prepboard.store.kitchen_file import KitchenFile

COOK = Who("bx", "fish")


class NothingShared:
    """Plans as if nobody had planned before."""

    def board(self, state: State, now: datetime) -> Board:
        return plan(state, now)

    def where_runs_lie(self, state: State, now: datetime, moving: bool) -> Lies:
        return lies_in(outline(state, now, moving))


class RunTimes:
    """Presses on a copy of one file, and what each took."""

    def __init__(self, path: Path, planner: Planner | NothingShared) -> None:
        self._planner = planner
        self.file = KitchenFile.open(path, FixedClock(later(of_day(17, 20))), random=Random(3))
        self.file.makes_planner = lambda: planner
        self.took: dict[str, list[float]] = defaultdict(list)
        self.board = planner.board(self.file.read(), self.file.clock.now())

    def press(self, name: str, act: Callable[[], Did]) -> Did:
        began = time.process_time()
        did = act()
        self.board = self._planner.board(self.file.read(), self.file.clock.now())
        self.took[name].append((time.process_time() - began) * 1000)
        return did

    def work(self, presses: int) -> None:
        """Starts so many lines, goes on with each, and ends it; every third start is taken back first."""
        for number, line in enumerate([line for line in self.board.make if line.steps][:presses]):
            begin = lambda line=line: start(self.file, COOK, line.prep, line.size, line.line, sure=True)  # noqa: E731
            if number % 3 == 0:
                self.press("start", begin)
                self.press("undo", lambda: undo(self.file, COOK))
            run = self.press("start", begin).run
            try:
                self.press("go on", lambda run=run: step(self.file, COOK, run, sure=True))
            except Refused:
                self.press("done", lambda run=run: done(self.file, COOK, run=run, sure=True))


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--presses", type=int, default=12)
    presses = asked.parse_args().presses
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "made.db"
        build(made, at=later(of_day(17, 20)))
        benches = []
        for number, planner in enumerate((NothingShared(), Planner(), NothingShared(), Planner())):
            copy = Path(folder) / f"{number}.db"
            shutil.copy(made, copy)
            benches.append(RunTimes(copy, planner))
            benches[-1].work(presses)
        alone, shared = (
            {name: [*benches[first].took[name], *benches[first + 2].took[name]] for name in benches[0].took}
            for first in (0, 1)
        )
    print(
        f"{'press':8} {'nothing shared':>20} {'one plan a press':>20} {'ratio':>8}   (ms of processor, best / median)"
    )
    for name, took in alone.items():
        other = shared[name]
        ratio = statistics.median(took) / statistics.median(other)
        print(f"{name:8} {said(took):>20} {said(other):>20} {ratio:>8.2f}")


def said(took: list[float]) -> str:
    return f"{min(took):.1f} / {statistics.median(took):.1f}"


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    main()
