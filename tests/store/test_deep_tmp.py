"""What stays true whatever a kitchen does, in whatever order."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from prepboard.clock import FixedClock
from prepboard.plan.state import Line
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.making import done, lost, start, step
from prepboard.store.actions.service import plate
from prepboard.store.actions.stock import PURPOSES, REASONS, count, discard, use
from prepboard.store.actions.undoing import undo
from prepboard.store.file import KitchenFile
from prepboard.store.health import check
from prepboard.store.who import Refused, Who

BOOK = Path(__file__).parent / "book"
BEGIN = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)
DINNER = ("dinner", BEGIN.date())

people = st.sampled_from([Who("jp", "sauce"), Who("lm", "roast")])
preps = st.sampled_from(["brown-stock", "lamb-jus", "braised-lamb", "onion-crisp"])
sizes = st.sampled_from([Fraction(1, 2), Fraction(1), Fraction(2)])
amounts = st.integers(0, 5_000_000_000)
lines = st.integers(0, 4)


class AKitchen(RuleBasedStateMachine):
    """Two cooks do anything at all; what is refused is part of it."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = TemporaryDirectory()
        self.clock = FixedClock(BEGIN)
        self.file = KitchenFile.open(Path(self.folder.name) / "kitchen.db", self.clock, create=True, random=Random(7))
        load_book(self.file, Who("dk", ""), BOOK)
        self.log: list[tuple[object, ...]] = []

    def teardown(self) -> None:
        self.file.close()
        self.folder.cleanup()

    def attempt(self, action, *given, **named) -> None:
        with suppress(Refused):
            action(self.file, *given, **named)

    @rule(minutes=st.integers(1, 60 * 30))
    def time_passes(self, minutes: int) -> None:
        self.clock.at += timedelta(minutes=minutes)

    @rule(who=people, prep=preps, size=sizes, n=lines)
    def starts(self, who, prep, size, n) -> None:
        self.attempt(start, who, prep, size, Line(prep, "dinner.2026-10-31", n))

    @rule(who=people, prep=preps, size=sizes, n=lines)
    def is_done_at_once(self, who, prep, size, n) -> None:
        self.attempt(done, who, prep=prep, size=size, line=Line(prep, "dinner.2026-10-31", n))

    @precondition(lambda self: self.file.read().runs)
    @rule(who=people, action=st.sampled_from([step, done, lost]), data=st.data())
    def goes_on(self, who, action, data) -> None:
        run = data.draw(st.sampled_from([run.code for run in self.file.read().runs]))
        if action is done:
            self.attempt(done, who, run=run)
        else:
            self.attempt(action, who, run, *(("burnt",) if action is lost else ()))

    @rule(who=people, dish=st.sampled_from(["pressed-lamb", "lamb-toast"]), n=st.integers(-4, 9))
    def plates(self, who, dish, n) -> None:
        self.attempt(plate, who, DINNER, dish, n)

    @rule(who=people, prep=preps, amount=amounts)
    def counts(self, who, prep, amount) -> None:
        self.attempt(count, who, prep, amount, made_at=self.clock.at)

    @rule(who=people, prep=preps, amount=amounts, why=st.sampled_from(PURPOSES))
    def uses(self, who, prep, amount, why) -> None:
        self.attempt(use, who, prep, amount, why)

    @rule(who=people, prep=preps, amount=st.none() | amounts, why=st.sampled_from(REASONS))
    def discards(self, who, prep, amount, why) -> None:
        self.attempt(discard, who, prep, amount, why)

    @rule(who=people)
    def undoes(self, who) -> None:
        self.attempt(undo, who)

    @invariant()
    def what_is_left_is_the_sum_of_the_moves_and_the_file_is_whole(self) -> None:
        assert check(self.file) == []

    @invariant()
    def what_is_live_has_something_left_and_what_is_not_has_nothing(self) -> None:
        with self.file.looking() as db:
            wrong = db.execute("SELECT code FROM batches WHERE (state = 'live') != (left > 0)").fetchall()
        assert wrong == []

    @invariant()
    def no_line_has_two_runs_and_its_number_is_never_offered_again(self) -> None:
        with self.file.looking() as db:
            rows = db.execute("SELECT prep, need, n FROM runs WHERE line IS NOT NULL AND state != 'undone'").fetchall()
        assert len(rows) == len(set(rows))
        offered = self.file.read().lines_run
        if self.clock.at < BEGIN.replace(month=11, day=10):
            assert all(n < offered[prep, need] for prep, need, n in rows)

    @invariant()
    def no_more_plates_came_back_than_went_out(self) -> None:
        assert all(n >= 0 for n in self.file.read().plated.values())

    @invariant()
    def the_log_only_grows(self) -> None:
        with self.file.looking() as db:
            log = db.execute("SELECT * FROM log ORDER BY number").fetchall()
        assert log[: len(self.log)] == self.log
        self.log = log


AKitchen.TestCase.settings = settings(max_examples=150, stateful_step_count=60, deadline=None)
TestAKitchen = AKitchen.TestCase
