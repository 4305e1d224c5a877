"""The ledger of a plan in the making: the lots there are, the needs that call on them, the runs planned so far."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from fractions import Fraction

from msgspec import Struct, field

from prepboard.book.book import Prep
from prepboard.plan.given.state import Line, Placed, State
from prepboard.plan.runs.runs import Carried, Planned, RunTimes, thaw
from prepboard.plan.runs.stock import Counted, Lot, Need, keep_fresh, minute_of, what_counts
from prepboard.plan.service.counts import expected_gone
from prepboard.plan.service.freshness import fresh_for, fresh_until
from prepboard.plan.service.on_vans import on_vans
from prepboard.plan.service.thawing import thaw_of, thawing_until

A_FIFTIETH = 50
"""A run whose ingredient lacks less than this part of what it asks is made all the same."""


class NewRun(Struct, gc=False):
    """A run of one size as it would be if it were planned next for a need. `alone` is how its steps should be,
    `steps` where they lie, where that is known, and `made` as they still can be: from now on, where it is late."""

    line: Line
    name: str
    recipe: Prep
    size: Fraction
    need: Need
    ready_by: datetime
    steps: tuple[Placed, ...]
    fits: bool
    made: tuple[Placed, ...]
    alone: tuple[Placed, ...]
    carried: Carried | None
    """What it inherits, as far as that is known yet."""
    lives: list[tuple[str, datetime, datetime]] = field(default_factory=list)
    """(prep, ready at, good until) of all that was asked of it."""
    first_day: date | None = None
    """Day 1 of what it would give, once somebody asked, where that follows from its steps."""


class Ledger:
    def __init__(self, state: State, now: datetime, run_times: RunTimes, until: datetime) -> None:
        self.state, self.now, self.run_times, self.book = state, now, run_times, state.book
        self.needs: dict[str, list[Need]] = defaultdict(list)
        self.lots: dict[str, list[Lot]] = defaultdict(list)
        self.coming = {prep for run in state.runs for prep in run.outputs}
        """What runs under way will give, and what thaws."""
        self.frozen: set[str] = set()
        """What lies in a freezer and is to be taken out for whoever needs it."""
        self.planned: list[Planned] = []
        self.tried: list[NewRun] = []
        self.by_line: dict[str, Planned] = {}
        self.looks_until = until
        self._in_time: dict[str, Sequence[Lot]] = {}
        self._numbers: dict[tuple[str, str], int] = dict(state.lines_run)
        self._lines: dict[tuple[str, str, int], tuple[Line, str]] = {}
        self._put_batches()
        self._put_vans()

    def next_line(self, prep: str, need: str) -> tuple[Line, str]:
        """The next line of a prep for a need, and its text: lines that were ever run keep their number."""
        key = prep, need, self._numbers.get((prep, need), 0)
        found = self._lines.get(key)
        if found is None:
            line = Line(*key)
            found = self._lines[key] = line, str(line)
        return found

    def put_in(self, run: Planned) -> None:
        """A run on the next line of its prep for its need."""
        self._numbers[run.line.prep, run.line.need] = run.line.n + 1
        self.planned.append(run)
        self.by_line[run.name] = run

    def take_out(self, run: Planned) -> None:
        self._numbers[run.line.prep, run.line.need] -= 1
        del self.by_line[run.name]

    def add(self, need: Need) -> None:
        self.needs[need.prep].append(need)

    def drop(self, needs: Collection[Need]) -> None:
        """Takes back needs that were added."""
        gone = {id(need) for need in needs}
        for prep in {need.prep for need in needs}:
            self.needs[prep] = [need for need in self.needs[prep] if id(need) not in gone]

    def in_time(self, prep: str) -> Sequence[Lot]:
        """What is there, or under way, of a prep and good when it is there, by when that is."""
        found = self._in_time.get(prep)
        if found is None:
            lots = [lot for lot in self.lots[prep] if lot.source != "planned" and lot.good_at(lot.there)]
            lots.sort(key=lambda lot: lot.there)
            found = self._in_time[prep] = lots
        return found

    def count(self, need: Need, lots: Mapping[str, list[Lot]] | None = None) -> Counted:
        """What counts for a need, of the ledger's lots or of others."""
        soonest = self.now
        if need.prep in (self.coming if need.occasion is None else self.frozen):
            maker = self.maker(need.prep)
            soonest = (self.run_times.soonest(maker) if maker else self.now) + thaw(self.book.preps[need.prep])
        return what_counts(need, (self.lots if lots is None else lots)[need.prep], soonest, self.now)

    def is_thin(self, need: Need, counts: int) -> bool:
        """Whether what counts will do without a new run."""
        par = need.par
        prep = self.book.preps[need.prep]
        if par is None:
            return self._lacks_little(need, prep, counts)
        if par.source in ("by hand", "count"):
            return False
        if par.source == "standing":
            return counts >= (prep.make_below if prep.make_below is not None else par.amount)
        enough = prep.enough if prep.enough is not None else self.book.kitchen.enough
        chance = par.chance(counts)
        return chance is not None and chance >= enough

    def _lacks_little(self, need: Need, prep: Prep, counts: int) -> bool:
        """Whether what counts lacks at most a fiftieth of what a run asks: never of pieces, nor for fixed counts."""
        service = self.book.services.get(need.service or "")
        by_count = service is not None and service.counts is not None
        if prep.measure.kind == "count" or by_count or need.run_of is None:
            return False
        return 0 < (need.amount - counts) * A_FIFTIETH <= need.amount

    def can_leave_out(self, need: Need, lacking: int) -> bool:
        """Whether a need is served well enough with so much less than it asks for: never of pieces, nor for fixed
        counts, pars by hand and standing ones."""
        par = need.par
        if self.book.preps[need.prep].measure.kind == "count":
            return False
        if par is not None and (par.source in ("by hand", "count", "standing") or par.counted):
            return False
        return self.is_thin(need, need.amount - lacking)

    def maker(self, prep: str) -> Prep | None:
        """The recipe whose size this prep's need decides; None when it only comes with something else."""
        for maker in self.book.preps[prep].made_by:
            if prep in self.book.preps[maker].driven_by:
                return self.book.preps[maker]
        return None

    def _put_vans(self) -> None:
        """What is on its way here, from when its van arrives."""
        for one, there in on_vans(self.state, self.now):
            self.coming.add(one.prep)
            lot = Lot(one.prep, one.amount, minute_of(there), one.use_by, "van", one.note)
            if one.made_at is not None:
                keep_fresh(lot, self.book, one.made_at)
            self.lots[one.prep].append(lot)

    def _put_batches(self) -> None:
        """Every good batch as a lot, less what is expected to be gone of it where nobody counts plates."""
        now, preps, lots = self.now, self.book.preps, self.lots
        gone = expected_gone(self.state, now)
        for batch in self.state.batches:
            prep, use_by, there = batch.prep, batch.use_by, batch.made_at
            if batch.blocked or prep not in preps or (use_by is not None and use_by <= now):
                continue
            if not preps[prep].is_served_from(batch.store):
                continue
            out = thawing_until(self.book, batch) if batch.stays else None
            if out is not None:
                there = out
            if there <= now:
                there = now
            else:
                self.coming.add(prep)
            frozen = None
            if batch.store == "frozen":
                frozen = thaw_of(self.book, batch, now, self.run_times.hours(preps[prep].station))
            if frozen:
                self.frozen.add(prep)
                there = minute_of(there) + frozen.takes
            amount = batch.left - gone.get(batch.code, 0) if gone else batch.left
            lot = Lot(prep, amount, there, use_by, "batch", batch.code, batch.set_aside, frozen)
            if preps[prep].fresh_for:
                lot.fresh_for, lot.fresh_until = fresh_for(self.book, prep), fresh_until(self.book, batch)
            lots[prep].append(lot)
