"""Forty kitchens with real shipper processes and a real PostgreSQL, while a hundred things go wrong: what was lost,
doubled or is told differently at the end, and what only a person can know.

    python tests/benchmarks/group_disasters.py [DISASTERS] [SEED] [OUTLETS]

Shippers and the server are killed (SIGKILL), lines are cut, go silent or lose all answers, packs come twice, files and
the server are set back, clocks jump by 20 minutes, bad news stands among the good, a copied file ships under the same
name. Prints what happened, and what came of it.
"""

from __future__ import annotations

import asyncio
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from random import Random
from types import SimpleNamespace
from typing import Any, cast

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[2]))

from group.conftest import Group
from group.disasters import Drawn, book_of
from group_lines import How, Lines
from psycopg import Error
from psycopg.conninfo import make_conninfo
from store.group.conftest import NOW, InGroup, in_group

from prepboard.clock import FixedClock
from prepboard.group.founding import Owner, connected, found, let_in, login_of
from prepboard.group.line import Line
from prepboard.group.own_server import NoServer, OwnServer, laid_in
from prepboard.group.shipping import _as_json
from prepboard.plan.leftovers.vans import coming, to_answer_for
from prepboard.store.actions.food.holding import unblock
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.joining import join
from prepboard.store.actions.handover import note
from prepboard.store.actions.loading import set_clock
from prepboard.store.file.who import Refused
from prepboard.store.group.shipping import finished, last_line
from prepboard.store.health.restoring import backup, restore
from prepboard.store.kitchen_file import KitchenFile

ROOT = Path(__file__).resolve().parents[2]

WORK = (
    ("make", 3), ("dispatch", 8), ("receive", 9), ("take_back", 1), ("use", 2), ("undo", 2), ("hold", 1),
    ("acknowledge", 1), ("order", 2), ("answer", 1), ("settle", 1),
)  # fmt: skip
"""What people do between two disasters, and how often."""

WORDS = "SELECT id, sent_at || ifnull(back_at, '') || got_turn || ifnull(settled_at, '') FROM transfers"
"""What a file says of each transfer."""

PATIENCE = 60
"""Seconds for a server that was killed to come again."""

QUIET_WITHIN = 240
"""Seconds within which all is to be told once everything works again: a killed shipper's lease lasts a minute."""


