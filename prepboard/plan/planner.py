"""Who plans for a file that is held open: one plan for a press, kept by the action and shown by the board that pressed.

A plan holds for the minute as long as nothing that it follows from is another; then it is taken, not made again.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from msgspec.structs import replace

from prepboard.plan.board import Board, write_out
from prepboard.plan.given.state import Lies, Placed, Placement, State
from prepboard.plan.memory import planning
from prepboard.plan.outline import Outline, lies_in, outline
from prepboard.plan.probes.watching import held_back

KEPT_OF_A_PLAN = frozenset({"version", "placements", "placed_for", "placed_at", "nowhere", "lost", "slipped"})
"""What of a State says nothing about a kitchen but what was kept of a plan."""

_FACTS = tuple(name for name in State.__struct_fields__ if name not in KEPT_OF_A_PLAN)


class Planner:
    """Plans for whoever has one file open, and takes the last plan where that still stands. One at a time, whatever
    thread asks."""

    def __init__(self) -> None:
        self._last: Outline | None = None
        self._board: Board | None = None
        """The last outline's lines, once somebody asked for them."""

    def board(self, state: State, now: datetime) -> Board:
        """The board of a kitchen within this minute; its `now` is when it was planned."""
        with planning:
            found = self._outline(state, now)
            if self._board is None:
                self._board = write_out(found, state)
            elif self._board.state is not state:
                known = self._board.looked_at_left
                self._board = replace(self._board, state=held_back(state, found.watch), given_left=known)
            return self._board

    def where_runs_lie(self, state: State, now: datetime, moving: bool) -> Lies:
        """Where the plan puts all runs, as boards show them or, `moving`, for an action to keep."""
        with planning:
            return lies_in(self._outline(state, now, moving))

    def ended_shorts(self, state: State, now: datetime) -> Mapping[tuple[str, str], date]:
        """What was short in a sitting under way and is there in the plan that an action keeps, with its day."""
        with planning:
            return write_out(self._outline(state, now, True), state).ended_shorts

    def _outline(self, state: State, now: datetime, moving: bool = False) -> Outline:
        if self._last is None or not _stands(self._last, state, now, moving):
            self._last, self._board = outline(state, now, moving), None
        return self._last


def _stands(last: Outline, state: State, now: datetime, moving: bool) -> bool:
    """Whether an outline is that of this state, too: it was planned from it within the minute, or was kept since."""
    if _minute(last.now) != _minute(now) or not _same(last.given, state):
        return False
    given, placing = last.given, last.placing
    planned_from = state.placed_for == given.placed_for and _as_kept(given.placements) == _as_kept(state.placements)
    # What time alone moved, or nobody began, a press may better, though it changes nothing else.
    return (planned_from and moving == last.moving) or (
        moving <= last.moving
        and state.placed_for == placing.digest
        and _as_kept(placing.placements) == _as_kept(state.placements)
    )


def _same(before: State, after: State) -> bool:
    pairs = ((getattr(before, name), getattr(after, name)) for name in _FACTS)
    return all(old is new or old == new for old, new in pairs)


def _as_kept(placements: Mapping[str, Placement]) -> dict[str, Placement]:
    """Of a step its times and places alone are kept: the rest is the recipe's."""
    return {
        line: Placement(
            one.size,
            one.ready_by,
            one.due,
            tuple(
                Placed(step.step, step.begins, step.hands_until, step.ends, places=step.places) for step in one.steps
            ),
        )
        for line, one in placements.items()
    }


def _minute(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)
