"""What lateness costs the guests: plates that are lost, plates that wait, and minutes, of a board as it stands.

A line costs nothing as long as it is ready in time. Of one that is ready later, the guests wait who have come by then
beyond those whom what is there serves; of one that is ready after its sitting, all the plates that need it are lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta

from msgspec import Struct, field

from prepboard.plan.board import Board
from prepboard.plan.demand.expected import at_sitting
from prepboard.plan.demand.occasions import Curve, Occasion, come, occasions, table
from prepboard.plan.demand.plating import Plating
from prepboard.plan.given.state import Sitting
from prepboard.plan.shown.lines import MakeLine, Serves

MINUTE = timedelta(minutes=1)
NO_TIME = timedelta()


class Loss(Struct, frozen=True):
    """What one line costs: `lost` and `waiting` are plates, `minutes` how late it is, `dishes` those of which there is
    none for the whole sitting."""

    lost: float = 0.0
    waiting: float = 0.0
    minutes: int = 0
    dishes: frozenset[str] = frozenset()

    @property
    def guests(self) -> float:
        return self.lost + self.waiting


class Losses(Struct, frozen=True):
    """Of all lines of a board, by the text of the line, or by need for the rest of one that was begun."""

    by_line: Mapping[str, Loss]
    lost: float = 0.0
    waiting: float = 0.0
    minutes: int = 0
    dishes: frozenset[str] = field(default_factory=frozenset)

    @property
    def order(self) -> tuple[float, float, int]:
        """Smaller is better: plates lost, then plates that wait, then minutes late."""
        return round(self.lost, 6), round(self.waiting, 6), self.minutes


def losses(board: Board, held: Mapping[Sitting, Occasion], begun: Iterable[tuple[MakeLine, datetime]] = ()) -> Losses:
    """What the lines of a board cost, and those that were `begun` with when they will be ready. `held` are the
    sittings ahead."""
    found = {str(line.line): _loss(board, line, line.ready_at, held) for line in board.make}
    found.update({str(line.line): _loss(board, line, ready, held) for line, ready in begun})
    dishes: frozenset[str] = frozenset()
    return Losses(
        found,
        sum(loss.lost for loss in found.values()),
        sum(loss.waiting for loss in found.values()),
        sum(loss.minutes for loss in found.values()),
        dishes.union(*(loss.dishes for loss in found.values())),
    )


def sittings_ahead(board: Board) -> dict[Sitting, Occasion]:
    """The sittings that the board's lines are for."""
    ends = max([board.now, *(line.ends for line in board.sittings)])
    return {one.key: one for one in occasions(board.state, board.now, ends)}


def _loss(board: Board, line: MakeLine, ready: datetime, held: Mapping[Sitting, Occasion]) -> Loss:
    minutes = max(0, -((line.ready_by - ready) // MINUTE))
    if not minutes:
        return Loss()
    lost = waiting = 0.0
    dishes: set[str] = set()
    for use in line.serves:
        occasion = held.get((use.service, use.day)) if use.service and not use.run_of else None
        if occasion is None:
            continue
        takers = plates_of(board, line.prep, occasion)
        plates = _share(line, use) * sum(takers.values())
        if ready >= occasion.ends:
            lost += plates
            dishes |= set(takers) if not line.on_hand + line.under_way else set()
        else:
            goes = Plating(board.state, board.now, occasion).together(_portions(board, line.prep, occasion))
            waiting += plates * _come(goes, board.now, ready, line)
    return Loss(lost, waiting, minutes, frozenset(dishes))


def plates_of(board: Board, prep: str, occasion: Occasion) -> dict[str, float]:
    """The dishes of a sitting that take a prep, with the plates that are still expected of each."""
    plating = Plating(board.state, board.now, occasion)
    return {dish: plating.still(dish, whole) for dish, whole in _portions(board, prep, occasion).items()}


def _portions(board: Board, prep: str, occasion: Occasion) -> dict[str, float]:
    """The dishes of a sitting that take a prep, with the plates expected of each in the whole sitting."""
    offered = table(board.state.book, occasion)
    known = at_sitting(board.state, board.now, occasion)
    return {dish: known.portions(dish) for dish, one in offered.dishes.items() if prep in one.plate}


def _share(line: MakeLine, use: Serves) -> float:
    """The part of a sitting's plates that what this run gives it is for."""
    return min(1.0, use.amount / line.par) if line.par and len(line.serves) == 1 else 1.0 if not line.par else _of(line)


def _of(line: MakeLine) -> float:
    return min(1.0, (line.short or line.amount) / line.par) if line.par else 1.0


def _come(goes: Curve, now: datetime, ready: datetime, line: MakeLine) -> float:
    """The part of the plates of a run that guests wait for: those who come from now until it is ready, less those whom
    what is there serves."""
    by_now = come(goes, now)
    part = (come(goes, ready) - by_now) / (1 - by_now) if by_now < 1 else 1.0
    there = max(0.0, 1 - _of(line))
    return max(0.0, part - there) / (1 - there) if there < 1 else 0.0
