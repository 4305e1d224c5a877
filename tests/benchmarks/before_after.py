"""The speed figures of another checkout beside those of this one, from runs that take turns in the same minutes.

Each checkout runs its own `board_speed`, `service_speed`, `plan_speed`, `show_make` and `kitchen_schedules`, and both
plan the demo kitchen; what they print is read and set side by side: the best and the median of all turns, and after
over before. With more than a tenth more, both in the best and in the median, a figure is marked. Asserts nothing.

    git worktree add OTHER COMMIT
    python tests/benchmarks/before_after.py OTHER [--turns 5] [--only plan,demo,schedules,show,board,service]
"""

from __future__ import annotations

import argparse
import os
import re
import statistics
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

ROOT = Path(__file__).resolve().parents[2]
Figures = dict[str, list[float]]
"""What is measured, in its unit -> a value for each turn."""

WORSE = 1.1

DEMO = """
import tempfile, time
from pathlib import Path
from prepboard.demo import build
from prepboard.plan.board import plan
try:
    from prepboard.store.kitchen_file import KitchenFile
except ImportError:
    from prepboard.store.file import KitchenFile
with tempfile.TemporaryDirectory() as folder:
    path = Path(folder) / "kitchen.db"
    build(path)
    file = KitchenFile.open(path)
    state, now = file.read(), file.clock.now()
    file.close()
board = plan(state, now)
took = []
for _ in range(25):
    began = time.process_time()
    plan(state, now)
    took.append((time.process_time() - began) * 1000)
print(f"the demo kitchen's plan, {len(board.make)} lines: best {min(took):.1f} ms, median {sorted(took)[12]:.1f} ms")
"""

SAID = re.compile(
    r"(?P<which>p50|p90|p99|longest|best|median|show make)? *(?P<value>\d+(?:\.\d+)?) (?P<unit>ms|MB|% of one core)"
)
"""A figure as the benchmarks print it in a sentence."""
NUMBER = re.compile(r"\d+(?:\.\d+)?")


class Part(Struct, frozen=True):
    """A benchmark, what it is given, and the columns of its table after the first, if it prints one; those without a
    name say nothing of speed."""

    asked: tuple[str, ...]
    columns: tuple[str, ...] = ()
    most: int = 2000
    """Of a table no row for a larger kitchen."""


PARTS = {
    "plan": Part(("plan_speed.py",), ("", "", "heart best", "heart median", "board best", "board median")),
    "demo": Part(("-c", DEMO)),
    "schedules": Part(("kitchen_schedules.py",), ("all", "one changed", "read again")),
    "show": Part(("show_make.py",)),
    "board": Part(("board_speed.py", "--starts", "3", "--commits", "60", "--idle", "8")),
    "service": Part(("service_speed.py", "--calls", "12", "--seconds", "8")),
}


def lines_of(checkout: Path, part: Part) -> Iterator[str]:
    """What a checkout's benchmark prints, line by line; it is ended when nobody wants more."""
    script, *given = part.asked
    command = [script, *given] if script == "-c" else [f"tests/benchmarks/{script}", *given]
    environment = {**os.environ, "PYTHONPATH": str(checkout)}
    with subprocess.Popen(
        [sys.executable, *command], cwd=checkout, env=environment, stdout=subprocess.PIPE, text=True
    ) as running:
        assert running.stdout is not None
        try:
            yield from running.stdout
        finally:
            running.terminate()
    if running.returncode > 0:
        raise SystemExit(f"{checkout}: {part.asked[0]} ended with {running.returncode}")


def measure(checkout: Path, part: Part) -> Iterator[tuple[str, float]]:
    """Each figure that a checkout's benchmark prints, named."""
    name, rows = part.asked[0].removesuffix(".py"), 0
    for line in lines_of(checkout, part):
        if not part.columns:
            yield from said_in(line)
        elif line.split()[0].isdigit():
            rows, (size, *figures) = rows + 1, NUMBER.findall(line)
            if int(size) > part.most:
                return
            # A kitchen of the same row may have some more or some fewer runs by now.
            for what, figure in zip(part.columns, figures, strict=False):
                if what:
                    yield f"{name}, row {rows}, {what}, ms", float(figure)


def said_in(line: str) -> Iterator[tuple[str, float]]:
    about = line.rpartition(":")[0]
    for found in SAID.finditer(line):
        name = " ".join((about or line[: found.start()]).split())
        yield re.sub(r", n=\d+|\d+ lines", "", f"{name} {found['which'] or ''}, {found['unit']}"), float(found["value"])


def tell(before: Figures, after: Figures) -> None:
    print(f"{'':62} {'before, best / median':>24} {'after, best / median':>24} {'after / before':>16}")
    for name in [name for name in before if name in after]:
        pairs = [(of(before[name]), of(after[name])) for of in (min, statistics.median)]
        ratios = [now / was if was else 1.0 for was, now in pairs]
        was, now = (" / ".join(f"{pair[side]:.1f}" for pair in pairs) for side in (0, 1))
        mark = "  worse" if min(ratios) > WORSE else ""
        print(f"{name:62} {was:>24} {now:>24} {ratios[0]:>8.2f} {ratios[1]:>7.2f}{mark}")
    for name in sorted(before.keys() ^ after.keys()):
        print(f"{name:62} only {'before' if name in before else 'after'}")


def commit_of(checkout: Path) -> str:
    said = ["git", "-C", str(checkout), "log", "-1", "--format=%h %s"]
    return subprocess.run(said, check=True, capture_output=True, text=True).stdout.strip()[:100]


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("other", type=Path)
    asked.add_argument("--turns", type=int, default=5)
    asked.add_argument("--only", default=",".join(PARTS))
    wanted = asked.parse_args()
    checkouts = wanted.other.resolve(), ROOT
    for name, checkout in zip(("before", "after"), checkouts, strict=True):
        print(f"{name}: {commit_of(checkout)}")
    for name in wanted.only.split(","):
        figures: tuple[Figures, Figures] = defaultdict(list), defaultdict(list)
        for turn in range(wanted.turns):
            order = (0, 1) if turn % 2 == 0 else (1, 0)
            for side in order:
                for what, value in measure(checkouts[side], PARTS[name]):
                    figures[side][what].append(value)
        tell(*figures)
        sys.stdout.flush()


if __name__ == "__main__":
    main()
