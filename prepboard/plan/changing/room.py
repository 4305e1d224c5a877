"""Room in equipment this moment: whether what is begun now has a place beside what stands in it already."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from math import ceil

from prepboard.book.book import Step
from prepboard.plan.board import Board
from prepboard.plan.floor.floor import degrees
from prepboard.plan.runs.today import places


def has_room(board: Board, step: Step, size: Fraction) -> bool:
    """Whether there is a place for a step of a run of this size, of those that work today: an empty one, or one at its
    temperature with racks to spare. What is only planned makes way."""
    if step.equipment is None:
        return True
    state, now = board.state, board.now
    equipment = state.book.equipment[step.equipment]
    day = state.book.kitchen.days.business_day(now)
    works = places(state, equipment, day)
    needed = max(1, ceil(step.racks * size))
    inside = _inside(board, step.equipment)
    free = sum(1 for number in range(1, works + 1) if not inside[number])
    heat = degrees(step.at)
    shared = any(
        all(other == heat for other, _ in here) and sum(racks for _, racks in here) + needed <= equipment.racks
        for number, here in inside.items()
        if here and number <= works
    )
    return shared or free >= -(-needed // equipment.racks)


def _inside(board: Board, equipment: str) -> dict[int, list[tuple[Fraction | None, int]]]:
    """By place, at which heat and in how many racks runs under way stand in it."""
    runs = {run.code: run for run in board.state.runs}
    found: dict[int, list[tuple[Fraction | None, int]]] = defaultdict(list)
    for shown in board.under_way:
        for placed in shown.steps:
            run = runs.get(shown.run)
            if run is None or placed.equipment != equipment or placed.begins > board.now:
                continue
            written = run.recipe.steps[placed.step]
            if board.now < (placed.ends if written.holds == "all" else placed.hands_until):
                for number in placed.places or (1,):
                    found[number].append((degrees(placed.at), max(1, ceil(written.racks * run.size))))
    return found
