"""The obedient kitchen: begins each line when the board says, goes on with each step when it is due, and takes exactly
the times of the book. Every promise that a board made then comes true to the minute.

It works through real actions on a real file, from one moment at which the board asks for something to the next, and
looks at the board in between too: nothing may move without anything having happened.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random

from conftest import once
from msgspec.structs import replace
from placing_checker import faults

from prepboard.clock import FixedClock
from prepboard.plan.board import Board, plan
from prepboard.plan.demand.expected import asked_of
from prepboard.plan.demand.occasions import ahead
from prepboard.plan.given.state import State
from prepboard.plan.planner import Planner
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.runs import thaw as thaws
from prepboard.plan.runs.stock import minute_of
from prepboard.plan.service.expecting import Evening
from prepboard.plan.shown.lines import MakeLine, Serves, UnderWay
from prepboard.store.actions.food.making import done, start, step
from prepboard.store.actions.food.places import thaw
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night.service import Out, plates
from prepboard.store.file.who import Unsure, Who
from prepboard.store.kitchen_file import KitchenFile

MINUTE = timedelta(minutes=1)
COOK = Who("lm", "")
WORTH = timedelta(minutes=10)
LOOKS = timedelta(minutes=37)
"""So often somebody looks at the board while nothing is to be done."""


@dataclass
class Kept:
    """What became of a day's promises."""

    lines: int = 0
    moved_by_news: int = 0
    """What another sitting that came within the plan's span moved, or guests who asked for more or less than was
    expected, still in time: that is news, no broken promise."""
    moved_as_found: int = 0
    """What was late when it took the kitchen over, and moved as it did at once what others had let slip: a slip is
    worked out and not kept, until somebody presses."""
    starts_tried: int = 0
    broken: list[str] = field(default_factory=list)


def opened(folder: Path, book: str, now: datetime) -> KitchenFile:
    """A new kitchen file with this book."""
    (folder / "book").mkdir(parents=True)
    (folder / "book" / "book.toml").write_text(book, encoding="utf-8")
    path = folder / "kitchen.db"
    once("a new file", path, lambda: KitchenFile.open(path, FixedClock(now), create=True).close())
    file = KitchenFile.open(path, FixedClock(now), random=Random(1))
    file.makes_planner = Planner
    load_book(file, COOK, folder / "book")
    return file


def copied(file: KitchenFile, planner: Planner, name: str = "copy.db") -> KitchenFile:
    """The same kitchen in a file of its own, open at a station that shows the same board."""
    to = file.path.with_name(name)
    with file.looking() as db:
        db.execute("SELECT 1").fetchone()
    for suffix in ("", "-wal", "-shm"):
        was = file.path.with_name(file.path.name + suffix)
        to.with_name(to.name + suffix).unlink(missing_ok=True)
        if was.exists():
            shutil.copy(was, to.with_name(to.name + suffix))
    other = KitchenFile.open(to, FixedClock(file.clock.now()), random=Random(2))
    other.knows(file.newest_book())
    other.makes_planner = lambda: copy(planner)
    return other


def promised(line: MakeLine) -> bool:
    """Whether a board says when a line is ready: not of one that fits nowhere, or comes when all that it is for is
    over."""
    return not line.too_late and not any(note.kind == "cannot fit" for note in line.notes)


def _is_for_guests(line: MakeLine) -> bool:
    """Whether guests are to have it: what only goes into another line is lost with that one, and named for the next
    that takes of it."""
    return str(line.line).count("@") == 1


