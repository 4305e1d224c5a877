"""A full service on sixteen boards: how soon an 86 or a plate is on all of them, and what two actions a second cost.

Prints and asserts nothing. Beside it stand sixteen of the smallest Textual application, which only wait.

    python tests/benchmarks/service_speed.py [--boards 16] [--calls 40] [--seconds 20]
"""

from __future__ import annotations

import argparse
import select
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import timedelta
from pathlib import Path

from board_speed import ROOT, STATIONS, Terminal, at, board, running, settle, smallest

DISH, NAME = "cheese-sweet", "Three cheeses"
BENCH = "pastry"
"""Whose dish that is."""
OFTEN = 0.5
"""Seconds between two actions."""
LISTS = "TO MAKE"
"""A heading that every bench's board has room for while dinner is served, once its figures are there."""


def eighty_six(path: Path, boards: int, calls: int) -> None:
    """An 86 on boards of all benches; it is taken back each time."""
    from prepboard.store.actions.night.dishes import back, take_off
    from prepboard.store.file.who import Who
    from prepboard.store.kitchen_file import KitchenFile

    file = KitchenFile.open(path)
    who, sitting = Who("mr", "pass"), next(iter(sitting_of(file)))
    argvs = [board(path, STATIONS[number % len(STATIONS)]) for number in range(boards)]
    late = latencies(
        argvs,
        calls,
        lambda: take_off(file, who, sitting, DISH, "trial"),
        lambda: back(file, who, sitting, DISH),
    )
    file.close()
    tell(f"86 on {boards} boards", late)


def plate_out(path: Path, boards: int, calls: int) -> None:
    """A plate of a dish on boards of its bench, which are those that count it; it is taken back each time."""
    from prepboard.store.actions.night.service import plate
    from prepboard.store.file.who import Who
    from prepboard.store.kitchen_file import KitchenFile

    file = KitchenFile.open(path)
    who, sitting = Who("mr", "pass"), next(iter(sitting_of(file)))
    late = latencies(
        [board(path, BENCH) for _number in range(boards)],
        calls,
        lambda: plate(file, who, sitting, DISH, 1),
        lambda: plate(file, who, sitting, DISH, -1),
    )
    file.close()
    tell(f"a plate on {boards} boards", late)


def latencies(
    argvs: Sequence[Sequence[str]], calls: int, act: Callable[[], object], take_back: Callable[[], object]
) -> list[float]:
    """Of every board for every call: from the commit until the dish stands in its output."""
    late: list[float] = []
    with running(*argvs) as terminals:
        for terminal in terminals:
            terminal.until(LISTS, 120)
        settle(terminals, 5)
        for _call in range(calls):
            for terminal in terminals:
                terminal.drain()
                terminal.seen.clear()
            act()
            late += shown_on_all(terminals, time.monotonic())
            take_back()
            settle(terminals, 1.0)
    return sorted(late)


def tell(what: str, late: Sequence[float]) -> None:
    print(
        f"{what}, n={len(late)}: p50 {at(late, 0.5):.0f} ms, p90 {at(late, 0.9):.0f} ms,"
        f" p99 {at(late, 0.99):.0f} ms, longest {late[-1]:.0f} ms"
    )


def sitting_of(file: object) -> list[tuple[str, object]]:
    """The sittings that serve the dish, the next one first."""
    from prepboard.plan.board import plan

    state = file.read()  # type: ignore[attr-defined]
    lines = plan(state, file.clock.now()).sittings  # type: ignore[attr-defined]
    return [(line.service, line.day) for line in lines if line.service in state.book.dishes[DISH].services]


def shown_on_all(terminals: Sequence[Terminal], committed: float) -> list[float]:
    """Milliseconds until each of them has shown the dish."""
    waiting, late = list(terminals), []
    while waiting:
        if time.monotonic() - committed > 20:
            raise SystemExit(f"{len(waiting)} boards never showed {NAME}")
        select.select([terminal.master for terminal in terminals], [], [], 0.05)
        for terminal in terminals:
            terminal.drain()
        now = time.monotonic()
        done = [terminal for terminal in waiting if NAME.encode() in terminal.seen]
        late += [(now - committed) * 1000] * len(done)
        waiting = [terminal for terminal in waiting if terminal not in done]
    return late


def full_service(path: Path, boards: int, seconds: float) -> None:
    """Processor time of all boards while a plate goes out every half second."""
    from prepboard.store.actions.night.service import plate
    from prepboard.store.file.who import Who
    from prepboard.store.kitchen_file import KitchenFile

    file = KitchenFile.open(path)
    who, sitting = Who("mr", "pass"), next(iter(sitting_of(file)))
    for name in ("smallest", "board"):
        argvs = [
            smallest() if name == "smallest" else board(path, STATIONS[at % len(STATIONS)]) for at in range(boards)
        ]
        with running(*argvs) as terminals:
            for terminal in terminals:
                terminal.until("smallest" if name == "smallest" else LISTS, 120)
            settle(terminals, 5)
            before, ends = sum(one.processor_seconds for one in terminals), time.monotonic() + seconds
            while time.monotonic() < ends:
                if name == "board":
                    plate(file, who, sitting, DISH, 1)
                settle(terminals, OFTEN)
            used = sum(one.processor_seconds for one in terminals) - before
        print(f"{boards} x {name:9} {100 * used / seconds:6.1f} % of one core, two actions a second, {seconds:.0f} s")
    file.close()


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--boards", type=int, default=16)
    asked.add_argument("--calls", type=int, default=40)
    asked.add_argument("--seconds", type=float, default=20)
    wanted = asked.parse_args()
    from prepboard.demo import NOW, build

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.db"
        # At 18:50 dinner is served: before that a bench's plates may stand below what its board has room for.
        build(path, at=NOW + timedelta(hours=4, minutes=30))
        eighty_six(path, wanted.boards, wanted.calls)
        plate_out(path, wanted.boards, wanted.calls)
        full_service(path, wanted.boards, wanted.seconds)


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main()
