"""Three kitchens of a group, each with its own file and clock: one cooks, two receive. What one tells another is
carried by hand here, in whatever order a test likes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from prepboard.book.book import Temperature
from prepboard.clock import FixedClock
from prepboard.plan.given.group import Transfer
from prepboard.plan.given.state import Batch, State
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.opened import open_goods
from prepboard.store.actions.group.sending import dispatch
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.delivery_note import sent_of
from prepboard.store.read.halves import Held
from tests.conftest import kitchen_file

NOW = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)
LM, SOUS = Who("lm", "sauce"), Who("dk", "sauce")

GROUP = """
time_zone = "UTC"
rules = "food-code-2022"
ready_before = "0 min"
[kitchens.central]
name = "Central kitchen"
letter = "C"
[kitchens.north]
name = "North Quay"
letter = "N"
[kitchens.south]
name = "South Hill"
letter = "S"
[vans.early]
name = "Early van"
from = "central"
to = ["north", "south"]
closes = "18:00"
leaves = "06:30"
arrives = "07:15"
[stations.sauce]
[places.walk-in]
store = "chilled"
[places.freezer]
store = "frozen"
[people.dk]
role = "sous"
[people.lm]
role = "cook"
[services.dinner]
starts = "18:00"
ends = "22:00"
covers = 40
[goods.cream]
unit = "l"
store = "chilled"
keeps_open = "3 days"
allergens = ["milk"]
[goods.shallot]
unit = "kg"
allergens = []
[preps.onion-cream]
name = "Onion cream"
store = "chilled"
keeps = { chilled = "5 days", frozen = "60 days" }
makes = "4 l"
uses = { cream = "2 l", shallot = "1 kg" }
comes_from = "central"
[preps.soup]
name = "Onion soup"
store = "chilled"
keeps = "6 days"
makes = "2 l"
uses = { onion-cream = "1 l" }
[dishes.bowl]
services = ["dinner"]
share = 0.5
plate = { soup = "200 ml", onion-cream = "20 ml" }
"""

LITRE = 1000 * 1_000_000
FOUR, NINE, FROZEN = (Temperature(Fraction(degrees), "C") for degrees in (4, 9, -18))


@dataclass
class InGroup:
    """One kitchen of the group."""

    file: KitchenFile
    clock: FixedClock
    cook: Who = LM
    sous: Who = SOUS

    @property
    def state(self) -> State:
        return self.file.read()

    def batches(self, prep: str) -> list[Batch]:
        return [batch for batch in self.state.batches if batch.prep == prep]

    def batch(self, code: str) -> Batch:
        return next(batch for batch in self.state.batches if batch.code == code)

    def left(self, prep: str) -> int:
        return sum(batch.left for batch in self.batches(prep))

    def transfer(self, note: str) -> Transfer:
        return next(one for one in self.state.transfers if one.note == note)

    def later(self, **apart: float) -> datetime:
        self.clock.at += timedelta(**apart)
        return self.clock.at

    def select(self, sql: str, *values: object) -> list[tuple[Any, ...]]:
        with self.file.looking() as db:
            return list(db.execute(sql, values).fetchall())

    def sent(self, note: str) -> Any:
        """The half of the kitchen that sent it, as it would go over the line."""
        return sent_of(self.select("SELECT sent FROM transfers WHERE note = ?", note)[0][0])

    def makes_cream(self, lot: str = "L1") -> str:
        """A batch of four litres, of cream of a lot."""
        open_goods(self.file, self.cook, "cream", lot=lot)
        return done(self.file, self.cook, prep="onion-cream").batches[0]

    def sends(self, kitchen: str, batch: str, litres: float = 1, **more: Any) -> str:
        """Sends some of a batch at 4 °C; answers the note."""
        dispatch(self.file, self.cook, kitchen, batch, int(litres * LITRE), FOUR, **more)
        return str(self.select("SELECT note FROM transfers ORDER BY rowid DESC LIMIT 1")[0][0])


@dataclass
class Kitchens:
    central: InGroup
    north: InGroup
    south: InGroup

    def __iter__(self) -> Iterator[InGroup]:
        return iter((self.central, self.north, self.south))

    def later(self, **apart: float) -> None:
        for one in self:
            one.later(**apart)


def in_group(folder: Path, name: str, text: str = GROUP, at: datetime = NOW) -> InGroup:
    file = kitchen_file(
        folder / name, at, SOUS, seed=len(name), kitchen=f'name = "{name}"\nthis_kitchen = "{name}"\n{text}'
    )
    assert isinstance(file.clock, FixedClock)
    return InGroup(file, file.clock)


def held(kitchen: InGroup, code: str = "", *, goods: str = "", lot: str = "", why: str = "glass") -> Held:
    return Held(str(uuid4()), "central", why, kitchen.clock.at, "dk", code, goods, lot)


@pytest.fixture
def kitchens(tmp_path: Path) -> Iterator[Kitchens]:
    found = Kitchens(*(in_group(tmp_path, name) for name in ("central", "north", "south")))
    yield found
    for one in found:
        one.file.close()
