"""What a group costs, in processor time and bytes, which do not change with what else a machine does. Prints figures,
asserts nothing.

    python tests/benchmarks/group_costs.py

The actions are those of the demo kitchen (plates, runs, counts, readings), shipped one by one as they happen and in
packs as after two weeks without a line; and the same work in a kitchen by itself and in one of a group.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[2]))

from conftest import kitchen_file
from psycopg.conninfo import make_conninfo
from store.group.conftest import FOUR, GROUP, LITRE, NOW, SOUS

from prepboard.clock import FixedClock
from prepboard.demo import build
from prepboard.group.founding import Owner, connected, found, let_in, login_of
from prepboard.group.line import Line
from prepboard.group.own_server import OwnServer, laid_in
from prepboard.group.shipping import _as_json
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.opened import open_goods
from prepboard.store.actions.group.sending import dispatch
from prepboard.store.actions.handover import note
from prepboard.store.file.who import Who
from prepboard.store.group.shipping import Finished, finished
from prepboard.store.kitchen_file import KitchenFile

A_DAY = 300
"""Actions of a kitchen in a day."""

ALONE = (
    GROUP[: GROUP.index("[kitchens.central]")] + GROUP[GROUP.index("[stations.sauce]") :]
).replace('comes_from = "central"\n', "")  # fmt: skip


def seconds_of_server(server: OwnServer) -> float:
    """Processor seconds of all its processes that are there."""
    first = (server.data / "postmaster.pid").read_text("utf-8").split()[0]
    total = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            if first in (stat.parent.name, stat.read_text("utf-8").rpartition(")")[2].split()[1]):
                total += int((stat.parent / "schedstat").read_text("utf-8").split()[0])
        except OSError:
            continue
    return total / 1e9


def size(owner: Owner, *tables: str) -> int:
    owner.execute("CHECKPOINT")
    row = owner.execute(
        "SELECT sum(pg_total_relation_size(c.oid)) FROM pg_class AS c JOIN pg_namespace AS n ON n.oid = c.relnamespace"
        " WHERE n.nspname = 'prepboard' AND c.relkind = 'r' AND (c.relname ~ %s)",
        [f"^({'|'.join(tables)})(_[0-9])?$"],
    ).fetchone()
    return int(row[0]) if row else 0


async def shipped(server: OwnServer, actions: list[Finished], at_once: int, kitchen: str) -> tuple[float, float]:
    """Processor milliseconds an action, of the server and of whoever ships."""
    line = Line(make_conninfo(server.url, user=login_of(kitchen)), deadline=60)
    assert (await line.ask("stand", "s", "f", 600, 0, ""))["said"] == "yours"
    before, mine = seconds_of_server(server), time.process_time()
    for first in range(0, len(actions), at_once):
        said = await line.ask("ship", "s", [_as_json(one) for one in actions[first : first + at_once]])
        assert said["said"] == "in", said
    spent = seconds_of_server(server) - before, time.process_time() - mine
    await line.hang_up()
    return 1000 * spent[0] / len(actions), 1000 * spent[1] / len(actions)


def of_the_server(folder: Path) -> tuple[float, float]:
    """Milliseconds and bytes an action."""
    build(folder / "demo.db")
    file = KitchenFile.open(folder / "demo.db", FixedClock(NOW))
    actions = finished(file, 0, 10**6)
    file.close()
    server = laid_in(folder / "pg")
    server.start()
    try:
        with connected(server.url) as owner:
            found(owner)
            for kitchen in ("one", "packs"):
                let_in(owner, kitchen)
            owner.execute("VACUUM")
            empty = size(owner, "lines", "actions")
            one = asyncio.run(shipped(server, actions, 1, "one"))
            each = (size(owner, "lines", "actions") - empty) / len(actions)
            packs = asyncio.run(shipped(server, actions, 200, "packs"))
    finally:
        server.stop()
    lines = sum(len(action.lines) for action in actions)
    print(f"{len(actions)} actions of the demo kitchen, {lines / len(actions):.1f} lines of the log each:")
    print(f"  one by one: {one[0]:.2f} ms of the server's processor an action, {one[1]:.2f} ms of the shipper's;"
          f" in packs of 200: {packs[0]:.2f} and {packs[1]:.2f}")  # fmt: skip
    print(f"  {each:.0f} bytes an action in PostgreSQL with its indexes")
    print(
        f"  40 kitchens, 2 actions a second in all: {2 * one[0] / 10:.1f} % of a core; 2 each: {80 * one[0] / 10:.0f} %"
    )
    print(f"  two weeks of one kitchen ({14 * A_DAY} actions) in packs: {14 * A_DAY * sum(packs) / 1000:.1f} s of"
          " processor time on both sides")  # fmt: skip
    return one[0], each


def on_paper(ms: float, each: float, kitchens: int = 1000) -> None:
    for most in (A_DAY, 3 * A_DAY):
        a_year = kitchens * most * 365 * each
        print(f"on paper, {kitchens} kitchens of {most} actions a day: {kitchens * most / 86400:.1f} a second over the"
              f" day, {a_year / 1e9:.0f} GB a year")  # fmt: skip
    print(f"  100 actions a second at peak: {100 * ms / 10:.0f} % of one core; one core takes {1000 / ms:.0f} a second")


def worked(folder: Path, name: str, book: str, times: int = 120) -> None:
    """What a cook does with a file, by itself or in a group that it has been in for a while."""
    who, alone = Who("lm", "sauce"), "[kitchens" not in book
    here = "" if alone else 'this_kitchen = "central"\n'
    file = kitchen_file(folder / name, NOW, SOUS, kitchen=f'name = "{name}"\n{here}{book}')
    for n in range(40):
        open_goods(file, who, "cream", lot=f"L{n}")
        batch = done(file, who, prep="onion-cream").batches[0]
        if not alone:
            dispatch(file, who, ("north", "south")[n % 2], batch, LITRE, FOUR)
    before, began = bytes_of(file), time.process_time()
    for n in range(times):
        note(file, who, f"note {n}")
        done(file, who, prep="soup" if n % 3 == 0 else "onion-cream")
    spent = time.process_time() - began
    mid = time.process_time()
    for _n in range(50):
        file.read()
    read = time.process_time() - mid
    grew = (bytes_of(file) - before) / times / 2
    print(f"  {name}: {1000 * spent / times / 2:.1f} ms an action, {grew:.0f} bytes an action;"
          f" {1000 * read / 50:.1f} ms to read all")  # fmt: skip
    file.close()


def bytes_of(file: KitchenFile) -> int:
    with file.looking() as db:
        return int(db.execute("PRAGMA page_count").fetchone()[0] * db.execute("PRAGMA page_size").fetchone()[0])


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        (folder / "pg").mkdir()
        on_paper(*of_the_server(folder))
        print("a kitchen's file:")
        worked(folder, "by itself", ALONE)
        worked(folder, "in a group", GROUP)


if __name__ == "__main__":
    main()
