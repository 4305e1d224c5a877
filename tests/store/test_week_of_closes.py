"""A week of services and closes by a seeded script: every batch that was ever made is accounted for."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from random import Random

import pytest

from prepboard.clock import FixedClock
from prepboard.plan.board import plan
from prepboard.plan.given.state import State
from prepboard.plan.leftovers.closing import count_from, to_count
from prepboard.plan.leftovers.waste import waste
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.stock import count, discard_batches, use
from prepboard.store.actions.handover import sign
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night.service import plate
from prepboard.store.file.who import Who
from prepboard.store.health.health import check
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.log import counted_since
from prepboard.store.past.waste import past_waste

BOOK = Path(__file__).parent / "book"
COOK, SOUS = Who("jp", "sauce"), Who("dk", "sauce")
MONDAY = date(2026, 10, 26)
WEEK = [MONDAY + timedelta(days=day) for day in range(7)]


@dataclass
class Kitchen:
    """The file, and the clock that the script moves."""

    file: KitchenFile
    clock: FixedClock

    @property
    def state(self) -> State:
        return self.file.read()

    def select(self, sql: str) -> list[tuple[object, ...]]:
        with self.file.looking() as db:
            return list(db.execute(sql).fetchall())


class Week:
    """The script's own ledger beside the file's: what it made and what it let go, by batch."""

    def __init__(self, kitchen: Kitchen, seed: int) -> None:
        self.kitchen, self.random = kitchen, Random(seed)
        self.made: Counter[str] = Counter()
        self.gone: dict[str, Counter[str]] = defaultdict(Counter)

    def at(self, day: date, hour: int, minute: int = 0) -> None:
        self.kitchen.clock.at = datetime.combine(day, time(hour, minute), UTC)

    def board(self):
        return plan(self.kitchen.state, self.kitchen.clock.at)

    def make(self) -> None:
        """All that is asked for before dinner, each with a yield of its own; ingredients first. What expired is thrown
        away before anything is made."""
        self.clear()
        for line in reversed(self.board().make):
            if line.begins < self.kitchen.clock.at + timedelta(hours=14):
                before = self.lefts()
                outputs = {prep: round(much * self.random.uniform(0.85, 1.1)) for prep, much in line.outputs.items()}
                did = done(self.kitchen.file, COOK, prep=line.prep, size=line.size, outputs=outputs)
                after = self.lefts()
                for code in did.batches:
                    self.made[code] = after[code]
                for code, left in before.items():
                    self.gone[code]["used"] += left - after.get(code, 0)

    def clear(self) -> None:
        now = self.kitchen.clock.at
        for batch in self.kitchen.state.batches:
            if batch.use_by is not None and batch.use_by <= now:
                discard_batches(self.kitchen.file, SOUS, [batch.code], "past-use-by")
                self.gone[batch.code]["discarded"] += batch.left

    def serve(self, day: date) -> None:
        self.clear()
        before = self.lefts()
        for dish in ("pressed-lamb", "lamb-toast"):
            plate(self.kitchen.file, COOK, ("dinner", day), dish, self.random.randint(8, 30))
        after = self.lefts()
        for code, left in before.items():
            self.gone[code]["plated"] += left - after.get(code, 0)

    def close(self, day: date) -> None:
        """Counts everything, discards what must go, decides, signs; asserts what a close promises."""
        kitchen, board = self.kitchen, self.board()
        closing = board.closing
        everything = [line.batch.code for line in (*closing.discard, *closing.decide, *closing.carry_over)]
        assert sorted(everything) == sorted(self.lefts())
        for batch in to_count(closing):
            there = self.random.choice([batch.left, batch.left, batch.left // 2, 0])
            count(kitchen.file, SOUS, batch.code, there)
            self.gone[batch.code]["counted"] += batch.left - self.lefts().get(batch.code, 0)
        assert set(self.lefts()) - counted_since(kitchen.file, count_from(kitchen.state, kitchen.clock.at)) == {
            line.batch.code for line in closing.discard
        }
        for reason in {line.reason for line in closing.discard}:
            alike = [line.batch for line in closing.discard if line.reason == reason]
            discard_batches(kitchen.file, SOUS, [batch.code for batch in alike], reason)
            for batch in alike:
                self.gone[batch.code]["discarded"] += batch.left
        for line in self.board().closing.decide:
            batch, staff = line.batch, self.random.random() < 0.5
            if staff:
                use(kitchen.file, SOUS, batch.code, batch.left, "staff")
            else:
                discard_batches(kitchen.file, SOUS, [batch.code], "not-needed")
            self.gone[batch.code]["gone" if staff else "discarded"] += batch.left
        after = self.board().closing
        assert (after.discard, after.decide) == ((), ())
        for station in kitchen.state.book.stations:
            sign(kitchen.file, SOUS, station, day)

    def lefts(self) -> dict[str, int]:
        return {batch.code: batch.left for batch in self.kitchen.state.batches}


@pytest.fixture(scope="module")
def week(tmp_path_factory) -> Iterator[Week]:
    clock = FixedClock(datetime.combine(MONDAY, time(8), UTC))
    file = KitchenFile.open(tmp_path_factory.mktemp("week") / "kitchen.db", clock, create=True, random=Random(7))
    load_book(file, SOUS, BOOK)
    gone_by = Week(Kitchen(file, clock), 11)
    for day in WEEK:
        gone_by.at(day, 9)
        gone_by.make()
        gone_by.at(day, 19)
        gone_by.serve(day)
        gone_by.at(day, 23, 15)
        gone_by.close(day)
    yield gone_by
    file.close()


def test_every_batch_of_the_week_is_accounted_for(week):
    """What was made of each batch is what was used, plated, counted, given away, thrown away, or is still there; by
    the script's own ledger and by the file's moves alike."""
    left = week.lefts()
    assert len(week.made) >= 20
    assert {sum(week.gone[code].values()) + left.get(code, 0) - made for code, made in week.made.items()} == {0}
    moves = week.kitchen.select("SELECT batch, kind, -sum(amount) FROM moves WHERE kind != 'made' GROUP BY batch, kind")
    by_file = {(code, kind): amount for code, kind, amount in moves}
    by_script = {(code, kind): much for code, kinds in week.gone.items() for kind, much in kinds.items() if much}
    assert by_file == by_script
    assert {kind for _code, kind in by_script} == {"used", "plated", "counted", "gone", "discarded"}
    assert check(week.kitchen.file) == []


def test_no_close_of_the_week_is_open_and_nothing_past_its_use_by_went_on_a_plate(week):
    assert week.board().open_closes == ()
    assert week.kitchen.select(
        "SELECT count(*) FROM moves JOIN batches ON batches.code = moves.batch"
        " WHERE moves.kind IN ('used', 'plated', 'counted', 'gone') AND moves.at >= batches.use_by"
    ) == [(0,)]


def test_the_weeks_waste_is_what_was_thrown_away_and_the_counts_are_none_of_it(week):
    days = week.kitchen.state.book.kitchen.days
    since, until = days.opens(MONDAY), days.opens(MONDAY + timedelta(days=7))
    lines = waste(week.kitchen.state.book, past_waste(week.kitchen.file, since, until))
    for kind, of in (("discard", "discarded"), ("use", "gone")):
        total = sum(kinds[of] for kinds in week.gone.values())
        assert sum(line.amount for line in lines if line.kind == kind) == total > 0
    assert {line.day for line in lines} <= set(WEEK)
    assert all(0 <= line.because_of_size <= line.amount for line in lines)
