"""The demo kitchen's story: what happened when, read from a file and done through a cook's actions."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path
from zoneinfo import ZoneInfo

from msgspec import Struct

from prepboard.book.amounts import read_amount
from prepboard.book.book import Temperature
from prepboard.book.safety.temperatures import read_degrees
from prepboard.clock import FixedClock
from prepboard.demo_book import demo_words
from prepboard.plan.board import plan
from prepboard.plan.given.state import Batch, Line, Sitting
from prepboard.store.actions.food.making import done, lost, start, step
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.food.stock import count, discard, use
from prepboard.store.actions.handover import note, sign, task
from prepboard.store.actions.history import keep_learned, keep_run_outs
from prepboard.store.actions.night.dishes import take_off
from prepboard.store.actions.night.placements import end_shorts, keep_placements, keep_shorts
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.night.today import hands
from prepboard.store.actions.night.tonight import covers, par
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.live_batches import ReadBatches, live_batches

TODAY = date(2026, 6, 13)
"""A Saturday in June."""

ZONE = ZoneInfo("Europe/Luxembourg")
"""The zone of the demo kitchen's book; the story's times are wall-clock times there."""

SOUS = Who("mr", "pass")


class Happened(Struct, frozen=True):
    """One line of the story: at this moment somebody did this with that."""

    at: datetime
    by: str
    did: str
    what: str
    """A prep, dish, service, place or station; of a run that starts, the line of the plan where it had one."""
    amount: str
    """Recipes for a run that starts, an amount for food, a number for covers, plates and hands, degrees for a reading,
    words for why."""


def story(*parts: Path) -> list[Happened]:
    """The lines of those files in the order in which they happened."""
    told: list[Happened] = []
    for part in parts:
        with part.open(encoding="utf-8", newline="") as lines:
            told += [
                Happened(_instant(row["at"]), row["by"], row["did"], row["what"], row["amount"])
                for row in csv.DictReader(lines)
            ]
    return sorted(told, key=lambda happened: happened.at)


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=ZONE).astimezone(UTC)


class Teller:
    """Does what the story says, each thing at its own moment."""

    def __init__(self, file: KitchenFile, clock: FixedClock) -> None:
        self._file, self._clock = file, clock
        self._book = file.read().book
        self._words = demo_words(self._book.kitchen.language)
        self._known: ReadBatches = {}
        self._runs: dict[str, list[str]] = {}
        """The runs under way of each prep, the oldest first."""
        for run in sorted(file.read().runs, key=lambda run: run.started):
            self._runs.setdefault(run.recipe.id, []).append(run.code)

    def tell(self, told: Iterable[Happened]) -> None:
        """Does those things, in that order."""
        for happened in told:
            self._clock.at = happened.at
            getattr(self, f"_{happened.did}")(self._who(happened), happened.what, happened.amount)

    def keep_plan(self, at: datetime) -> None:
        """Keeps where the lines lie, for what was done with nobody who plans, and what an open board does."""
        self.keep_as_boards_do(at)
        board = plan(self._file.read(), at)
        keep_placements(self._file, board.placing.digest, board.placing.placements)

    def keep_as_boards_do(self, at: datetime) -> None:
        """Keeps what an open board does at that moment: since when a service is short, what ran out in it, and what
        closed services taught. So a board that opens has nothing to keep, and its plan is the one that was kept."""
        self._clock.at = at
        board = plan(self._file.read(), at)
        if board.ended_shorts:
            end_shorts(self._file, board.ended_shorts)
        for day in set(board.new_shorts.values()):
            keep_shorts(self._file, day, dict.fromkeys((key for key, of in board.new_shorts.items() if of == day), at))
        if board.new_learned:
            keep_learned(self._file, board.state.version, *board.new_learned)
        for sitting, dishes in board.new_run_outs.items():
            keep_run_outs(self._file, sitting, dishes)

    def _who(self, happened: Happened) -> Who:
        prep = self._book.preps.get(happened.what.partition("#")[0])
        return Who(happened.by, prep.station if prep else SOUS.station)

    def _made(self, who: Who, prep: str, recipes: str) -> None:
        done(self._file, who, prep=prep, size=Fraction(recipes))

    def _start(self, who: Who, what: str, recipes: str) -> None:
        line = Line.read(what) if "#" in what else None
        prep = line.prep if line else what
        begun = start(self._file, who, prep, Fraction(recipes), line)
        self._runs.setdefault(prep, []).append(begun.run)

    def _step(self, who: Who, prep: str, _amount: str) -> None:
        step(self._file, who, self._runs[prep][0])

    def _done(self, who: Who, prep: str, amount: str) -> None:
        """The oldest run of it ends, as planned where no amount stands."""
        gave = {prep: self._millionths(prep, amount)} if amount else None
        done(self._file, who, run=self._runs[prep].pop(0), outputs=gave)

    def _lost(self, who: Who, prep: str, why: str) -> None:
        lost(self._file, who, self._runs[prep].pop(0), self._words.get(why, why))

    def _counted(self, who: Who, prep: str, amount: str) -> None:
        count(self._file, who, prep, self._millionths(prep, amount))

    def _less(self, who: Who, prep: str, amount: str) -> None:
        """A count that finds so much less than the file knows."""
        there = sum(batch.left for batch in self._there() if batch.prep == prep)
        count(self._file, who, prep, max(0, there - self._millionths(prep, amount)))

    def _discarded(self, who: Who, prep: str, amount: str) -> None:
        much, _, why = amount.rpartition(", ")
        discard(self._file, who, prep, self._millionths(prep, much) if much else None, why)

    def _used(self, who: Who, prep: str, purpose: str) -> None:
        there = sum(batch.left for batch in self._there() if batch.prep == prep)
        use(self._file, who, prep, there, purpose)

    def _read(self, who: Who, what: str, degrees: str) -> None:
        """Of a place, or of the newest batch of a prep."""
        much, unit = read_degrees(degrees, "C")
        of = [batch.code for batch in self._there() if batch.prep == what]
        read(self._file, who, "batch" if of else "place", of[-1] if of else what, much, unit)

    def _task(self, who: Who, what: str, degrees: str) -> None:
        reading = Temperature(*read_degrees(degrees, "C")) if degrees else None
        task(self._file, Who(who.by, self._book.tasks[what].station), TODAY, what, reading)

    def _plated(self, who: Who, dish: str, n: str) -> None:
        """What is expired is binned before it could go onto a plate."""
        self._bin(who, set(self._book.dishes[dish].plate))
        plate(self._file, who, self._sitting(), dish, int(n))

    def _off(self, who: Who, dish: str, why: str) -> None:
        take_off(self._file, who, self._sitting(), dish, why)

    def _covers(self, who: Who, service: str, n: str) -> None:
        covers(self._file, who, (service, TODAY), int(n))

    def _came(self, who: Who, service: str, n: str) -> None:
        covers(self._file, who, (service, TODAY), int(n), came=True)

    def _par(self, who: Who, prep: str, amount: str) -> None:
        par(self._file, who, ("dinner", TODAY), prep, self._millionths(prep, amount))

    def _hands(self, who: Who, station: str, n: str) -> None:
        hands(self._file, who, TODAY, station, int(n))

    def _note(self, who: Who, station: str, text: str) -> None:
        note(self._file, who, self._words.get(text, text), station)

    def _signed(self, who: Who, station: str, _amount: str) -> None:
        """The close of that evening, or of the afternoon after a last lunch."""
        self._bin(who, {prep.id for prep in self._book.preps.values() if prep.station == station})
        sign(self._file, Who(who.by, station), station, self._clock.at.astimezone(ZONE).date())

    def _bin(self, who: Who, preps: set[str]) -> None:
        for batch in self._there():
            if batch.prep in preps and batch.use_by is not None and batch.use_by <= self._clock.at:
                discard(self._file, who, batch.code, None, "past-use-by")

    def _there(self) -> list[Batch]:
        """What has something left, without all else that a plan needs."""
        with self._file.looking() as db:
            self._known = live_batches(db, self._known)
        return [batch for _row, batch in self._known.values()]

    def _sitting(self) -> Sitting:
        """The sitting that began last."""
        now = self._clock.at.astimezone(ZONE).time()
        return ("dinner" if now >= self._book.services["dinner"].starts else "lunch"), TODAY

    def _millionths(self, prep: str, amount: str) -> int:
        return self._book.preps[prep].measure.millionths(read_amount(amount))
