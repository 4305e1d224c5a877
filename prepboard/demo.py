"""The demo kitchen: a shared file as it stands in the middle of a Saturday afternoon.

Everything in it was done through the same actions that a cook's keys call, at the moments that
`fixtures/demo/story.csv` names; only the plates of the eight weeks before come from a seeded generator.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

from msgspec import Struct

from prepboard.book.amounts import read_amount
from prepboard.book.book import Book
from prepboard.book.safety.temperatures import read_degrees
from prepboard.clock import FixedClock
from prepboard.plan.board import plan
from prepboard.plan.demand.occasions import Occasion, Table, occasions, table
from prepboard.resources import fixtures_folder
from prepboard.store.actions.loading import load_book, set_clock
from prepboard.store.actions.making import done, start, step
from prepboard.store.actions.past_plates import PastSitting, record_past
from prepboard.store.actions.placements import keep_placements
from prepboard.store.actions.readings import read
from prepboard.store.actions.service import plate
from prepboard.store.actions.stock import count, discard, use
from prepboard.store.actions.tonight import covers, par
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import _

TODAY = date(2026, 6, 13)
"""A Saturday in June."""

ZONE = ZoneInfo("Europe/Luxembourg")
"""The zone of the demo kitchen's book; the story's times are wall-clock times there."""

NOW = datetime(2026, 6, 13, 14, 20, tzinfo=ZONE).astimezone(UTC)
"""Lunch is over, dinner three hours and forty minutes away."""

WEEKS_BEHIND = 8
SOUS = Who("mr", "pass")


def demo_folder() -> Path:
    """The demo kitchen's recipe book, and beside it the story of its week."""
    return fixtures_folder() / "demo"


def build(path: Path, *, seed: int = 7) -> None:
    """Makes a new kitchen file at `path` whose clock reads that Saturday, 14:20, and runs on from there.

    The same seed gives the same plates, batches and amounts. StoreFault when the file cannot be made or is there
    already.
    """
    if path.exists():
        raise StoreFault(_("{file} is there already; a demo kitchen needs a new file").format(file=path))
    told = list(_story())
    clock = FixedClock(told[0].at)
    file = KitchenFile.open(path, clock, create=True, random=Random(seed))
    try:
        load_book(file, SOUS, demo_folder())
        set_clock(file, NOW, SOUS)
        teller = _Teller(file, clock)
        morning = file.read().book.kitchen.days.opens(TODAY)
        for happened in told:
            if happened.at < morning:
                teller.tell(happened)
        # The weeks behind come before today's first change, so that everybody's last one is a cook's own.
        clock.at = morning
        record_past(file, SOUS, list(_weeks_behind(file, Random(seed))))
        for happened in told:
            if happened.at >= morning:
                teller.tell(happened)
        clock.at = NOW
        lies = plan(file.read(), NOW).placing
        keep_placements(file, lies.digest, lies.placements)
    finally:
        file.close()


class Happened(Struct, frozen=True):
    """One line of the story: at this moment somebody did this with that."""

    at: datetime
    by: str
    did: str
    what: str
    amount: str
    """Recipes for a run, an amount for food, a number for covers and plates, degrees for a reading."""


def _story() -> Iterator[Happened]:
    """The lines of story.csv in the order in which they happened."""
    with (demo_folder() / "story.csv").open(encoding="utf-8", newline="") as lines:
        read = [
            Happened(_instant(row["at"]), row["by"], row["did"], row["what"], row["amount"])
            for row in csv.DictReader(lines)
        ]
    yield from sorted(read, key=lambda happened: happened.at)


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=ZONE).astimezone(UTC)


