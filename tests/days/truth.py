"""Whether what a board says is true, sentence by sentence, by one who looks at it himself: where everything lies, what
a late line waits for, what is overdue, what is for nobody any more."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from itertools import pairwise
from math import ceil

from days.obedient import MINUTE, promised
from msgspec.structs import replace
from placing_checker import cooks_at, faults, places_at

from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.runs.runs import thaw
from prepboard.plan.shown.lines import MakeLine, UnderWay, WaitsFor


class Truth:
    """Counts the sentences that it was shown, and keeps those that were not true."""

    def __init__(self) -> None:
        self.checked = 0
        self.untrue: list[str] = []
        self._begins: dict[str, set[datetime]] = {}
        """Line -> when it was said to begin, ever."""
        self._lies: object = None
        """Where everything lay when it was last looked at."""

    def look(self, board: Board) -> list[str]:
        """What of a board is not true."""
        before = len(self.untrue)
        # What nobody will begin lies around all else, and where it lay once that is over.
        shown = replace(board, make=tuple(line for line in board.make if promised(line)))
        lies = [line.steps for line in shown.make], [run.steps for run in board.under_way], _there(board)
        if lies != self._lies:
            self._lies = lies
            self.checked += len(board.make) + sum(len(run.steps) for run in board.under_way)
            self.untrue += faults(shown)
        for line in board.make:
            self._lines(line, board)
        for run in board.under_way:
            self._under_way(run, board)
        return self.untrue[before:]

    def _say(self, true: bool, what: str) -> None:
        self.checked += 1
        if not true:
            self.untrue.append(what)

    def _lines(self, line: MakeLine, board: Board) -> None:
        ends = line.steps[-1].ends if line.steps else line.begins
        there = max(ends, board.now) + thaw(board.state.book.preps[line.prep])
        if promised(line):
            self._say(
                there - MINUTE < line.ready_at < there + MINUTE, f"{line.line}: ready {line.ready_at}, ends {ends}"
            )
            self._say(line.begins >= board.now, f"{line.line}: begins before now")
        over = _all_over(line, board)
        if over is not None:
            said = "too late" if line.too_late else "not too late"
            self._say(over == line.too_late, f"{line.line}: said to be {said}, ready {line.ready_at}")
        self._moved(line)
        for note in line.notes:
            if note.kind == "over" and note.facts["item"] == line.prep and line.steps:
                self._say(note.facts["until"] == line.use_by, f"{line.line}: over until {note.facts['until']}")
        if line.waits_for is not None and promised(line):
            self._say(_waits(line, line.waits_for, board), f"{line.line}: waits for {line.waits_for}")
        elif line.late_minutes and promised(line) and line.steps:
            self._say(_goes_at_once(line, board), f"{line.line}: late {line.late_minutes} min and waits for nothing")

    def _moved(self, line: MakeLine) -> None:
        """From when it says it moved it was said to begin."""
        known = self._begins.setdefault(str(line.line), set())
        for note in line.notes:
            if note.kind == "moved":
                since = note.facts["since"]
                self._say(since in known or not known, f"{line.line}: moved from {since}, where it never lay")
        known.add(line.begins)
        known |= {step.begins for step in line.steps[:1]}

    def _under_way(self, run: UnderWay, board: Board) -> None:
        made = next(one for one in board.state.runs if one.code == run.run)
        if run.step < 0:
            return
        step = made.recipe.steps[run.step]
        wait = step.wait * MINUTE
        hands = run.steps[0].hands_until - run.steps[0].begins
        hands -= wait if step.attended else 0 * MINUTE
        self._say(run.steps[0].begins == made.step_began, f"{run.run}: its step began {made.step_began}")
        self._say(run.may_go_on_from == made.step_began + hands + wait, f"{run.run}: may go on {run.may_go_on_from}")
        by = run.go_on_by
        late = max(0, (board.now - by) // MINUTE) if by else 0
        self._say(run.overdue_minutes == late, f"{run.run}: overdue {run.overdue_minutes}, by {by}")
        last = max(run.steps[-1].ends, board.now) + thaw(made.recipe)
        self._say(run.ready_at == last, f"{run.run}: ready {run.ready_at}, lies to {last}")


def _there(board: Board) -> tuple[object, ...]:
    """The hands and places that there are."""
    state = board.state
    return state.hands, state.equipment, state.staying, state.given


def _all_over(line: MakeLine, board: Board) -> bool | None:
    """Whether all guests that a line is for have gone by the time it is ready; None where other runs take of it."""
    if not line.serves or any(use.run_of is not None for use in line.serves):
        return None
    ends = {(sitting.service, sitting.day): sitting.ends for sitting in board.sittings}
    uses = [(use.service, use.day) for use in line.serves]
    if any(use not in ends for use in uses) or any(one.line.need == str(line.line) for one in board.make):
        return None
    if any(not one.too_late and any(use.item in line.outputs for use in one.takes) for one in board.make):
        return None
    return all(line.ready_at >= ends[use] for use in uses)


def _goes_at_once(line: MakeLine, board: Board) -> bool:
    """Whether a line begins now and no step of it waits longer than it must."""
    recipe = board.state.book.preps[line.prep]
    pairs = zip(line.steps, recipe.steps, strict=True)
    waits = [placed.ends - placed.hands_until > step.wait * MINUTE for placed, step in pairs if not step.attended]
    return line.begins < board.now + MINUTE and not any(waits)


def _waits(line: MakeLine, cause: WaitsFor, board: Board) -> bool:
    """Whether what it is said to wait for still holds it a minute before its step begins."""
    step = line.steps[cause.step]
    before, state = step.begins - MINUTE, board.state
    if cause.kind == "hours":
        out = step.ends - 2 * MINUTE
        if not cooks_at(state, cause.what, before) or not cooks_at(state, cause.what, out):
            return True
        # More come when the break is over; whoever stayed in it has both hands full.
        busy = [one for _, one in _others(line, board) if one.station == cause.what]
        busy = [one for one in busy if one.begins <= before < one.hands_until]
        return cooks_at(state, cause.what, before) <= len(busy) < cooks_at(state, cause.what, step.begins)
    if cause.kind in ("hands", "place"):
        return any(_holds(cause, before, prep, placed) for prep, placed in _others(line, board))
    if cause.kind == "works":
        return cause.until == step.begins and places_at(state, cause.what, before) < _takes(line, cause, board)
    if cause.kind == "ingredient":
        return cause.what in {use.item for use in state.book.preps[line.prep].uses} and _comes(
            cause, step.begins, board
        )
    return cause.kind == "life" or cause.what in state.missing


def _takes(line: MakeLine, cause: WaitsFor, board: Board) -> int:
    """How many places of what it waits for a line takes: a place that works, or so many whole ones."""
    step, racks = board.state.book.preps[line.prep].steps[cause.step], board.state.book.equipment[cause.what].racks
    return max(1, ceil(ceil(step.racks * line.size) / racks))


def _holds(cause: WaitsFor, before: datetime, prep: str, placed) -> bool:
    if prep != cause.by or not placed.begins <= before or not before < cause.until < before + 2 * MINUTE:
        return False  # whoever stays longer is not in its way
    if cause.kind == "hands":
        return placed.station == cause.what and placed.hands_until == cause.until and placed.hands_until > before
    return placed.equipment == cause.what and before < cause.until <= max(placed.ends, placed.hands_until)


def _others(line: MakeLine, board: Board) -> Iterator[tuple[str, object]]:
    for other in board.make:
        if other.line != line.line:
            yield from ((other.prep, placed) for placed in other.steps)
    for run in board.under_way:
        yield from ((run.prep, placed) for placed in run.steps)


def _comes(cause: WaitsFor, begins: datetime, board: Board) -> bool:
    """Whether some run, or what thaws, gives it just when the step begins."""
    ready = [one.ready_at for one in (*board.make, *board.under_way) if cause.what in one.outputs]
    ready += [_there_from(batch, board) for batch in board.state.batches if batch.prep == cause.what]
    near = any(at - MINUTE < cause.until < at + MINUTE for at in ready)
    return near and begins - MINUTE < cause.until


def _there_from(batch: Batch, board: Board) -> datetime:
    """From when on somebody could take of a batch: what is frozen thaws from now on at best, what was taken out since
    then."""
    wait = board.state.book.preps[batch.prep].thaw * MINUTE
    if batch.store == "frozen":
        return max(board.now, batch.made_at) + wait
    stays = batch.history.stays
    out = [stay.since for before, stay in pairwise(stays) if before.store == "frozen" and stay.store != "frozen"]
    return out[-1] + wait if out else batch.made_at
