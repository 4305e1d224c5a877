"""A kitchen for food's own histories: Monday 2 November 2026, 08:00, in a zone without clock changes that week."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from conftest import once

from prepboard.book.safety.may_use import Answer
from prepboard.clock import FixedClock
from prepboard.store.actions.food import holding, making, opened, places, readings, stock, withdrawing
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night import service
from prepboard.store.file.who import Refused, Who
from prepboard.store.food.ending import How
from prepboard.store.food.refused import answer
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction.doing import act

MONDAY = date(2026, 11, 2)
DAYS = {"mon": 0, "tue": 1, "wed": 2, "thu": 3, "fri": 4, "sat": 5, "sun": 6}
LITRE = 1_000_000_000

BOOK = """
time_zone = "UTC"
rules = "{rules}"
{more}

[stations.kitchen]

[services.dinner]
starts = "18:00"
ends = "23:00"
covers = 10

[dishes.bowl]
services = ["dinner"]
plate = {{ soup = "100 ml" }}

[places.walk-in]
name = "Walk-in"
store = "chilled"

[places.blast-chiller]
name = "Blast chiller"
store = "chilled"

[places.freezer]
name = "Freezer"
store = "frozen"

[places.bench]
name = "Bench"
store = "ambient"

[places.cold-table]
name = "Cold table"
store = "time"
temperature = "18 C"

[places.clock]
name = "On the clock"
store = "time"

[places.hot-cupboard]
name = "Hot cupboard"
store = "hot"

[tasks.fridge]
name = "Read the walk-in"
when = "open"
reads = "C"
place = "walk-in"

[preps.soup]
name = "Soup"
keeps = "7 days"
ready_to_eat = true
place = "walk-in"
makes = "10 l"
uses = {{ cream = "1 l" }}
steps = [
  {{ do = "Boil", at = "95 C", wait = "10 min" }},
  {{ do = "Chill", wait = "10 min" }},
]

[preps.stew]
name = "Stew"
keeps = "7 days"
ready_to_eat = true
place = "walk-in"
makes = "10 l"
uses = {{ soup = "1 l" }}
steps = [{{ do = "Boil", at = "95 C", wait = "10 min" }}, {{ do = "Chill", wait = "10 min" }}]

[preps.bisque]
name = "Bisque"
keeps = "5 days"
ready_to_eat = true
place = "walk-in"
makes = "10 l"
uses = {{ cream = "1 l" }}
steps = [
  {{ do = "Boil", core = "75 C", wait = "10 min" }},
  {{ do = "Chill", wait = "10 min" }},
]

[preps.salad]
name = "Salad"
keeps = "7 days"
ready_to_eat = true
place = "walk-in"
makes = "10 l"
steps = [{{ do = "Mix", hands_on = "5 min" }}]

[preps.tuna]
name = "Tuna"
keeps = "7 days"
ready_to_eat = true
place = "walk-in"
makes = "10 l"
steps = [{{ do = "Cut", hands_on = "5 min" }}]

[preps.tartare]
name = "Tartare"
store = "time"
place = "clock"
keeps = "1 day"
ready_to_eat = true
makes = "1 l"
uses = {{ tuna = "1 l" }}
steps = [{{ do = "Dress", hands_on = "5 min" }}]

