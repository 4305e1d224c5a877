"""The late kitchen: begins late or not at all, makes too little, burns, has cooks fall ill, others press meanwhile, and
what was kept of where runs lie may be lost.

Whatever it does, what its board says is true when it says it (`truth.py`): `start` gives what "if started now" said, a
step gone on with the moment that was said, undo gives back exactly the plan from before, and the plan that is kept is
hardly later than one made from nothing would be; what a press kept is what boards show from then on.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from random import Random
from typing import Any

from days.obedient import COOK, LOOKS, MINUTE, Kept, Obedient, promised
from days.other_benches import a_press
from days.truth import Truth
from msgspec.structs import replace

from prepboard.plan.board import Board, plan
from prepboard.plan.given.state import Placement
from prepboard.plan.memory import forget
from prepboard.plan.planner import Planner
from prepboard.plan.shown.lines import MakeLine, Serves, SittingLine, UnderWay
from prepboard.store.actions.food.making import done, lost, start, step
from prepboard.store.actions.night.today import hands
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused, Unsure
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.schedules import PLACED_FOR

HOUR = timedelta(hours=1)
LITTLE = 10.0
"""So many weighed minutes a kept plan may be later than a new one."""


@dataclass
class Later:
    """How much later a plan that was kept was than a new one, in weighed minutes; and who lost more sittings."""

    looks: int = 0
    later: list[float] = field(default_factory=list)
    lost_more: int = 0
    within_the_hour: int = 0
    """How often only what begins within the hour, and so stays, stood between a kept plan and a new one."""


class Late(Obedient):
    """One kitchen that does what it likes."""

    def __init__(
        self,
        file: KitchenFile,
        seed: int,
        *,
        others: float = 0.3,
        loses: float = 0.0,
        seconds: bool = False,
        guests: bool = False,
        looks: timedelta = LOOKS,
    ) -> None:
        """With the chance of `others` somebody presses something at any bench when the board asks for something, with
        that of `loses` what was kept of where runs lie is gone."""
        super().__init__(file, seed, looks=looks, seconds=seconds, guests=guests)
        self.compared, self.truth, self.pressed = Later(), Truth(), Counter[str]()
        self._does, self._others, self._loses = Random(seed + 1), others, loses
        self._not_before: dict[str, datetime] = {}
        self._look_at: datetime | None = None

    def work(self, until: datetime) -> Kept:
        """Goes on until a moment; what was said before anybody pressed a key is known, too."""
        self._tell(plan(self.file.read(), self.clock.at))
        return super().work(until)

    def _tell(self, board: Board) -> None:
        """What is not true of what a board says."""
        for untrue in self.truth.look(board):
            self._broken(untrue)

    def _look(self) -> Board:
        """The board; what moves here moves because of what is done."""
        if self._look_at != self.clock.at:
            self._look_at = self.clock.at
            self._others_press()
        self._said, self._kept_for = {}, set()
        board = super()._look()
        self.found.broken = [one for one in self.found.broken if " now " not in one and "once more" not in one]
        self._tell(board)
        if self._does.random() < 0.05:
            forget()
            self._check(plan(board.state, board.now).make == board.make, "what is remembered is another plan")
        return board

    def _serve(self, board: Board) -> bool:
        """Plates go out, but for those of what may not be used any more."""
        try:
            return super()._serve(board)
        except Unsure:
            return False

    def _comes_into_sight(self, board: Board) -> Iterator[datetime]:
        """Nobody looks just because something comes."""
        return iter(())

    def _check(self, true: bool, what: str) -> None:
        self.truth.checked += 1
        if not true:
            self._broken(what)

    def _others_press(self) -> None:
        """What others do meanwhile, at any bench."""
        if self._does.random() < self._loses:
            self.lose_placements()
        if self._does.random() >= self._others:
            return
        board = plan(self.file.read(), self.clock.at)
        found = a_press(self.file, board, self._does)
        if found is None:
            return
        name, press = found
        self._check_undo(press, name)
        try:
            did = press()
        except (Refused, Unsure):
            return
        self.pressed[name] += 1
        if did.run and did.run not in self._promised:
            self._promised[did.run] = None, self.clock.at
        self._compare()

    def lose_placements(self) -> None:
        """Nobody kept where runs lie: a file that an older version wrote, or one put together from a copy."""
        path = self.file.path
        self.file.close()
        with closing(sqlite3.connect(path)) as db:
            db.execute("DELETE FROM schedules")
            db.execute("DELETE FROM settings WHERE name = ?", [PLACED_FOR])
            db.commit()
        self.file = KitchenFile.open(path, self.clock, random=self.file.random)
        self.file.makes_planner = Planner
        self.pressed["placements lost"] += 1

    def _is_to_begin(self, line: MakeLine) -> bool:
        """A line begins up to an hour and a half late; one in ten is forgotten for four hours."""
        if not super()._is_to_begin(line):
            return False
        key = str(line.line)
        if key not in self._not_before:
            delay = self._does.choice((0, 0, 5, 20, 45, 90)) if self._does.random() < 0.9 else 240
            self._not_before[key] = self.clock.at + delay * MINUTE
        return self.clock.at >= self._not_before[key]

    def _start(self, line: MakeLine) -> None:
        self._check_undo(lambda: start(self.file, COOK, line.prep, line.size, line.line, sure=True), "start")
        self.found.lines += 1
        if not line.steps:
            done(self.file, COOK, prep=line.prep, size=line.size, line=line.line, sure=True)
        else:
            run = start(self.file, COOK, line.prep, line.size, line.line, sure=True).run
            self._promised[run] = line, line.ready_if_started_now
            gives = next(one.ready_at for one in plan(self.file.read(), self.clock.at).under_way if one.run == run)
            said = line.ready_if_started_now
            self._check(abs(gives - said) < MINUTE, f"{line.line}: if started ready {said}, started {gives}")
        self._compare()

    def _go_on(self, run: UnderWay) -> None:
        """Goes on; some runs are lost, some give less."""
        recipe = next(one.recipe for one in self.file.read().runs if one.code == run.run)
        chance = self._does.random()
        if chance < 0.05:
            lost(self.file, COOK, run.run, "burnt")
        elif run.step + 1 < len(recipe.steps) or chance > 0.2:
            self._as_it_goes(run)
        else:
            less = {item: max(1, amount * 6 // 10) for item, amount in run.outputs.items()}
            done(self.file, COOK, run=run.run, outputs=less, sure=True)
        if chance > 0.9:
            self._tell(plan(self.file.read(), self.clock.at))
            self._somebody_is_ill()
        self._compare()

    def _as_it_goes(self, run: UnderWay) -> None:
        said = len(self.found.broken)
        try:
            super()._go_on(run)
        except Unsure:
            if run.next:
                step(self.file, COOK, run.run, sure=True)
            else:
                done(self.file, COOK, run=run.run, sure=True)
        del self.found.broken[said:]
        gone_on = plan(self.file.read(), self.clock.at).under_way
        gives = next((one.ready_at for one in gone_on if one.run == run.run), None)
        if gives is not None:
            what = f"{run.prep} {run.run}: ready {run.ready_at} as was said, gone on with {gives}"
            self._check(gives < run.ready_at + MINUTE, what)

    def _somebody_is_ill(self) -> None:
        state = self.file.read()
        station = self._does.choice(list(state.book.stations))
        day = state.book.kitchen.days.business_day(self.clock.at)
        cooks = self._does.choice((0, 1, 1, 2))
        with suppress(Refused):  # where a sous chef says so
            hands(self.file, COOK, day, station, cooks)

    def _check_undo(self, act: Callable[[], object], name: str) -> None:
        """Now and then, whether undo gives back exactly the plan from before, remembered or fresh."""
        if self._does.random() > 0.2:
            return
        before = self.file.read()
        board = plan(before, self.clock.at)
        try:
            act()
            plan(self.file.read(), self.clock.at)
            undo(self.file, COOK)
        except (Refused, Unsure):
            return
        after = self.file.read()
        forget()
        kept = (after.placements, after.placed_for) == (before.placements, before.placed_for)
        self._check(kept, f"{name}: undo put other placements back")
        self._check(plan(after, self.clock.at).make == board.make, f"{name}: undo gave another plan back")

    def _compare(self) -> None:
        """The plan as it is kept against one from nothing; where that is better, against one in which only what begins
        within the hour stays."""
        state = self.file.read()
        kept = plan(state, self.clock.at)
        new = plan(replace(state, placements={}, placed_for=""), self.clock.at)
        self.compared.looks += 1
        as_kept = kept.placing.digest == state.placed_for and _begins(kept.placing.placements) == _begins(
            state.placements
        )
        self._check(as_kept, "a board shows another plan than was just kept")
        pressed = self.file.planner.board(state, self.clock.at)
        self._check(pressed.make == kept.make, "the board that pressed says what no other one does")
        if _is_worse(kept, new):
            by = self.clock.at + HOUR
            soon = {line: one for line, one in state.placements.items() if one.steps and one.steps[0].begins < by}
            new = plan(replace(state, placements=soon, placed_for=""), self.clock.at, moving=True)
            self.compared.within_the_hour += not _is_worse(kept, new)
        if _lost(kept) > _lost(new):
            self.compared.lost_more += 1
        elif _lost(kept) == _lost(new):
            self.compared.later.append(_weighed(kept) - _weighed(new))


def _begins(placements: Mapping[str, Placement]) -> dict[str, list[datetime]]:
    return {line: [step.begins for step in one.steps] for line, one in placements.items()}


def _is_worse(kept: Board, new: Board) -> bool:
    lost, of_new = _lost(kept), _lost(new)
    return lost > of_new or (lost == of_new and _weighed(kept) > _weighed(new) + LITTLE)


def _lost(board: Board) -> int:
    """How often a line comes when the guests of a sitting that it is for have gone, or cannot be made for them."""
    return sum(not promised(line) or _are_gone(use, line, board) for line in board.make for use in _for_guests(line))


def _weighed(board: Board) -> float:
    """Late minutes by the part of its guests who want each, of the sitting for which that is most; for those who have
    gone when it comes, none: that is lost."""
    found = 0.0
    for line in board.make:
        if promised(line):
            waits = [use for use in _for_guests(line) if not _are_gone(use, line, board)]
            found += max((_late(use, line, board) * _part(use, line, board) for use in waits), default=0.0)
    return found


def _for_guests(line: MakeLine) -> list[Serves]:
    return [use for use in line.serves if use.run_of is None]


def _sitting(use: Serves, board: Board) -> SittingLine | None:
    return next((one for one in board.sittings if (one.service, one.day) == (use.service, use.day)), None)


def _are_gone(use: Serves, line: MakeLine, board: Board) -> bool:
    sitting = _sitting(use, board)
    return sitting is not None and line.ready_at >= sitting.ends


def _late(use: Serves, line: MakeLine, board: Board) -> float:
    """Minutes after the sitting's plates are set, or after what is there is out where the first guests have that."""
    sitting = _sitting(use, board)
    return (
        line.late_minutes if sitting is None else max(0, (line.ready_at - max(sitting.set_by, line.ready_by)) // MINUTE)
    )


def _part(use: Serves, line: MakeLine, board: Board) -> float:
    """The part of a sitting's guests who have a dish that needs it, at least a twentieth."""
    dishes = board.state.book.dishes.values()
    asked = sum(dish.share for dish in dishes if line.prep in dish.plate and use.service in dish.services)
    return max(0.05, float(asked))


def worked(file: KitchenFile, seed: int, hours: timedelta, **what: Any) -> Late:
    """A day of it; `what` as of `Late`."""
    kitchen = Late(file, seed, **what)
    kitchen.work(kitchen.clock.now() + hours)
    return kitchen