class Obedient:
    """One kitchen that does what its board says."""

    def __init__(
        self,
        file: KitchenFile,
        seed: int = 0,
        *,
        looks: timedelta = LOOKS,
        guests: bool = False,
        seconds: bool = False,
        tries: int | None = None,
    ) -> None:
        """With `guests` plates go out and are counted, just as many as are expected; with `seconds` keys are pressed
        within the minute, else just as it begins. So many `tries` at most start a line ahead of its time: each has all
        placed anew, and a day without them is the same day."""
        self.file, self.clock = file, file.clock
        assert isinstance(file.planner, Planner)
        self._planner = file.planner
        assert isinstance(self.clock, FixedClock)
        self.found = Kept()
        self._looks, self._guests, self._seconds, self._began = looks, guests, seconds, self.clock.at
        self._tries = tries
        self._chance = Random(seed)
        self._pressed = True
        self._promised: dict[str, tuple[MakeLine | None, datetime]] = {}
        """Run -> the line that it was, and when it would be ready; of one that was under way already no line."""
        self._kept_for: set[tuple[str, date]] = set()
        """The sittings that the plan saw when somebody last pressed a key."""
        self._seen: set[tuple[str, date]] = set()
        """Those that it saw when somebody last looked."""
        self._lines: set[str] = set()
        self._asked: dict[str, tuple[Fraction, tuple[Serves, ...]]] = {}
        """What lines were for, as it was last said."""
        self._said: dict[str, datetime] = {}
        """Line or run -> when it would be ready, as it was last said."""
        self._late: set[str] = set()
        """What was said to be late then."""
        self._come = self._let_slip = False
        """Whether guests came for a sitting when somebody last looked, and whether it found something let slip."""

    def work(self, until: datetime) -> Kept:
        """Goes on until a moment."""
        state = self.file.read()
        self._let_slip = _slipped(state, self.clock.at)
        for run in plan(state, self.clock.at).under_way:
            self._promised[run.run] = None, run.ready_at
        while self.clock.at < until:
            board = self._look()
            if self._guests and self._serve(board):
                board = self._look()
            acted = True
            while acted:
                acted = False
                if self._takes_out(board):
                    acted = True
                    board = self._look()
                    continue
                for run in board.under_way:
                    if minute_of(run.next_at) <= self.clock.at and run.run in self._promised:
                        self._go_on(run)
                        acted = True
                        break
                else:
                    line = next((line for line in board.make if self._is_to_begin(line)), None)
                    if line is not None:
                        self._start(line)
                        acted = True
                if acted:
                    board = self._look()
            if self._chance.random() < 0.2:
                self._try_start(board)
            self.clock.at = self._pressed_at(min([until, self.clock.at + self._looks, *self._moments(board)]))
        return self.found

    def _pressed_at(self, at: datetime) -> datetime:
        """Some moment of the minute of another, not before it."""
        rest = 59 - at.second if self._seconds else 0
        return at + timedelta(seconds=self._chance.randint(0, rest)) if rest else at

    def _serve(self, board: Board) -> bool:
        """The plates go out that guests are expected to have had by now; whether there were any."""
        state, out = board.state, []
        for occasion in board.served:
            if not occasion.lasts(self.clock.at) or occasion.starts < self._began:
                continue
            known = asked_of(state, self.clock.at, occasion)
            evening = Evening(state, self.clock.at, occasion, known)
            for dish in known:
                so_far = round(evening.portions(dish, occasion.starts, self.clock.at))
                more = so_far - state.plated.get((*occasion.key, dish), 0)
                if more > 0:
                    out.append(Out(occasion.key, dish, more))
        if out:
            self._pressed = True
            plates(self.file, COOK, out)
        return bool(out)

    def _is_to_begin(self, line: MakeLine) -> bool:
        """Whether a line is to begin now."""
        return promised(line) and line.begins <= self.clock.at

    def _takes_out(self, board: Board) -> bool:
        """Takes out of the freezer what the pull list asks for by now; whether there was any."""
        due = [line for line in board.pull if line.kind == "prep" and line.frozen and line.take_out_at <= self.clock.at]
        for line in due:
            self._pressed, wanted = True, line.amount
            frozen = [one for one in self.file.read().batches if one.prep == line.item and one.store == "frozen"]
            for batch in sorted(frozen, key=lambda one: (one.use_by is None, one.use_by or one.made_at)):
                part = min(wanted, batch.left)
                if part > 0:
                    thaw(self.file, COOK, batch.code, part)
                    wanted -= part
        return bool(due)

    def _comes_into_sight(self, board: Board) -> Iterator[datetime]:
        """When sittings come within the plan's span. A board is always on: they are seen in that minute, and what is
        made for them may be to begin soon."""
        span = horizon(board.state, board.now) - board.now
        for sitting in ahead(board.state, board.now, board.now + span + LOOKS):
            yield sitting.starts - span

    def _moments(self, board: Board) -> Iterator[datetime]:
        """When the board will ask for something next, whole minutes."""
        thaws = (line.take_out_at for line in board.pull if line.kind == "prep" and line.frozen)
        for at in (
            *(line.begins for line in board.make),
            *(run.next_at for run in board.under_way),
            *thaws,
            *self._comes_into_sight(board),
        ):
            if at > self.clock.at:
                yield at

    def _look(self) -> Board:
        """The board; what it said before about the same line or run it says still, or sooner."""
        board = self._planner.board(self.file.read(), self.clock.at)
        said = {str(line.line): line.ready_at for line in board.make if promised(line)}
        said |= {f"run {run.run}": run.ready_at for run in board.under_way}
        seen = {(line.service, line.day) for line in board.sittings}
        if self._pressed and seen <= self._kept_for:
            for line in board.make:
                if line.line.n and promised(line) and self._was_asked_for(line, board):
                    self._broken(f"{line.line}: is asked for once more")
        self._lines = {str(line.line) for line in board.make}
        late = {str(line.line) for line in board.make if line.late_minutes}
        asks = {str(line.line): (line.size, line.serves) for line in board.make}
        # What was expected of guests and nobody counted is there after all once their sitting has ended.
        lasts = self._guests and any(occasion.lasts(self.clock.at) for occasion in board.served)
        come, self._come = lasts or self._come, lasts
        # What came within the plan's span may move others as it does, and at the next press; time alone moves nothing.
        news = bool(seen - (self._kept_for if self._pressed else self._seen)) or (come and asks != self._asked)
        self._asked, self._seen = asks, seen
        for key, ready in said.items():
            before = self._said.get(key)
            if before is None or ready < before + MINUTE:
                continue
            if news and key not in late and not key.startswith("run"):
                self.found.moved_by_news += 1
            elif self._let_slip and self.clock.at == self._began and key in late & self._late:
                self.found.moved_as_found += 1
            else:
                self._broken(f"{key}: ready {before:%d %H:%M}, now {ready:%d %H:%M}")
        for line in board.make:
            key = str(line.line)
            if key in self._said and not promised(line) and _is_for_guests(line):
                self._broken(f"{key}: ready {self._said[key]:%d %H:%M}, now not for its guests")
        self._said, self._late = said, late
        if self._pressed:
            self._kept_for, self._pressed = seen, False
        return board

    def _was_asked_for(self, line: MakeLine, board: Board) -> bool:
        """Whether a line is new though what it asks for is under way as the board wanted it."""
        before = replace(line.line, n=line.line.n - 1)
        lines = (self._promised[run.run][0] for run in board.under_way if run.run in self._promised)
        return str(line.line) not in self._lines and before in {one.line for one in lines if one}

    def _start(self, line: MakeLine) -> None:
        """Starts a line; one whose recipe has no steps is done at once."""
        self._pressed = True
        self.found.lines += 1
        if not line.steps:
            done(self.file, COOK, prep=line.prep, size=line.size, line=line.line)
            return
        try:
            run = start(self.file, COOK, line.prep, line.size, line.line).run
        except Unsure as asked:
            self._broken(f"{line.line}: {asked}")
            run = start(self.file, COOK, line.prep, line.size, line.line, sure=True).run
        self._promised[run] = line, line.ready_at
        self._said[f"run {run}"] = line.ready_at

    def _go_on(self, run: UnderWay) -> None:
        self._pressed = True
        recipe = next(one.recipe for one in self.file.read().runs if one.code == run.run)
        if run.step + 1 < len(recipe.steps):
            step(self.file, COOK, run.run)
            return
        did = done(self.file, COOK, run=run.run)
        line, promised = self._promised.pop(run.run)
        there = self.clock.at + thaws(recipe)
        if abs(there - promised) >= MINUTE:
            name = line.line if line else run.prep
            self._broken(f"{name}: done {self.clock.at:%d %H:%M}, promised {promised:%d %H:%M}")
        if line is None:
            return
        if not line.late_minutes and there >= line.ready_by + MINUTE:
            self._broken(f"{line.line}: was in time, done {self.clock.at:%d %H:%M}, needed {line.ready_by:%d %H:%M}")
        self._check_life(line, did.batches)

    def _check_life(self, line: MakeLine, batches: tuple[str, ...]) -> None:
        """A batch lasts as long as the line said."""
        for batch in self.file.read().batches:
            said = line.use_by
            if batch.code in batches and batch.prep == line.prep and batch.use_by and said and batch.use_by < said:
                self._broken(f"{line.line}: good to {said:%d %H:%M}, its batch to {batch.use_by:%d %H:%M}")

    def _try_start(self, board: Board) -> None:
        """On a copy of the file, starts a line ahead of its time: it is ready when the board said it would be."""
        lines = [line for line in board.make if promised(line) and line.steps and line.can_start_from <= board.now]
        if not lines:
            return
        line = self._chance.choice(lines)
        if self.found.starts_tried == self._tries:
            return
        self.found.starts_tried += 1
        other = copied(self.file, self._planner)
        try:
            code = start(other, COOK, line.prep, line.size, line.line).run
            after = other.planner.board(other.read(), board.now)
            run = next(run for run in after.under_way if run.run == code)
        except Unsure as asked:
            self._broken(f"{line.line}: could start from {line.can_start_from:%d %H:%M}: {asked}")
            return
        finally:
            other.close()
        self._check_waiting(board, line, run, after)
        if abs(run.ready_at - line.ready_if_started_now) >= MINUTE:
            self._broken(
                f"{line.line}: if started {board.now:%d %H:%M} ready {line.ready_if_started_now:%d %H:%M}, "
                f"started: {run.ready_at:%d %H:%M}"
            )

    def _check_waiting(self, board: Board, line: MakeLine, run: UnderWay, after: Board) -> None:
        """A late line does not wait where it could go on without making any other later, or losing it."""
        if not line.late_minutes or line.begins < board.now + MINUTE or run.ready_at > line.ready_at - WORTH:
            return
        if any((one.line.prep, one.line.need) == (line.line.prep, line.line.need) for one in after.make):
            return  # begun now it would not last for what it is for
        if faults(_as_if_planned(after, line, run)):
            return  # whoever presses start has hands and places, but others have them, or it waits too long for them
        were = {str(one.line): one.ready_at for one in board.make if promised(one)}
        then = ((one, were[str(one.line)]) for one in after.make if str(one.line) in were)
        if all(promised(one) and one.ready_at < was + MINUTE for one, was in then):
            self._broken(f"{line.line}: waits to {line.begins:%d %H:%M} and could go on at {board.now:%d %H:%M}")

    def _broken(self, what: str) -> None:
        self.found.broken.append(f"{self.clock.at:%d %H:%M} {what}")


def _slipped(state: State, now: datetime) -> bool:
    """Whether somebody did not begin a line, or go on with a run, in the minute in which that was due."""
    lines = {line: one for line, one in state.placements.items() if one.steps and not line.startswith("run.")}
    due = [one.due or one.steps[0].begins for one in lines.values()]
    due += [one.due for line, one in state.placements.items() if line not in lines and one.due]
    return any(at + MINUTE <= now for at in due)


def _as_if_planned(board: Board, line: MakeLine, run: UnderWay) -> Board:
    """A board on which a run that was just begun is a line that lies there: what no plan may do is no way to go on."""
    steps = [replace(one, begins=_minute(one.begins), hands_until=_minute(one.hands_until)) for one in run.steps]
    steps[-1] = replace(steps[-1], ends=_minute(steps[-1].ends))
    begun = replace(line, steps=tuple(steps))
    lines = *(one for one in board.make if promised(one)), begun
    return replace(board, make=lines, under_way=tuple(one for one in board.under_way if one.run != run.run))


def _minute(at: datetime) -> datetime:
    """What was pressed within a minute lies on it."""
    return at.replace(second=0, microsecond=0)
