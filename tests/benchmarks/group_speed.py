"""How fast kitchens of a group hear of one another, and what the group costs. Prints figures, asserts nothing.

    python tests/benchmarks/group_speed.py [--only pair,hold,forty,weeks,idle]

A real PostgreSQL on this machine, real shipper processes for the pair and at rest; the forty are tasks of one process.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import resource
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[2]))

from group.disasters import book_of
from psycopg.conninfo import make_conninfo
from store.group.conftest import FOUR, LITRE, InGroup, in_group

from prepboard.group.founding import connected, found, let_in, login_of
from prepboard.group.line import Line
from prepboard.group.own_server import own_server
from prepboard.group.shipper import Round, one_round, run
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.joining import join
from prepboard.store.actions.group.receiving import receive
from prepboard.store.actions.group.sending import dispatch
from prepboard.store.actions.handover import note
from prepboard.store.read.delivery_note import written

STANDS = "SELECT action FROM prepboard.standing WHERE kitchen = %s"
ROOT = Path(__file__).resolve().parents[2]


def set_up(folder: Path, office: str, outlets: tuple[str, ...]) -> dict[str, InGroup]:
    kitchens = {name: in_group(folder, name, book_of(outlets)) for name in ("central", *outlets)}
    with connected(office) as owner:
        owner.execute("DROP SCHEMA IF EXISTS prepboard CASCADE")
        found(owner)
        for name, one in kitchens.items():
            let_in(owner, name)
            join(one.file, one.sous, url_of(office, name))
    return kitchens


def url_of(office: str, kitchen: str) -> str:
    return make_conninfo(office, user=login_of(kitchen))


@contextmanager
def shippers(*kitchens: InGroup) -> Iterator[list[subprocess.Popen[bytes]]]:
    began = [
        subprocess.Popen([sys.executable, "-m", "prepboard", "--file", str(one.file.path), "group", "ship"],
                         cwd=ROOT, stdout=subprocess.DEVNULL)
        for one in kitchens
    ]  # fmt: skip
    try:
        time.sleep(3)
        yield began
    finally:
        for one in began:
            one.terminate()
            one.wait()


def until(db: sqlite3.Connection, question: str, *values: object) -> float:
    """Seconds until it answers something; nan after ten."""
    began = time.perf_counter()
    while time.perf_counter() - began < 10:
        if db.execute(question, values).fetchone():
            return time.perf_counter() - began
        time.sleep(0.001)
    return float("nan")


def said(name: str, seconds: list[float]) -> None:
    ms = sorted(one * 1000 for one in seconds)
    p99 = ms[min(len(ms) - 1, len(ms) * 99 // 100)]
    print(f"{name}: p50 {ms[len(ms) // 2]:.0f} ms, p99 {p99:.0f} ms, {len(ms)} times")


def pair(folder: Path, office: str) -> None:
    kitchens = set_up(folder, office, ("north", "south"))
    central, north = kitchens["central"], kitchens["north"]
    db = sqlite3.connect(north.file.path, isolation_level=None)
    took = []
    batches = [central.makes_cream() for _n in range(25)]
    with shippers(central, north):
        for n in range(100):
            dispatch(central.file, central.cook, "north", batches[n // 4], LITRE // 2, FOUR)
            (id_,) = central.select("SELECT id FROM transfers ORDER BY rowid DESC LIMIT 1")[0]
            took.append(until(db, "SELECT 1 FROM transfers WHERE id = ?", id_))
            time.sleep(0.05)
    said("a dispatch committed in one file, in the other's", took)


def hold(folder: Path, office: str) -> None:
    kitchens = set_up(folder, office, ("north", "south"))
    central, north = kitchens["central"], kitchens["north"]
    for _n in range(60):
        sent = central.sent(central.sends("north", central.makes_cream("L9")))
        receive(north.file, north.cook, written(sent), FOUR)
    db = sqlite3.connect(north.file.path, isolation_level=None)
    with shippers(central, north) as ships:
        time.sleep(4)
        mine, theirs = processor(), seconds_of(ships[1].pid)
        began = time.perf_counter()
        withdraw(central.file, central.sous, "cream", "glass", lot="L9", sure=True)
        own, mine = time.perf_counter() - began, processor() - mine
        until(db, "SELECT 1 FROM withdrawals WHERE goods = 'cream' AND lot = 'L9'")
        took = time.perf_counter() - began - own
        theirs = seconds_of(ships[1].pid) - theirs
        kept = sum(not batch.answer(north.clock.at).may for batch in north.file.read().batches)
        print(f"{kept} of 60 batches held back in the other kitchen {1000 * took:.0f} ms after that was saved"
              f" ({1000 * own:.0f} ms); processor: {1000 * mine:.0f} ms to save, {1000 * theirs:.0f} ms in the other"
              " kitchen's shipper by then")  # fmt: skip


async def forty(folder: Path, office: str, seconds: int = 20) -> None:
    names = ("north", "south", *(f"outlet-{n}" for n in range(3, 40)))
    kitchens = set_up(folder, office, names)
    lines = {name: Line(url_of(office, name)) for name in kitchens}
    heard: list[Round] = []
    tasks = [asyncio.create_task(run(one.file, lines[name], heard.append)) for name, one in kitchens.items()]
    await asyncio.sleep(8)
    before, began, mine = server_seconds(), time.monotonic(), processor()
    ages, n = [], 0
    with connected(office) as owner:
        while time.monotonic() - began < seconds:
            one = list(kitchens.values())[n % len(kitchens)]
            note(one.file, one.cook, f"note {n}")
            saved = time.perf_counter()
            n += 1
            want = one.select("SELECT max(number) FROM actions")[0][0]
            name = list(kitchens)[(n - 1) % len(kitchens)]
            while owner.execute("SELECT action FROM prepboard.standing WHERE kitchen = %s", [name]).fetchone() != (
                want,
            ):
                await asyncio.sleep(0.005)
                if time.perf_counter() - saved > 5:
                    break
            ages.append(time.perf_counter() - saved)
            await asyncio.sleep(max(0, began + n / 2 - time.monotonic()))
    spent = time.monotonic() - began
    for task in tasks:
        task.cancel()
    await asyncio.gather(*tasks, return_exceptions=True)
    said(f"{len(kitchens)} kitchens, {n / spent:.1f} actions a second, in at the group", ages)
    server, each = (100 * used / spent for used in (server_seconds() - before, (processor() - mine) / len(kitchens)))
    print(
        f"  the server took {server:.2f} % of one core, {10 * server * spent / n:.1f} ms an action;"
        f" a shipper {each:.2f} %"
    )


async def weeks(folder: Path, office: str, days: int = 14, a_day: int = 300) -> None:
    kitchens = set_up(folder, office, ("north", "south"))
    north = kitchens["north"]
    for n in range(days * a_day):
        note(north.file, north.cook, f"note {n}")
    line = Line(url_of(office, "north"), deadline=60)
    began = time.perf_counter()
    now = await one_round(north.file, line, "s")
    took = time.perf_counter() - began
    await line.hang_up()
    print(
        f"{now.shipped.actions if now.shipped else 0} actions of {days} days without a line are in after {took:.1f} s"
    )


def idle(folder: Path, office: str, seconds: int = 30) -> None:
    kitchens = set_up(folder, office, ("north", "south"))
    with shippers(kitchens["north"]) as (one,):
        time.sleep(3)
        before = seconds_of(one.pid)
        time.sleep(seconds)
        print(f"a shipper at rest: {100 * (seconds_of(one.pid) - before) / seconds:.2f} % of one core over {seconds} s")


def processor() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def seconds_of(pid: int) -> float:
    """Processor seconds of a process; the ticks of `stat` are too coarse for what rests most of the time."""
    return int(Path(f"/proc/{pid}/schedstat").read_text("utf-8").split()[0]) / 1e9


def server_seconds() -> float:
    """Processor seconds of all PostgreSQL processes on this machine, those that ended among them."""
    total, ticks = 0.0, os.sysconf("SC_CLK_TCK")
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            name, _, rest = stat.read_text("utf-8").rpartition(")")
            if name.endswith("(postgres"):
                ended = sum(map(int, rest.split()[13:15])) / ticks
                total += seconds_of(int(stat.parent.name)) + ended
        except OSError:
            continue
    return total


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--only", default="pair,hold,forty,weeks,idle")
    only = asked.parse_args().only.split(",")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        with own_server(folder / "pg") as office:
            for which in only:
                (folder / which).mkdir()
                measured = {"pair": pair, "hold": hold, "forty": forty, "weeks": weeks, "idle": idle}[which]
                result = measured(folder / which, office)
                if result is not None:
                    asyncio.run(result)


if __name__ == "__main__":
    main()
