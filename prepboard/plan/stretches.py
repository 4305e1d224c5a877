"""Stretches: where each step of what is planned and under way lies, as one flat list for the timeline."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from msgspec import Struct

from prepboard.book.book import Prep, Temperature
from prepboard.book.names import as_read
from prepboard.plan.board import Board
from prepboard.plan.given.state import Placed
from prepboard.plan.runs.staying import hours_of


class Stretch(Struct, frozen=True):
    """One step in time: hands-on from `begins` to `hands_until`, then its wait to `ends`.

    `key` is a run's code or the text of a line; `holds_until` is how long it takes `places` of its equipment.
    """

    key: str
    prep: str
    station: str
    step: str
    """What is done, as the book has it."""
    equipment: str | None
    at: Temperature | None
    places: tuple[int, ...]
    begins: datetime
    hands_until: datetime
    ends: datetime
    holds_until: datetime
    under_way: bool
    late_minutes: int
    overdue_minutes: int = 0
    """Of the step under way, where it cannot wait."""

    @property
    def doing(self) -> str:
        return as_read(self.step)


def stretches(board: Board) -> tuple[Stretch, ...]:
    """Every step of every run, those under way first, then by start-by; the steps of a run in order."""
    return tuple(_all(board))


def away(board: Board, station: str, since: datetime, until: datetime) -> list[tuple[datetime, datetime]]:
    """When nobody of a station is there between two moments: its breaks and what lies outside its hours. A gap
    between two of its windows is whole, also where it begins before or ends after."""
    hours = hours_of(board.state, station, since)
    if hours.always:
        return []
    gone: list[tuple[datetime, datetime]] = []
    at = since
    while at < until:
        opens = hours.earliest_start(1, at)
        if opens is None:
            return [*gone, (at, until)]
        if opens > at:
            gone.append((at, opens))
        at = hours.closes(opens)
    return gone


def _all(board: Board) -> Iterator[Stretch]:
    recipes = {run.code: run.recipe for run in board.state.runs}
    for run in board.under_way:
        late = run.late_minutes
        yield from _of(run.run, recipes[run.run], run.station, run.steps, late, board.now, run.overdue_minutes)
    for line in board.make:
        recipe = board.state.book.preps[line.prep]
        yield from _of(str(line.line), recipe, line.station, line.steps, line.late_minutes, None)


def _of(
    key: str,
    recipe: Prep,
    station: str,
    steps: tuple[Placed, ...],
    late_minutes: int,
    now: datetime | None,
    overdue: int = 0,
) -> Iterator[Stretch]:
    """With `now` the steps are of a run under way, and the first of them holds its place until it goes on."""
    for number, placed in enumerate(steps):
        written = recipe.steps[placed.step]
        on = steps[number + 1].begins if number + 1 < len(steps) else placed.ends
        held = max(on, placed.ends, now) if now and not number else max(on, placed.ends)
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
            held if written.holds == "all" else placed.hands_until,
            now is not None,
            late_minutes,
            0 if number else overdue,
        )
