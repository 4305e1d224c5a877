"""How fast a board is: first paint, memory, idle processor time, and how soon it shows what another station did.

Each figure stands beside that of the smallest Textual application, started in the same way in the same minute: the
machine it runs on is part of every figure. Prints and asserts nothing.

    python tests/benchmarks/board_speed.py [--commits 200] [--idle 12] [--starts 9] [--python PATH]

`--python` is the interpreter that the boards and the smallest application run in, else this one. What is installed
beside them counts: have one with the runtime dependencies alone, as a kitchen has.
"""

from __future__ import annotations

import argparse
import fcntl
import os
import pty
import select
import signal
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

SMALLEST = """
from textual.app import App
from textual.widgets import Static
class Smallest(App):
    def compose(self):
        yield Static("smallest")
Smallest().run()
"""

STATIONS = ("fish", "sauce", "roast", "pastry")

python = sys.executable
"""The interpreter that is measured."""


@dataclass
class Terminal:
    """A program in a terminal of 120 by 36, and what it has written."""

    argv: Sequence[str]
    began: float = 0.0
    seen: bytearray = field(default_factory=bytearray)

    def start(self) -> Terminal:
        master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 36, 120, 0, 0))
        compiled = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        environment = {**compiled, "TERM": "xterm-256color", "COLORTERM": "truecolor", "PYTHONPATH": str(ROOT)}
        self.began = time.monotonic()
        self.process = subprocess.Popen(
            self.argv, stdin=slave, stdout=slave, stderr=slave, env=environment, start_new_session=True
        )
        os.close(slave)
        os.set_blocking(master, False)
        self.master = master
        return self

    def drain(self) -> None:
        try:
            while chunk := os.read(self.master, 65536):
                self.seen += chunk
        except OSError:
            pass

    def until(self, text: str, seconds: float = 30.0) -> float:
        """Seconds from the start to the text."""
        wanted, deadline = text.encode(), time.monotonic() + seconds
        while wanted not in self.seen:
            if time.monotonic() > deadline:
                raise SystemExit(f"{self.argv} never showed {text!r}: {bytes(self.seen[-500:])!r}")
            select.select([self.master], [], [], 0.5)
            self.drain()
        return time.monotonic() - self.began

    @property
    def memory(self) -> float:
        """Resident memory in MB."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS")) / 1024

    @property
    def processor_seconds(self) -> float:
        fields = Path(f"/proc/{self.process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    @property
    def worked(self) -> float:
        """Seconds of processor time that the threads it has by now took: finer than the ticks above."""
        threads = Path(f"/proc/{self.process.pid}/task").glob("*/schedstat")
        return sum(int(thread.read_text().split()[0]) for thread in threads) / 1e9

    def stop(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        os.close(self.master)


@contextmanager
def running(*argvs: Sequence[str]) -> Iterator[list[Terminal]]:
    terminals = [Terminal(argv).start() for argv in argvs]
    try:
        yield terminals
    finally:
        for terminal in terminals:
            terminal.stop()


def board(path: Path, station: str) -> list[str]:
    return [python, "-m", "prepboard", "--file", str(path), "--by", "bm", "station", station]


def smallest() -> list[str]:
    return [python, "-c", SMALLEST]


def first_paint(path: Path, starts: int) -> None:
    """The two take turns, so that both meet the same machine."""
    figures: dict[str, list[float]] = {"smallest": [], "frame": [], "figures": []}
    worked: dict[str, list[float]] = {"smallest": [], "frame": [], "figures": []}
    memory: dict[str, list[float]] = {"smallest": [], "board": []}
    for _turn in range(starts):
        with running(smallest()) as (app,):
            figures["smallest"].append(app.until("smallest"))
            worked["smallest"].append(app.worked)
            settle([app], 0.5)
            memory["smallest"].append(app.memory)
        with running(board(path, "fish")) as (app,):
            figures["frame"].append(app.until("Reading"))
            worked["frame"].append(app.worked)
            app.until("UNDER WAY")
            figures["figures"].append(app.until("Zander"))
            worked["figures"].append(app.worked)
            settle([app], 0.5)
            memory["board"].append(app.memory)
    tell("first paint", figures, 1000, "ms")
    tell("processor time until then", worked, 1000, "ms")
    tell("memory", memory, 1, "MB")


def tell(what: str, of: Mapping[str, Sequence[float]], times: float, unit: str) -> None:
    """The best and the median of each, and both over those of the smallest application."""
    for name, values in of.items():
        best, middle = min(values), statistics.median(values)
        beside = f"{best / min(of['smallest']):.2f} and {middle / statistics.median(of['smallest']):.2f} x"
        print(f"{what}, {name}: best {best * times:.0f} {unit}, median {middle * times:.0f} {unit}; {beside}")


def settle(terminals: Sequence[Terminal], seconds: float) -> None:
    end = time.monotonic() + seconds
    while (rest := end - time.monotonic()) > 0:
        select.select([terminal.master for terminal in terminals], [], [], rest)
        for terminal in terminals:
            terminal.drain()


def idle(path: Path, seconds: float, boards: int = 16) -> None:
    for name, argv, text in (("smallest", smallest(), "smallest"), ("board", None, "TO MAKE")):
        argvs = [argv or board(path, STATIONS[at % len(STATIONS)]) for at in range(boards)]
        with running(*argvs) as terminals:
            for terminal in terminals:
                terminal.until(text, 120)
            settle(terminals, 6)
            before = [terminal.processor_seconds for terminal in terminals]
            settle(terminals, seconds)
            used = sum(terminal.processor_seconds for terminal in terminals) - sum(before)
        print(f"idle, {boards} x {name:9} {100 * used / seconds:6.1f} % of one core over {seconds:.0f} s")


def commit_to_text(path: Path, commits: int) -> None:
    from prepboard.book.amounts import read_amount
    from prepboard.store.actions.food.unknown import made
    from prepboard.store.file.who import Who
    from prepboard.store.kitchen_file import KitchenFile

    file, late = KitchenFile.open(path), []
    with running(*(board(path, station) for station in STATIONS)) as terminals:
        for terminal in terminals:
            terminal.until("UNDER WAY")
        settle(terminals, 3)
        for number in range(commits):
            mark = f"Trial{number:04}"
            made(file, Who("bx", "fish"), mark, read_amount("1 kg"))
            committed = time.monotonic()
            late.append(shown_after(terminals[0], mark, committed, terminals))
            settle(terminals, 0.15)
    file.close()
    late.sort()
    print(
        f"commit to text, 4 boards, n={commits}: p50 {at(late, 0.5):.0f} ms, p90 {at(late, 0.9):.0f} ms,"
        f" p99 {at(late, 0.99):.0f} ms, longest {late[-1]:.0f} ms"
    )


def shown_after(shows: Terminal, mark: str, committed: float, all_: Sequence[Terminal]) -> float:
    """Milliseconds from the commit until the text stands in that terminal's output."""
    while mark.encode() not in shows.seen:
        if time.monotonic() - committed > 10:
            raise SystemExit(f"{mark} was never shown")
        select.select([terminal.master for terminal in all_], [], [], 0.05)
        for terminal in all_:
            terminal.drain()
    shows.seen.clear()
    return (time.monotonic() - committed) * 1000


def at(values: Sequence[float], share: float) -> float:
    return values[min(len(values) - 1, int(share * len(values)))]


def main() -> None:
    global python
    asked = argparse.ArgumentParser()
    asked.add_argument("--commits", type=int, default=200)
    asked.add_argument("--idle", type=float, default=12)
    asked.add_argument("--starts", type=int, default=9)
    asked.add_argument("--python", default=sys.executable)
    wanted = asked.parse_args()
    python = wanted.python
    from prepboard.demo import build

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.db"
        build(path)
        parts: list[Callable[[], None]] = [
            lambda: first_paint(path, wanted.starts),
            lambda: commit_to_text(path, wanted.commits),
            lambda: idle(path, wanted.idle),
        ]
        for part, asked_for in zip(parts, (wanted.starts, wanted.commits, wanted.idle), strict=True):
            if asked_for:
                part()


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main()
