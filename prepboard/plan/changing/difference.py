"""What a change of numbers would cost: two boards of one moment compared, as it stands and as it would be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from fractions import Fraction

from msgspec import Struct

from prepboard.plan.board import Board
from prepboard.plan.given.state import Sitting
from prepboard.plan.runs.costs import cost_of
from prepboard.plan.shown.closing_lines import LeftOver
from prepboard.plan.shown.lines import MakeLine, Note, StationWork


class Later(Struct, frozen=True):
    """A line that would be late, or later than it is: `before` is 0 when it is in time as things stand."""

    line: MakeLine
    before: int


class Trouble(Struct, frozen=True):
    """A note that a line would have, and has not as things stand."""

    line: MakeLine
    note: Note


SMALL = frozenset(
    {
        "over",
        "long wait",
        "make again by",
        "late by",
        "in time",
        "smaller in time",
        "could give way",
        "off until",
        "a little short",
    }
)
"""Notes that are no trouble, or only say more of a line that is named as late."""


class ChanceOfAll(Struct, frozen=True):
    """The chance that every dish of a sitting stands."""

    sitting: Sitting
    before: float | None
    after: float | None


class Difference(Struct, frozen=True):
    """What would change. Lines are by start-by; `work` is hands-on minutes more (below 0: less) by station."""

    more: tuple[MakeLine, ...]
    fewer: tuple[MakeLine, ...]
    larger: tuple[MakeLine, ...]
    smaller: tuple[MakeLine, ...]
    work: Mapping[str, int]
    later: tuple[Later, ...]
    in_time: tuple[MakeLine, ...]
    """Late as things stand, and not any more."""
    earlier: tuple[MakeLine, ...]
    """In time, but to be started earlier than as things stand."""
    troubles: tuple[Trouble, ...]
    over: tuple[StationWork, ...]
    """Stations with more work before the next service than hands, and more so than as things stand."""
    left_over: tuple[LeftOver, ...]
    """What more would be left over, and its first use-by; the costliest first, what has no price last."""
    chances: tuple[ChanceOfAll, ...]

    @property
    def work_minutes(self) -> int:
        """Hands-on minutes more, of all stations; below 0 less."""
        return sum(self.work.values())


def difference(before: Board, after: Board) -> Difference:
    """From the board as it stands to the board as it would be; both of the same moment."""
    were, are = ({str(line.line): line for line in board.make} for board in (before, after))
    both = [(were[key], line) for key, line in are.items() if key in were]
    new = tuple(line for key, line in are.items() if key not in were)
    late = [Later(line, old.late_minutes) for old, line in both if line.late_minutes > old.late_minutes]
    late += [Later(line, 0) for line in new if line.late_minutes]
    return Difference(
        more=new,
        fewer=tuple(line for key, line in were.items() if key not in are),
        larger=tuple(line for old, line in both if line.size > old.size),
        smaller=tuple(line for old, line in both if line.size < old.size),
        work=_more_work(before, after),
        later=tuple(sorted(late, key=lambda one: (-one.line.late_minutes, one.line.begins))),
        in_time=tuple(line for old, line in both if old.late_minutes and not line.late_minutes),
        earlier=tuple(line for old, line in both if line.begins < old.begins and not line.late_minutes),
        troubles=tuple(_troubles(were, after.make)),
        over=_more_over(before, after),
        left_over=_more_left(before, after),
        chances=_chances(before, after),
    )


def hands_on(lines: Iterable[MakeLine], board: Board) -> dict[str, int]:
    """Hands-on minutes of these lines, by station."""
    minutes: dict[str, int] = defaultdict(int)
    for line in lines:
        recipe = board.state.book.preps[line.prep]
        for placed in line.steps:
            station = recipe.steps[placed.step].station
            station = line.station if station == recipe.station else station
            minutes[station] += int((placed.hands_until - placed.begins).total_seconds()) // 60
    return minutes


def _more_work(before: Board, after: Board) -> dict[str, int]:
    were, are = hands_on(before.make, before), hands_on(after.make, after)
    more = {station: are.get(station, 0) - were.get(station, 0) for station in after.state.book.stations}
    return {station: minutes for station, minutes in more.items() if minutes}


def _troubles(were: Mapping[str, MakeLine], lines: Iterable[MakeLine]) -> Iterator[Trouble]:
    for line in lines:
        old = were.get(str(line.line))
        known = {note.kind for note in old.notes} if old else set()
        new = {note.kind: note for note in reversed(line.notes) if note.kind not in known | SMALL}
        yield from (Trouble(line, note) for note in reversed(new.values()))


def _more_over(before: Board, after: Board) -> tuple[StationWork, ...]:
    were = {work.station: work.over_minutes for work in before.work}
    return tuple(work for work in after.work if work.over_minutes > were.get(work.station, 0))


def _more_left(before: Board, after: Board) -> tuple[LeftOver, ...]:
    were = {(left.prep, left.good_until): left.amount for left in before.left_over}
    grown: dict[str, list[tuple[datetime, int]]] = defaultdict(list)
    sums: dict[str, int] = defaultdict(int)
    for left in before.left_over:
        sums[left.prep] -= left.amount
    for left in after.left_over:
        sums[left.prep] += left.amount
        if left.amount > were.get((left.prep, left.good_until), 0):
            grown[left.prep].append((left.good_until, left.amount))
    found = [LeftOver(prep, more, min(grown[prep])[0]) for prep, more in sums.items() if more > 0]
    return tuple(sorted(found, key=lambda left: -(cost_of(after.state.book, left.prep, left.amount) or Fraction(0))))


def _chances(before: Board, after: Board) -> tuple[ChanceOfAll, ...]:
    were = {(line.service, line.day): line.chance_all_stand for line in before.sittings}
    return tuple(
        ChanceOfAll((line.service, line.day), were.get((line.service, line.day)), line.chance_all_stand)
        for line in after.sittings
    )