[goods.cream]
name = "Cream"
unit = "l"
store = "chilled"
ready_to_eat = true
keeps_open = "5 days"
"""


@dataclass
class Kitchen:
    """The file, its clock, and short words for what is done in it. Moments are written "tue 08:20"."""

    file: KitchenFile
    clock: FixedClock
    who: Who = field(default_factory=lambda: Who("ab", "kitchen"))

    def at(self, moment: str) -> datetime:
        day, clock = moment.split() if " " in moment else ("mon", moment)
        more, day = (7, day[1:]) if day.startswith("+") else (0, day)
        more, day = (14, day[1:]) if day.startswith("+") else (more, day)
        hours, minutes = clock.split(":")
        start = datetime(MONDAY.year, MONDAY.month, MONDAY.day, tzinfo=UTC)
        return start + timedelta(days=DAYS[day] + more, hours=int(hours), minutes=int(minutes))

    def go(self, moment: str) -> Kitchen:
        assert self.at(moment) >= self.clock.at, moment
        self.clock.at = self.at(moment)
        return self

    def start(self, prep: str, moment: str) -> str:
        return making.start(self.go(moment).file, self.who, prep, Fraction(1)).run

    def step(self, run: str, moment: str) -> None:
        making.step(self.go(moment).file, self.who, run)

    def done(self, run: str, moment: str, amount: int | None = None, **how: object) -> str:
        gave = {self.prep_of(run): amount * LITRE} if amount else None
        did = making.done(
            self.go(moment).file,
            self.who,
            run=run,
            outputs=gave,
            how=How(**how),
            sure=True,  # type: ignore[arg-type]
        )
        return did.batches[0]

    def prep_of(self, run: str) -> str:
        with self.file.looking() as db:
            return str(db.execute("SELECT prep FROM runs WHERE code = ?", [run]).fetchone()[0])

    def made(self, prep: str, started: str, ended: str = "") -> str:
        """A run started and done; a hot one is pressed on at its end."""
        run = self.start(prep, started)
        return self.done(run, ended or started)

    def cooked(self, prep: str, started: str, hot_until: str, ended: str) -> str:
        run = self.start(prep, started)
        self.step(run, hot_until)
        return self.done(run, ended)

    def temp(self, kind: str, of: str, degrees: float, moment: str, **more: object) -> str:
        figure = Fraction(str(degrees))
        return readings.read(self.go(moment).file, self.who, kind, of, figure, "C", **more).text  # type: ignore[arg-type]

    def move(self, batch: str, place: str, moment: str, amount: int | None = None) -> str:
        return places.move_to(self.go(moment).file, self.who, batch, place, amount).batches[0]

    def freeze(self, batch: str, moment: str) -> None:
        places.freeze(self.go(moment).file, self.who, batch)

    def thaw(self, batch: str, moment: str) -> None:
        places.thaw(self.go(moment).file, self.who, batch)

    def split(self, batch: str, amount: int, moment: str) -> str:
        return places.split(self.go(moment).file, self.who, batch, [amount * LITRE]).batches[0]

    def open(self, lot: str, safety: str, moment: str, goods: str = "cream") -> str:
        last = self.at(f"{safety} 00:00").date() if safety else None
        return opened.open_goods(self.go(moment).file, self.who, goods, lot, last).batches[0]

    def withdraw(self, target: str, moment: str, lot: str = "") -> str:
        return withdrawing.withdraw(self.go(moment).file, self.who, target, "recalled", lot=lot, sure=True).text

    def unblock(self, target: str, moment: str) -> None:
        holding.unblock(self.go(moment).file, self.who, target, "the maker's word")

    def block(self, target: str, moment: str, **more: bool) -> None:
        holding.block(self.go(moment).file, self.who, target, "smells odd", **more)

    def for_tomorrow(self, batch: str, *, free: bool = False) -> None:
        sitting = None if free else ("dinner", MONDAY + timedelta(days=1))
        holding.keep_for(self.file, self.who, batch, sitting)

    def corrected(self, batch: str, moment: str) -> None:
        readings.corrected(self.go(moment).file, self.who, batch, "reheated, cooled on ice")

    def plate(self, n: int, moment: str, *, sure: bool = False) -> None:
        service.plate(self.go(moment).file, self.who, ("dinner", MONDAY), "bowl", n, sure=sure)

    def count(self, prep: str, amount: int, moment: str) -> str:
        return stock.count(self.go(moment).file, self.who, prep, amount * LITRE).text

    def discard(self, batch: str, moment: str) -> None:
        stock.discard(self.go(moment).file, self.who, batch, None, "past-use-by")

    def asks(self, batch: str, moment: str = "") -> Answer:
        """The one answer about a batch, at a moment that may lie ahead."""
        before = self.clock.at
        if moment:
            self.clock.at = self.at(moment)
        found: list[Answer] = []

        def body(doing: object) -> object:
            row = doing.row("batches", code=batch)  # type: ignore[attr-defined]
            found.append(answer(doing, row))  # type: ignore[arg-type]
            raise Refused("only asked")

        with contextlib.suppress(Refused):
            act(self.file, self.who, "ask", body)  # type: ignore[arg-type]
        self.clock.at = before
        return found[0]

    def ends(self, batch: str, moment: str = "") -> datetime | None:
        return self.asks(batch, moment).until


def new_kitchen(
    folder: Path,
    rules: str = "food-code-2022",
    more: str = "",
    who: Who = Who("ab", "kitchen"),  # noqa: B008
    hours: str = "",
) -> Kitchen:
    folder.mkdir(parents=True)
    book = folder / "book"
    book.mkdir()
    text = BOOK.format(rules=rules, more=more).replace("[stations.kitchen]", f"[stations.kitchen]\n{hours}")
    (book / "kitchen.toml").write_text(text, encoding="utf-8")
    clock, path = FixedClock(datetime(2026, 11, 2, 5, 0, tzinfo=UTC)), folder / "kitchen.db"

    def load() -> None:
        file = KitchenFile.open(path, clock, create=True, random=Random(3))
        load_book(file, who, book)
        file.close()

    once((who, text), path, load)
    return Kitchen(KitchenFile.open(path, clock, random=Random(3)), clock, who)


@pytest.fixture
def fda(tmp_path: Path) -> Iterator[Kitchen]:
    kitchen = new_kitchen(tmp_path / "fda")
    yield kitchen
    kitchen.file.close()


@pytest.fixture
def uk(tmp_path: Path) -> Iterator[Kitchen]:
    kitchen = new_kitchen(tmp_path / "uk", "uk")
    yield kitchen
    kitchen.file.close()
