"""Whatever two kitchens send, receive, take back and undo, and in whatever order they hear of each other: what one has
no longer the other has, or a line says where it is."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from prepboard.clock import FixedClock
from prepboard.store.actions.group.hearing import hear_back, hear_got, hear_sent
from prepboard.store.actions.group.receiving import receive, refuse
from prepboard.store.actions.group.sending import dispatch, take_back
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.group.shipping import Half, finished
from prepboard.store.health.health import check
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.delivery_note import written
from tests.store.group.conftest import FOUR, LITRE, NINE, NOW, InGroup, in_group

HEARS = {"sent": hear_sent, "back": hear_back, "got": hear_got}
MADE = 4 * LITRE
made: list[TemporaryDirectory[str]] = []


def templates() -> tuple[Path, Path]:
    """Two kitchens, the one with four litres of onion cream: made once, and copied."""
    if not made:
        made.append(TemporaryDirectory())
        for name in ("central", "north"):
            kitchen = in_group(Path(made[0].name), name)
            if name == "central":
                kitchen.cook = kitchen.sous  # It stays: those below take back their own changes only.
                kitchen.makes_cream()
            kitchen.file.close()
    return tuple(Path(made[0].name) / name / "shared" / "kitchen.db" for name in ("central", "north"))  # type: ignore[return-value]


class TwoKitchens(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.folder = TemporaryDirectory()
        self.kitchens: list[InGroup] = []
        for template in templates():
            path = Path(self.folder.name) / f"{template.parent.parent.name}.db"
            shutil.copy(template, path)
            clock = FixedClock(NOW)
            self.kitchens.append(InGroup(KitchenFile.open(path, clock), clock))
        self.central, self.north = self.kitchens
        self.batch = self.central.batches("onion-cream")[0].code

    def teardown(self) -> None:
        for one in self.kitchens:
            assert not check(one.file)
            one.file.close()
        self.folder.cleanup()

    def notes(self) -> list[str]:
        return [str(row[0]) for row in self.central.select("SELECT note FROM transfers ORDER BY rowid")]

    def halves(self, one: InGroup) -> list[Half]:
        return [half for done in finished(one.file, 0, 1000) for half in done.halves if half.kind in HEARS]

    @rule(litres=st.sampled_from([0.25, 1, 1.5, 4]))
    def sends(self, litres: float) -> None:
        with suppress(Refused):
            dispatch(self.central.file, self.central.cook, "north", self.batch, int(litres * LITRE), FOUR)

    @rule(data=st.data(), degrees=st.sampled_from([FOUR, FOUR, NINE]), part=st.sampled_from([None, 0.5]))
    def receives(self, data: Any, degrees: Any, part: float | None) -> None:
        if notes := self.notes():
            sent = self.central.sent(data.draw(st.sampled_from(notes)))
            amount = None if part is None else int(sent.amount * part)
            with suppress(Refused):
                receive(self.north.file, self.north.cook, written(sent), degrees, amount=amount)

    @rule(data=st.data())
    def refuses(self, data: Any) -> None:
        if notes := self.notes():
            with suppress(Refused):
                note = written(self.central.sent(data.draw(st.sampled_from(notes))))
                refuse(self.north.file, self.north.cook, note, "the lid is off")

    @rule(data=st.data())
    def takes_back(self, data: Any) -> None:
        if notes := self.notes():
            with suppress(Refused):
                take_back(self.central.file, self.central.cook, data.draw(st.sampled_from(notes)), FOUR)

    @rule(who=st.sampled_from([0, 1]))
    def undoes(self, who: int) -> None:
        with suppress(Refused):
            undo(self.kitchens[who].file, self.kitchens[who].cook)

    @rule(data=st.data(), who=st.sampled_from([0, 1]))
    def hears(self, data: Any, who: int) -> None:
        """Any half that the other one ever told: old or new, and again."""
        if told := self.halves(self.kitchens[1 - who]):
            half = data.draw(st.sampled_from(told))
            with suppress(Refused):
                HEARS[half.kind](self.kitchens[who].file, half.word)

    @rule()
    def all_is_heard(self) -> None:
        for _twice in range(2):
            for who in (0, 1):
                for half in self.halves(self.kitchens[1 - who]):
                    with suppress(Refused):
                        HEARS[half.kind](self.kitchens[who].file, half.word)
        transfers = self.central.state.transfers
        # What was received of what is not taken back, or again out of the batch, is in one place only.
        missing = sum(one.amount - one.got_amount for one in transfers if one.got == "taken in" and not one.back_at)
        on_the_way = sum(one.amount for one in transfers if one.state == "on the van")
        refused = sum(one.amount for one in transfers if one.state == "refused")
        used_meanwhile = sum(one.got_amount for one in transfers if one.state == "crossed") - self.out_again()
        here, there = self.central.left("onion-cream"), self.north.left("onion-cream")
        assert here + there + missing + on_the_way + refused - used_meanwhile == MADE

    def out_again(self) -> int:
        """What went out of the batch once more, since the other kitchen had it in hand."""
        crossed = [one for one in self.central.state.transfers if one.state == "crossed"]
        notes = [one.note for one in crossed]
        marks = ", ".join("?" * len(notes))
        sql = f"SELECT coalesce(sum(amount), 0) FROM moves WHERE why IN ({marks}) AND kind = 'sent'"
        undone = f"""SELECT coalesce(sum(amount), 0) FROM moves WHERE kind = 'undone' AND gives_back IN (
            SELECT number FROM moves WHERE why IN ({marks}) AND kind = 'sent')"""
        return -int(self.central.select(sql, *notes)[0][0]) - int(self.central.select(undone, *notes)[0][0])

    @invariant()
    def what_is_left_is_what_its_moves_say(self) -> None:
        for one in self.kitchens:
            sql = """SELECT count(*) FROM batches WHERE left != (
                SELECT sum(amount) FROM moves WHERE moves.batch = batches.code)"""
            assert one.select(sql) == [(0,)]

    @invariant()
    def nothing_is_received_twice(self) -> None:
        received = "SELECT count(*) FROM batches WHERE state = 'live' AND code NOT IN (SELECT ours FROM transfers)"
        assert self.north.select(received) == [(0,)]


TwoKitchens.TestCase.settings = settings(
    max_examples=int(os.environ.get("PREPBOARD_SEQUENCES", "5")), stateful_step_count=30, deadline=None
)
TestTwoKitchens = TwoKitchens.TestCase
