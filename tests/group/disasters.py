"""Kitchens of a group that work, while whatever can go wrong with the line, the shippers and the files does.

`Drawn` walks one drawn sequence on real files and a real PostgreSQL, then lets the line live until nobody has anything
more to say, and `wrong` names what was lost, doubled or told differently. The long forms are
`tests/benchmarks/group_evenings.py` and, with real processes, `tests/benchmarks/group_disasters.py`.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

from group.conftest import Group
from store.group.conftest import FOUR, GROUP, LITRE, NINE, InGroup, in_group

from prepboard.group.line import Away, Line
from prepboard.group.shipper import one_round
from prepboard.group.shipping import ship
from prepboard.plan.leftovers.vans import to_answer_for
from prepboard.store.actions.food.holding import unblock
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.holds import acknowledge
from prepboard.store.actions.group.joining import join
from prepboard.store.actions.group.orders import answer_order, order
from prepboard.store.actions.group.receiving import receive, refuse
from prepboard.store.actions.group.sending import settle, take_back
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.group.shipping import finished, joined
from prepboard.store.health.health import check
from prepboard.store.health.restoring import backup, restore
from prepboard.store.read.delivery_note import written

OUTLETS = ("north", "south")


def book_of(outlets: tuple[str, ...]) -> str:
    """The group's book with these outlets on its van."""
    more = outlets[len(OUTLETS) :]
    members = "".join(f'[kitchens.{name}]\nname = "{name}"\nletter = "{chr(68 + n // 26)}{chr(65 + n % 26)}"\n'
                      for n, name in enumerate(more))  # fmt: skip
    to = ", ".join(f'"{name}"' for name in outlets)
    return GROUP.replace("[vans.early]", f"{members}[vans.early]").replace('to = ["north", "south"]', f"to = [{to}]")


class Bad(Line):
    """A line that is cut: before the call, or after the group did what was asked and before it could say so."""

    def __init__(self, url: str, random: Random) -> None:
        super().__init__(url)
        self.random = random

    async def ask(self, function: str, *given: Any) -> Any:
        if function == "me":
            return await super().ask(function, *given)
        if self.random.random() < 0.2:
            raise Away("cut before")
        said = await super().ask(function, *given)
        if self.random.random() < 0.3:
            raise Away("cut after")
        return said


