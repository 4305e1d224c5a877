"""One evening between three kitchens, in which something goes wrong at one moment of a shipper's work: before or after
any of its calls, before or after any of its transactions in the file.

Which moment it is, is counted: so every moment can be had, one after the other, and the same again.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

from group.conftest import Group
from group.disasters import Drawn
from store.group.conftest import FOUR, LITRE, InGroup

from prepboard.group.line import Away, Line
from prepboard.group.shipper import one_round
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.receiving import receive
from prepboard.store.actions.group.sending import settle, take_back
from prepboard.store.actions.handover import note
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.health.restoring import backup, restore
from prepboard.store.kitchen_file import KitchenFile

TABLES = (
    "standing", "branches", "lines", "actions", "transfers", "holds", "holds_seen", "orders", "refused",
    "inboxes", "news",
)  # fmt: skip

WRONG = (
    "killed", "file back", "file back, killed", "server back", "file and server back", "server and file back", "twin",
    "clock back",
)  # fmt: skip
"""What goes wrong at the moment. A file is put back while its shipper works, or its shipper is killed with it; the
server is put back as well, sooner or later; a copy of the file ships under its name; its clock is found to be ahead."""


class Killed(BaseException):
    """A shipper, at this moment."""


class Moments(Line):
    """A line whose calls are moments: before each, and after what was asked is done and not answered yet."""

    def __init__(self, evening: Stopped, name: str) -> None:
        super().__init__(evening.group.url_of(name))
        self.evening, self.name = evening, name

    async def ask(self, function: str, *given: Any) -> Any:
        await self.evening.may_go_wrong(self.name, f"before {function}")
        said = await super().ask(function, *given)
        await self.evening.may_go_wrong(self.name, f"after {function}")
        return said


def empty(group: Group) -> None:
    """The group is as it was founded."""
    for table in (
        "settled_early",
        "branches",
        "lines",
        "actions",
        "transfers",
        "holds",
        "holds_seen",
        "orders",
        "refused",
        "news",
    ):
        if group.owner.execute("SELECT to_regclass(%s)", [f"prepboard.{table}"]).fetchone() != (None,):
            group.owner.execute(f"DELETE FROM prepboard.{table}")
    group.owner.execute(
        "UPDATE prepboard.standing SET file = '', branch = 1, line = 0, chain = '', action = 0, stopped = '',"
        " shipper = '', shipper_until = '-infinity'"
    )
    group.owner.execute("UPDATE prepboard.inboxes SET told = 0, heard = 0")
    for n in range(9):
        group.owner.execute(f"DROP SCHEMA IF EXISTS copy_{n} CASCADE")


class Stopped(Drawn):
    """The evening; at the moment `at` of the shipper of `whom`, `wrong` happens, with copies that were made before hour
    `hour`."""

    def __init__(self, group: Group, folder: Path, at: int, wrong: str, whom: str, hour: int) -> None:
        empty(group)
        super().__init__(group, folder, 0)
        self.at, self.what, self.whom, self.hour = at, wrong, whom, hour
        self.moment = 0
        self.shippers = dict.fromkeys(self.names, 0)
        self.said: list[str] = []
        """The moments of that shipper, in words."""
        self.server_copies = 0
        self.shipping = {name: Moments(self, name) for name in self.names}
        """The line of each shipper, open until it is killed."""
        self.twin: KitchenFile | None = None
        """A copy of that kitchen's file that is still to ship."""

    async def evening(self) -> None:
        """What people do, hour by hour, and what is shipped of it."""
        await self.on_their_way()
        await self.hour_is_over()
        await self.taken_in()
        await self.hour_is_over()
        await self.back_and_answered_for()
        await self.hour_is_over()
        await self.all_ship()
        self.at = -1
        self.lease_is_over()
        if self.what == "twin":
            self.say_it_is_the_right_one(self.kitchens[self.whom])
        await self.quiet()

    def say_it_is_the_right_one(self, one: InGroup) -> None:
        backup(one.file, self.folder / "right.db")
        restore(one.file, one.sous, self.folder / "right.db", sure=True)

    async def on_their_way(self) -> None:
        central = self.central
        self.batch = central.makes_cream("L1")
        self.first, self.second = central.sends("north", self.batch, 1), central.sends("south", self.batch, 0.5)
        await self.all_ship()

    async def taken_in(self) -> None:
        north, south = self.kitchens["north"], self.kitchens["south"]
        self.third = self.central.sends("north", self.batch, 0.25)
        await self.all_ship()
        with self.may_be_unknown():
            receive(north.file, north.cook, self.first, FOUR, amount=LITRE // 2)
        with self.may_be_unknown():
            receive(south.file, south.cook, self.second, FOUR)
        with self.may_be_unknown():
            undo(south.file, south.cook)
        await self.all_ship()

    async def back_and_answered_for(self) -> None:
        north, south = self.kitchens["north"], self.kitchens["south"]
        with self.may_be_unknown():
            take_back(self.central.file, self.central.cook, self.third, FOUR)
        with self.may_be_unknown():
            receive(south.file, south.cook, self.second, FOUR)
        with self.may_be_unknown():
            settle(north.file, north.cook, self.first, "a box fell")
        withdraw(self.central.file, self.central.sous, "cream", "glass", lot="L1", sure=True)
        await self.all_ship()

    @contextmanager
    def may_be_unknown(self) -> Iterator[None]:
        """A kitchen whose file was put back has nothing to do it with."""
        try:
            yield
        except Refused:
            if self.at >= 0 and self.moment < self.at:
                raise

    async def hour_is_over(self) -> None:
        for one in self.kitchens.values():
            one.later(hours=1)
            self.copy(one)
        self.copy_server()

    async def all_ship(self) -> None:
        for _turn in range(2):
            for name in self.names:
                await self.ships(name)

    async def ships(self, name: str) -> None:
        """One round of its shipper, which is started anew where it was killed."""
        line = self.shipping[name]
        try:
            with self.watched(name):
                await one_round(self.kitchens[name].file, line, f"{name} {self.shippers[name]}")
        except Killed:
            await line.hang_up()
            self.shippers[name] += 1
            self.lease_is_over()

    async def close(self) -> None:
        for line in self.shipping.values():
            await line.hang_up()
        await super().close()

    # Moments

    async def may_go_wrong(self, name: str, said: str) -> None:
        if self._is_now(name, said):
            self.go_wrong()
            if "server" in self.what:
                raise Away("the server was put back")
        if self.twin is not None:
            await self.twin_ships(self.twin)

    def _is_now(self, name: str, said: str) -> bool:
        if name != self.whom or self.at < 0:
            return False
        self.moment += 1
        self.said.append(said)
        return self.moment == self.at

    @contextmanager
    def watched(self, name: str) -> Iterator[None]:
        """Its transactions in the file are moments too."""
        file, whole = self.kitchens[name].file, KitchenFile.writing

        @contextmanager
        def writing(self_: KitchenFile) -> Iterator[Any]:
            if self_ is file and self._is_now(name, "before it writes"):
                self.go_wrong()
            with whole(self_) as db:
                yield db
            if self_ is file and self._is_now(name, "after it wrote"):
                self.go_wrong()

        KitchenFile.writing = writing  # type: ignore[method-assign]
        try:
            yield
        finally:
            KitchenFile.writing = whole  # type: ignore[method-assign]

    # What goes wrong

    def go_wrong(self) -> None:
        self.at, said = -1, self.what
        one = self.kitchens[self.whom]
        match said:
            case "killed":
                raise Killed
            case "file back" | "file back, killed":
                self.file_back(one)
            case "server back":
                self.server_back()
            case "file and server back":
                self.file_back(one)
                self.server_back()
            case "server and file back":
                self.server_back()
                self.file_back(one)
            case "twin":
                self.twin = self.copied(one)
            case "clock back":
                one.clock.at -= timedelta(minutes=20)
        if said == "file back, killed":
            raise Killed

    def file_back(self, one: InGroup) -> None:
        """To the copy of an hour, where there is one by now."""
        copies = self.copies[self.name(one)]
        if copies:
            restore(one.file, one.sous, copies[min(self.hour, len(copies) - 1)], sure=True)

    def copied(self, one: InGroup) -> KitchenFile:
        backup(one.file, self.folder / "twin.db")
        return KitchenFile.open(self.folder / "twin.db", one.clock, random=Random(9))

    async def twin_ships(self, twin: KitchenFile) -> None:
        """On another machine, after the lease."""
        self.twin = None
        note(twin, self.central.cook, "done on the copy")
        self.lease_is_over()
        line = Line(self.group.url_of(self.whom))
        await one_round(twin, line, "twin")
        await line.hang_up()
        twin.close()
        self.lease_is_over()

    def copy_server(self) -> None:
        n = self.server_copies
        self.server_copies += 1
        self.group.owner.execute(f"CREATE SCHEMA copy_{n}")
        for table in TABLES:
            self.group.owner.execute(f"CREATE TABLE copy_{n}.{table} AS SELECT * FROM prepboard.{table}")

    def server_back(self) -> None:
        if not self.server_copies:
            return
        n = min(self.hour, self.server_copies - 1)
        with self.group.owner.transaction():
            for table in TABLES:
                self.group.owner.execute(f"DELETE FROM prepboard.{table}")
                columns = [row[0] for row in self.group.owner.execute(
                    "SELECT column_name FROM information_schema.columns WHERE table_schema = 'prepboard'"
                    " AND table_name = %s AND is_generated = 'NEVER'", [table])]  # fmt: skip
                said = ", ".join(columns)
                self.group.owner.execute(f"INSERT INTO prepboard.{table} ({said}) SELECT {said} FROM copy_{n}.{table}")
        self.lease_is_over()

    def lease_is_over(self) -> None:
        self.group.owner.execute("UPDATE prepboard.standing SET shipper_until = '-infinity'")
