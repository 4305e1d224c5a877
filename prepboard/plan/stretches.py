"""Stretches: where each step of what is planned and under way lies, as one flat list for the timeline."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from msgspec import Struct

from prepboard.book.book import Prep, Temperature
from prepboard.plan.board import Board
from prepboard.plan.given.state import Placed


class Stretch(Struct, frozen=True):
    """One step in time: hands-on from `begins` to `hands_until`, then its wait to `ends`.

    `key` is a run's code or the text of a line; `holds_until` is how long it takes `places` of its equipment.
    """

    key: str
    prep: str
    station: str
    doing: str
    equipment: str | None
    at: Temperature | None
    places: tuple[int, ...]
    begins: datetime
    hands_until: datetime
    ends: datetime
    holds_until: datetime
    under_way: bool
    late_minutes: int


def stretches(board: Board) -> tuple[Stretch, ...]:
    """Every step of every run, those under way first, then by start-by; the steps of a run in order."""
    return tuple(_all(board))


def _all(board: Board) -> Iterator[Stretch]:
    recipes = {run.code: run.recipe for run in board.state.runs}
    for run in board.under_way:
        yield from _of(run.run, recipes[run.run], run.station, run.steps, True, 0)
    for line in board.make:
        recipe = board.state.book.preps[line.prep]
        yield from _of(str(line.line), recipe, line.station, line.steps, False, line.late_minutes)


def _of(
    key: str, recipe: Prep, station: str, steps: tuple[Placed, ...], under_way: bool, late_minutes: int
) -> Iterator[Stretch]:
    for placed in steps:
        written = recipe.steps[placed.step]
        yield Stretch(
            key,
            recipe.id,
            placed.station or station,
            written.do,
            written.equipment,
            written.at,
            placed.places,
            placed.begins,
            placed.hands_until,
            placed.ends,
            placed.ends if written.holds == "all" else placed.hands_until,
            under_way,
            late_minutes,
        )