class _Teller:
    """Does what the story says, each thing at its own moment."""

    def __init__(self, file: KitchenFile, clock: FixedClock) -> None:
        self._file, self._clock = file, clock
        self._book = file.read().book
        self._runs: dict[str, str] = {}
        """The run under way of each prep that the story started."""

    def tell(self, happened: Happened) -> None:
        self._clock.at = happened.at
        getattr(self, f"_{happened.did}")(self._who(happened), happened.what, happened.amount)

    def _who(self, happened: Happened) -> Who:
        prep = self._book.preps.get(happened.what)
        return Who(happened.by, prep.station if prep else SOUS.station)

    def _made(self, who: Who, prep: str, recipes: str) -> None:
        done(self._file, who, prep=prep, size=Fraction(recipes))

    def _start(self, who: Who, prep: str, recipes: str) -> None:
        self._runs[prep] = start(self._file, who, prep, Fraction(recipes)).run

    def _step(self, who: Who, prep: str, _amount: str) -> None:
        step(self._file, who, self._runs[prep])

    def _counted(self, who: Who, prep: str, amount: str) -> None:
        count(self._file, who, prep, self._millionths(prep, amount))

    def _discarded(self, who: Who, prep: str, amount: str) -> None:
        much, _, why = amount.rpartition(", ")
        discard(self._file, who, prep, self._millionths(prep, much) if much else None, why)

    def _used(self, who: Who, prep: str, purpose: str) -> None:
        there = sum(batch.left for batch in self._file.read().batches if batch.prep == prep)
        use(self._file, who, prep, there, purpose)

    def _read(self, who: Who, what: str, degrees: str) -> None:
        """Of a place, or of the newest batch of a prep."""
        much, unit = read_degrees(degrees, "C")
        of = [batch.code for batch in self._file.read().batches if batch.prep == what]
        read(self._file, who, "batch" if of else "place", of[-1] if of else what, much, unit)

    def _plated(self, who: Who, dish: str, n: str) -> None:
        plate(self._file, who, ("lunch", TODAY), dish, int(n))

    def _covers(self, who: Who, service: str, n: str) -> None:
        covers(self._file, who, (service, TODAY), int(n))

    def _came(self, who: Who, service: str, n: str) -> None:
        covers(self._file, who, (service, TODAY), int(n), came=True)

    def _par(self, who: Who, prep: str, amount: str) -> None:
        par(self._file, who, ("dinner", TODAY), prep, self._millionths(prep, amount))

    def _millionths(self, prep: str, amount: str) -> int:
        return self._book.preps[prep].measure.millionths(read_amount(amount))


def _weeks_behind(file: KitchenFile, random: Random) -> Iterator[PastSitting]:
    """The sittings of the weeks before today, as they might have gone."""
    state = file.read()
    days = state.book.kitchen.days
    since = days.opens(TODAY - timedelta(weeks=WEEKS_BEHIND))
    for occasion in occasions(state, since, days.opens(TODAY)):
        yield _as_it_went(state.book, occasion, random)


def _as_it_went(book: Book, occasion: Occasion, random: Random) -> PastSitting:
    """Guests come within about a tenth of what was booked, and each evening has its own liking for each dish."""
    offered = table(book, occasion)
    guests = max(1, round(occasion.covers * random.gauss(1.0, 0.09)))
    liking = {dish: float(share) * random.lognormvariate(0.0, 0.2) for dish, share in offered.own_share.items()}
    plates: Counter[str] = Counter(dict.fromkeys(offered.dishes, 0))
    for _guest in range(guests):
        plates.update(_one_guest(offered, liking, random))
    return PastSitting(occasion.service.id, occasion.day, occasion.ends, guests, dict(plates))


def _one_guest(offered: Table, liking: dict[str, float], random: Random) -> Iterator[str]:
    """The dishes that one guest takes: a menu's, and of each course it leaves open at most one."""
    draw = random.random()
    taken: set[str] = set()
    for menu in offered.menus:
        draw -= float(menu.share)
        if draw < 0:
            yield from (dish for dish in menu.dishes if dish in offered.dishes)
            taken = offered.courses(menu)
            break
    left_to_choose = {dish.course: random.random() for dish in offered.dishes.values() if dish.course not in taken}
    for dish in offered.dishes.values():
        if dish.course is None:
            whole, rest = divmod(liking[dish.id], 1)
            yield from [dish.id] * (int(whole) + (random.random() < rest))
        elif dish.course in left_to_choose and left_to_choose[dish.course] >= 0:
            left_to_choose[dish.course] -= liking[dish.id]
            if left_to_choose[dish.course] < 0:
                yield dish.id