class Shippers:
    """A `prepboard group ship` for each file, as processes; one that ended by itself is started again, as a service of
    the machine would."""

    def __init__(self) -> None:
        self.files: dict[str, Path] = {}
        self.running: dict[str, subprocess.Popen[bytes]] = {}
        self.ended = 0

    def start(self, name: str, path: Path) -> None:
        self.files[name] = path
        env = {key: value for key, value in os.environ.items() if key != "PREPBOARD_NOW"}
        self.running[name] = subprocess.Popen(
            [sys.executable, "-m", "prepboard", "--file", str(path), "group", "ship"], cwd=ROOT, env=env,
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def kill(self, name: str) -> None:
        one = self.running.pop(name, None)
        if one is not None:
            one.send_signal(signal.SIGKILL)
            one.wait()

    def look(self, but: set[str]) -> None:
        for name, one in list(self.running.items()):
            if one.poll() is not None:
                self.ended += 1
                del self.running[name]
        for name, path in self.files.items():
            if name not in self.running and name not in but:
                self.start(name, path)

    def end(self) -> None:
        for name in list(self.running):
            self.kill(name)


class Disasters(Drawn):
    """The same people as in the drawn evenings; lines, shippers and the server are real."""

    def __init__(self, server: OwnServer, lines: Lines, folder: Path, seed: int, outlets: tuple[str, ...]) -> None:
        self.server, self.way, self.folder = server, lines, folder
        self.random, self.outlets, self.names = Random(seed), outlets, ("central", *outlets)
        self.kitchens = {name: self._kitchen(name) for name in self.names}
        self.copies = {name: [] for name in self.names}
        self.happened, self.forgotten, self.settled, self.lines = Counter[str](), set(), {}, {}
        self.shippers, self.server_copies = Shippers(), list[Path]()
        self.untold: set[str] = set()
        """Transfers of which the group did not have, or lost, what a file then lost as well."""
        self.ill: dict[str, float] = {}
        """Lines that are not whole, until when."""
        self.twin: tuple[str, KitchenFile, float] | None = None
        self.asked_for_a_person = self.made = 0

    def _kitchen(self, name: str) -> InGroup:
        made = in_group(self.folder, name, book_of(self.outlets))
        url = make_conninfo(host="127.0.0.1", port=str(self.way.ports[name]), dbname="postgres", user=login_of(name))
        join(made.file, made.sous, url)
        set_clock(made.file, NOW + timedelta(minutes=self.random.choice((-20, 0, 20))), made.sous)
        path = made.file.path
        made.file.close()
        file = KitchenFile.open(path, random=Random(name))
        file.patience = 60  # forty shippers on a machine for one

        class Clock:
            at = property(lambda _self: file.clock.now())

        return InGroup(file, cast(FixedClock, Clock()))

    @property
    def owner(self) -> Owner:
        """A connection of its own each time: the server comes and goes."""
        return connected(self.server.url)

    # What people do

    def make(self, one: InGroup) -> None:
        self.made += 1
        one.makes_cream(f"L{self.made // 3}")

    def hold(self, one: InGroup) -> None:
        """Of the lots of late; now and then one is let go of."""
        if self.random.random() < 0.3:
            unblock(one.file, one.sous, "cream", "it was none")
        else:
            lot = f"L{max(0, self.made // 3 - self.random.randrange(1, 4))}"
            withdraw(one.file, one.sous, "cream", "glass", lot=lot, sure=True)

    # What goes wrong

    def shipper_killed(self, one: InGroup) -> None:
        self.shippers.kill(self.name(one))

    def server_killed(self, _one: InGroup) -> None:
        """The postmaster and all that it began."""
        kill_all_in(self.server.data)
        time.sleep(self.random.uniform(0.5, 3))
        start_again(self.server)

    def server_copied(self) -> None:
        copy = self.folder / f"server-{len(self.server_copies)}"
        self.server.stop()
        shutil.copytree(self.server.data, copy)
        self.server.start()
        self.server_copies.append(copy)

    def server_set_back(self, _one: InGroup) -> None:
        """Its data are what they were when a copy was made."""
        before = self.in_group()
        self.server.stop()
        shutil.rmtree(self.server.data)
        shutil.copytree(self.random.choice(self.server_copies), self.server.data)
        for path in (self.server.data, *self.server.data.rglob("*")):
            if self.server.as_whom is not None:
                os.chown(path, self.server.as_whom, -1)
        self.server.data.chmod(0o700)
        self.server.start()
        after = self.in_group()
        self.untold |= {id_ for id_, words in before.items() if after.get(id_) != words}

    def in_group(self) -> dict[str, str]:
        """What the group has of each transfer."""
        with self.owner as owner:
            return dict(
                owner.execute("SELECT id, concat(sent_at, back_at, got_turn, settled) FROM prepboard.transfers")
            )

    def line_cut(self, one: InGroup) -> None:
        self._ill(one, "cut")

    def line_silent(self, one: InGroup) -> None:
        self._ill(one, "silent")

    def answers_lost(self, one: InGroup) -> None:
        """What was sent arrived, and is sent once more."""
        self._ill(one, "deaf")
        note(one.file, one.cook, "so that there is something to ship")

    def _ill(self, one: InGroup, how: How) -> None:
        name = self.name(one)
        self.way.make(name, how)
        self.ill[name] = time.monotonic() + self.random.uniform(3, 15)

    def pack_doubled(self, one: InGroup) -> None:
        """A pack that arrived long ago comes again, in the shipper's name."""
        asyncio.run(self._doubled(one))

    async def _doubled(self, one: InGroup) -> None:
        name = self.name(one)
        with self.owner as owner:
            row = owner.execute("SELECT shipper FROM prepboard.standing WHERE kitchen = %s", [name]).fetchone()
        line = Line(make_conninfo(self.server.url, user=login_of(name)))
        pack = finished(one.file, one.select("SELECT value FROM settings WHERE name = 'group since line'")[0][0], 400)
        await line.ask("ship", row[0] if row else "", [_as_json(action) for action in pack])
        await line.hang_up()

    def file_set_back(self, _one: InGroup) -> None:
        name = self.random.choice([name for name, copies in self.copies.items() if copies])
        one, copies = self.kitchens[name], self.copies[name]
        before, told = dict(one.select(WORDS)), self.in_group()
        restore(one.file, one.sous, self.random.choice(copies), sure=True)
        one.file.clock = one.file.kept_clock() or one.file.clock
        after = dict(one.select(WORDS))
        lost = {id_ for id_, words in before.items() if after.get(id_) != words}
        self.forgotten |= lost
        self.untold |= lost - set(told)

    def clock_jumps(self, one: InGroup) -> None:
        set_clock(one.file, one.clock.at + timedelta(minutes=self.random.choice((-20, 20))), one.sous)

    def bad_news(self, one: InGroup) -> None:
        with self.owner as owner:
            owner.execute("SELECT prepboard.tell(%s, 'sent', 'nothing', '{\"amount\": \"none\"}')", [self.name(one)])

    def copied_file(self, one: InGroup) -> None:
        """A copy of a kitchen's file goes its own way on another machine, and ships while the kitchen's own shipper is
        gone for longer than its lease."""
        if self.twin is not None:
            return
        name, path = self.name(one), self.folder / f"twin-{self.name(one)}-{time.monotonic_ns()}.db"
        backup(one.file, path)
        twin = KitchenFile.open(path, random=Random(1))
        note(twin, one.cook, "done on the copy")
        note(one.file, one.cook, "done in the kitchen")
        self.shippers.kill(name)
        self.shippers.start(f"twin of {name}", path)
        self.twin = (name, twin, time.monotonic() + 70)

    WRONG: tuple[tuple[str, int], ...] = (
        ("shipper_killed", 24), ("server_killed", 8), ("server_set_back", 5), ("line_cut", 12), ("line_silent", 12),
        ("answers_lost", 9), ("pack_doubled", 8), ("file_set_back", 9), ("clock_jumps", 6), ("bad_news", 4),
        ("copied_file", 3),
    )  # fmt: skip

    # The walk

    def go_wrong(self, disasters: int, busy: int = 12) -> None:
        for name, one in self.kitchens.items():
            self.shippers.start(name, one.file.path)
        deck = [name for name, often in self.WRONG for _n in range(max(1, round(often * disasters / 100)))]
        self.random.shuffle(deck)
        work, often = zip(*WORK, strict=True)
        self.make(self.central)
        self.copy(self.central)
        for number, disaster in enumerate(deck[:disasters]):
            if number % 25 == 0:
                self.server_copied()
            for step in self.random.choices(work, often, k=busy):
                self._do(step, self._at_work(step))
            if self.random.random() < 0.3:
                self.copy(self._anybody())
            self._do(disaster, self._anybody())
            self._mend()

    def _at_work(self, step: str) -> InGroup:
        if step in ("make", "dispatch", "answer", "take_back"):
            return self.central
        if step == "receive":
            waiting = self.central.select("SELECT receiver FROM transfers WHERE got = '' AND back_at IS NULL")
            return self.kitchens[self.random.choice(waiting)[0]] if waiting else self._anybody()
        return self._anybody()

    def _anybody(self) -> InGroup:
        # Half of what happens, happens to few of them: one disaster comes upon the other.
        some = self.names if self.random.random() < 0.5 else self.names[:4]
        return self.kitchens[self.random.choice(some)]

    def _do(self, step: str, one: InGroup) -> None:
        act: Callable[[InGroup], Any] = getattr(self, step)
        try:
            act(one)
            self.happened[step] += 1
        except (Refused, IndexError):
            self.happened[f"{step} refused"] += 1

    def _mend(self) -> None:
        """Lines that were ill long enough are whole again, shippers are started again; whoever is stopped by a file
        of the same name is helped by a person."""
        for name, until in list(self.ill.items()):
            if time.monotonic() > until:
                del self.ill[name]
                self.way.make(name, "whole")
        waiting = set()
        if self.twin is not None:
            name, twin, until = self.twin
            if time.monotonic() > until:
                self.shippers.kill(f"twin of {name}")
                del self.shippers.files[f"twin of {name}"]
                twin.close()
                self.twin = None
            else:
                waiting = {name}
        self.shippers.look(waiting)
        with suppress(Error):
            self._help(waiting)

    def _help(self, waiting: set[str]) -> None:
        """The kitchen's file is the right one: that is said by putting a copy of itself in its place."""
        with self.owner as owner:
            stopped = [row[0] for row in owner.execute("SELECT kitchen FROM prepboard.standing WHERE stopped <> ''")]
        for name in set(stopped) - waiting:
            one = self.kitchens[name]
            path = self.folder / f"{name}-{time.monotonic_ns()}.right"
            backup(one.file, path)
            restore(one.file, one.sous, path, sure=True)
            self.asked_for_a_person += 1

    def wait_until_quiet(self) -> float:
        began = time.monotonic()
        for name in list(self.ill):
            self.way.make(name, "whole")
        self.ill.clear()
        while time.monotonic() - began < QUIET_WITHIN:
            self._mend()
            if self.twin is None and not self._unsaid():
                time.sleep(3)  # what was just heard may be something to tell
                if not self._unsaid():
                    return time.monotonic() - began
            time.sleep(1)
        for name in (one.split()[0] for one in self._unsaid()):
            asked = [sys.executable, "-m", "prepboard", "--file", str(self.kitchens[name].file.path), "group", "status"]
            print(name, subprocess.run(asked, cwd=ROOT, capture_output=True, text=True, check=False).stdout[:2000])
        raise AssertionError(f"they never have said all: {self._unsaid()}")

    def _unsaid(self) -> list[str]:
        with self.owner as owner:
            rows = owner.execute("SELECT kitchen, line, told, heard FROM prepboard.standing JOIN prepboard.inboxes"
                                 " USING (kitchen)").fetchall()  # fmt: skip
        return [f"{name} {line}/{last_line(self.kitchens[name].file)[0]} {heard}/{told}"
                for name, line, told, heard in rows
                if line != last_line(self.kitchens[name].file)[0] or heard != told]  # fmt: skip

    # What came of it

    def told(self) -> tuple[list[str], list[str]]:
        """What is wrong, and what nobody can know but is listed for a person in the kitchen that it concerns."""
        with self.owner as owner:
            self.group = Group(self.server.url, owner)
            wrong = self.wrong()
            listed = {about for (about,) in owner.execute("SELECT about FROM prepboard.news WHERE refused <> ''")}
        for one in self.kitchens.values():
            state = one.file.read()
            listed |= {sent.id for sent in (*coming(state), *to_answer_for(state, one.clock.at))}
        nobody_knows = self.forgotten & self.untold & listed
        unknown = [one for one in wrong if one.split(":")[0] in nobody_knows]
        sets = {"a file forgot it": self.forgotten, "untold then": self.untold, "listed": listed}
        why = {one: [name for name, of in sets.items() if one.split(":")[0] in of] for one in wrong}
        return [f"{one} {why[one]}" for one in wrong if one not in unknown], unknown


def kill_all_in(data: Path) -> None:
    """Kills all processes that work in a server's folder, the first one first, so that it begins no more."""
    first = int((data / "postmaster.pid").read_text("utf-8").split()[0])
    pids = [first]
    while pids:
        for pid in pids:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        time.sleep(0.05)
        pids = []
        for folder in Path("/proc").glob("[0-9]*/cwd"):
            with suppress(OSError):
                if folder.readlink() == data and "Z" not in (folder.parent / "stat").read_text("utf-8").split()[2]:
                    pids.append(int(folder.parent.name))
    # In a container nobody takes leave of processes that ended, and the first one's number looks alive.
    for lock in (data / "postmaster.pid", data.parent / ".s.PGSQL.5432.lock", data.parent / ".s.PGSQL.5432"):
        lock.unlink(missing_ok=True)


def start_again(server: OwnServer) -> None:
    """As a service of the machine would: on a busy one what was killed may hold its memory for a while."""
    until = time.monotonic() + PATIENCE
    while True:
        try:
            return server.start()
        except NoServer:
            if time.monotonic() > until:
                raise
        time.sleep(1)


def main() -> None:
    given = [int(word) for word in sys.argv[1:]]
    disasters, seed, n = (*given, *(100, 1, 39)[len(given) :])
    outlets = tuple(("north", "south", *(f"outlet-{k}" for k in range(3, n + 1)))[:n])
    names = ("central", *outlets)
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        server = laid_in(folder / "pg", "-c max_connections=300")
        server.start()
        with connected(server.url) as owner:
            found(owner)
            for kitchen in names:
                let_in(owner, kitchen)
        with Lines(server.folder / ".s.PGSQL.5432", names) as lines:
            walk = Disasters(server, lines, folder, seed, outlets)
            try:
                walk.go_wrong(disasters)
                wrong_for = time.monotonic() - began
                quiet = walk.wait_until_quiet()
                said(walk, disasters, wrong_for, quiet)
            finally:
                walk.shippers.end()
                server.stop()


def said(walk: Disasters, disasters: int, wrong_for: float, quiet: float) -> None:
    wrong, unknown = walk.told()
    with walk.owner as owner:
        sent, actions = (owner.execute(f"SELECT count(*) FROM prepboard.{table}").fetchone() or (0,)
                         for table in ("transfers", "actions"))  # fmt: skip
        not_taken_in = owner.execute("SELECT count(*) FROM prepboard.news WHERE refused <> ''").fetchone() or (0,)
        statuses = SimpleNamespace(lost=0)
        for kitchen in walk.names:
            with connected(make_conninfo(walk.server.url, user=login_of(kitchen))) as its:
                (status,) = its.execute("SELECT prepboard.status()").fetchone() or ({},)
                statuses.lost += len(status["lost"])
    lost = [one for one in wrong if "never heard" in one or "says nothing" in one]
    doubled = [one for one in wrong if "twice" in one]
    print(f"{len(walk.names)} kitchens, {disasters} disasters in {wrong_for:.0f} s; all was told {quiet:.0f} s after"
          " the last")  # fmt: skip
    print("  " + ", ".join(f"{name} {n}" for name, n in sorted(walk.happened.items())))
    print(f"  {sum(walk.way.lost_answers.values())} answers lost, {walk.shippers.ended} shippers ended by themselves,"
          f" {walk.asked_for_a_person} times a person said which of two files is right")  # fmt: skip
    print(f"{sent[0]} transfers, {actions[0]} actions: lost {len(lost)}, doubled {len(doubled)}, told differently"
          f" {len(wrong) - len(lost) - len(doubled)}, unknown {len(unknown)}")  # fmt: skip
    print(f"  listed for a person: {not_taken_in[0]} that could not be taken in, {statuses.lost} that a file put back"
          " does not hold any more")  # fmt: skip
    for one in wrong[:20]:
        print(f"  wrong: {one}")


if __name__ == "__main__":
    main()