class Drawn:
    def __init__(self, group: Group, folder: Path, seed: int, outlets: tuple[str, ...] = OUTLETS) -> None:
        self.group, self.folder, self.random, self.outlets = group, folder, Random(seed), outlets
        self.names = ("central", *outlets)
        self.kitchens = {name: in_group(folder, name, book_of(outlets)) for name in self.names}
        for name, one in self.kitchens.items():
            join(one.file, one.sous, group.url_of(name))
        self.lines = {name: Line(group.url_of(name)) for name in self.names}
        self.bad_lines = {name: Bad(group.url_of(name), self.random) for name in self.names}
        self.copies: dict[str, list[Path]] = {name: [] for name in self.names}
        self.happened: Counter[str] = Counter()
        self.forgotten: set[str] = set()
        """Transfers of which a file that was put back had not told anybody."""
        self.settled: dict[str, set[str]] = {}
        """Transfers for whose difference somebody answered -> in which kitchens."""

    # What people do

    def make(self, one: InGroup) -> None:
        one.makes_cream(f"L{self.random.randrange(4)}")

    def dispatch(self, one: InGroup) -> None:
        there = [batch for batch in one.batches("onion-cream") if batch.left > LITRE]
        if one is self.kitchens["central"] and there:
            one.sends(
                self.random.choice(self.outlets), self.random.choice(there).code, self.random.choice((0.25, 0.5, 1))
            )

    def receive(self, one: InGroup) -> None:
        """By its code where it was heard of, else from the note, which rides with the food."""
        notes = self.central.select("SELECT sent FROM transfers WHERE receiver = ? AND back_at IS NULL", self.name(one))
        if notes and one is not self.central:
            sent = self.central.sent(json.loads(self.random.choice(notes)[0])["note"])
            known = one.select("SELECT 1 FROM transfers WHERE id = ? AND got = ''", sent.id)
            note = sent.note if known and self.random.random() < 0.5 else written(sent)
            way = self.random.random()
            if way < 0.15:
                refuse(one.file, one.cook, note, "warm", NINE)
            else:
                receive(one.file, one.cook, note, FOUR, amount=sent.amount // 2 if way < 0.3 else None)

    def take_back(self, one: InGroup) -> None:
        on_the_van = one.select("SELECT note FROM transfers WHERE sender = ? AND back_at IS NULL AND got = ''",
                                self.name(one))  # fmt: skip
        if on_the_van:
            take_back(one.file, one.cook, self.random.choice(on_the_van)[0], FOUR)

    def use(self, one: InGroup) -> None:
        done(one.file, one.cook, prep="soup")

    def undo(self, one: InGroup) -> None:
        undo(one.file, one.cook)

    def hold(self, one: InGroup) -> None:
        lot, begins = f"L{self.random.randrange(4)}", self.random.random() < 0.7
        if begins:
            withdraw(one.file, one.sous, "cream", "glass", lot=lot, sure=True)
        else:
            unblock(one.file, one.sous, "cream", "it was none")

    def acknowledge(self, one: InGroup) -> None:
        for (hold,) in one.select("SELECT id FROM holds_kept WHERE seen_at IS NULL LIMIT 1"):
            acknowledge(one.file, one.sous, hold)

    def order(self, one: InGroup) -> None:
        day = (one.clock.at + timedelta(days=1)).date()
        if one is not self.central:
            order(one.file, one.sous, "early", day, {"onion-cream": LITRE})

    def answer(self, one: InGroup) -> None:
        for (asked,) in one.select("SELECT id FROM orders WHERE late = 1 AND answer = '' AND maker = ? LIMIT 1",
                                   self.name(one)):  # fmt: skip
            answer_order(one.file, one.sous, asked, self.random.random() < 0.5)

    def settle(self, one: InGroup) -> None:
        state = one.file.read()
        differ = to_answer_for(state, one.clock.at)
        if differ:
            note = self.random.choice(differ)
            settle(one.file, one.sous, note.note, "a box fell")
            self.settled.setdefault(note.id, set()).add(self.name(one))

    # What happens to them

    async def ship(self, one: InGroup) -> None:
        with suppress(Away):
            us = joined(one.file)
            assert us is not None
            await ship(one.file, self.lines[self.name(one)], "s", us)

    async def hear(self, one: InGroup) -> None:
        """It ships first: whoever does not stand as the group knows it hears nothing."""
        await one_round(one.file, self.lines[self.name(one)], "s")

    async def on_a_bad_line(self, one: InGroup) -> None:
        await one_round(one.file, self.bad_lines[self.name(one)], "s")

    async def twice(self, one: InGroup) -> None:
        """A pack that went out before comes again."""
        us = joined(one.file)
        assert us is not None
        pack = finished(one.file, us.since_line, 500)
        from prepboard.group.shipping import _as_json

        with suppress(Away):
            await self.lines[self.name(one)].ask("ship", "s", [_as_json(action) for action in pack])

    def bad_item(self, one: InGroup) -> None:
        """Something that no kitchen can take in stands among its news."""
        self.group.owner.execute(
            "SELECT prepboard.tell(%s, 'sent', 'nothing', '{\"amount\": \"none\"}')", [self.name(one)]
        )

    def copy(self, one: InGroup) -> None:
        name = self.name(one)
        path = self.folder / f"{name}-{len(self.copies[name])}.copy"
        backup(one.file, path)
        self.copies[name].append(path)

    def set_back(self, one: InGroup) -> None:
        copies = self.copies[self.name(one)]
        if copies:
            before = {row[0] for row in one.select("SELECT id FROM transfers")}
            restore(one.file, one.sous, self.random.choice(copies), sure=True)
            after = {row[0] for row in one.select("SELECT id FROM transfers")}
            self.forgotten |= before - after

    def clock(self, one: InGroup) -> None:
        one.clock.at += timedelta(minutes=self.random.choice((-20, 5, 20)))

    # The walk

    STEPS: tuple[tuple[str, int], ...] = (
        ("make", 3), ("dispatch", 8), ("receive", 8), ("take_back", 2), ("use", 2), ("undo", 3), ("hold", 2),
        ("acknowledge", 1), ("order", 2), ("answer", 1), ("settle", 2), ("ship", 8), ("hear", 8), ("on_a_bad_line", 6),
        ("twice", 2), ("bad_item", 1), ("copy", 2), ("set_back", 2), ("clock", 2),
    )  # fmt: skip

    async def walk(self, steps: int) -> None:
        names, weights = zip(*self.STEPS, strict=True)
        self.make(self.central)
        for step in self.random.choices(names, weights, k=steps):
            one = self.kitchens[self.random.choice(self.names)]
            act: Callable[[InGroup], Any] = getattr(self, step)
            try:
                said = act(one)
                if said is not None:
                    await said
                self.happened[step] += 1
            except Refused:
                self.happened[f"{step} refused"] += 1
        await self.quiet()

    async def quiet(self) -> None:
        """Clocks right, lines whole, until nobody has anything to say."""
        latest = max(one.clock.at for one in self.kitchens.values())
        for one in self.kitchens.values():
            one.clock.at = latest
        for _round in range(10):
            said = [await one_round(one.file, self.lines[name], "s") for name, one in self.kitchens.items()]
            if any(now.away for now in said):
                continue
            for name, now in zip(self.names, said, strict=True):
                assert now.shipped is not None
                assert now.shipped.said == "in", f"{name}: {now.shipped}"
            if not any((now.shipped and now.shipped.actions) or (now.heard and now.heard.taken_in) for now in said):
                return
        raise AssertionError("they never have said all")

    async def close(self) -> None:
        for line in (*self.lines.values(), *self.bad_lines.values()):
            await line.hang_up()
        for one in self.kitchens.values():
            one.file.close()

    # What is wrong

    def wrong(self) -> list[str]:
        """What was lost, doubled or is told differently, a line each."""
        found = [f"{name}: {fault}" for name, one in self.kitchens.items() for fault in check(one.file)]
        group = {row[0]: row[1:] for row in self.group.owner.execute(
            "SELECT id, sender, receiver, state, amount, got_amount FROM prepboard.transfers")}  # fmt: skip
        here = {name: {one.id: one for one in kitchen.file.read().transfers} for name, kitchen in self.kitchens.items()}
        for id_ in sorted(set(group).union(*here.values())):
            found += self._wrong_with(id_, group.get(id_), here)
        for name, kitchen in self.kitchens.items():
            twice = kitchen.select("SELECT transfer FROM received_as JOIN batches ON batches.code = ours"
                                   " WHERE batches.state != 'undone' GROUP BY 1 HAVING count(*) > 1")  # fmt: skip
            found += [f"{name}: {row[0]} is here twice" for row in twice]
        refused = self.group.owner.execute("SELECT kitchen, kind, why FROM prepboard.refused").fetchall()
        return found + [f"refused by the group: {row}" for row in refused]

    def _wrong_with(self, id_: str, known: Any, here: dict[str, Any]) -> list[str]:
        if known is None:
            held = {name: one[id_] for name, one in here.items() if id_ in one}
            said = ", ".join(f"{one.sender} to {one.receiver}, {name} says {one.state}" for name, one in held.items())
            return [f"{id_}: the group never heard of it ({said})"]
        sender, receiver, state, _amount, _got = known
        found = [
            f"{id_}: {name} says {here[name][id_].state if id_ in here[name] else 'nothing'}, the group {state}"
            for name in (sender, receiver)
            if id_ not in here[name] or here[name][id_].state != state
        ]
        if not found and len(self.settled.get(id_, ())) < 2:
            says = [here[name][id_].settled for name in (sender, receiver)]
            found += [f"{id_}: answered for in one kitchen and not in the other"] if says[0] != says[1] else []
        return found

    def name(self, one: InGroup) -> str:
        return next(name for name, kitchen in self.kitchens.items() if kitchen is one)

    @property
    def central(self) -> InGroup:
        return self.kitchens["central"]
