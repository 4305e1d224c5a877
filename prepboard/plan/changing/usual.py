"""What is usually asked for where somebody types a number: covers, counts, pars."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from msgspec.structs import replace

from prepboard.plan.board import Board
from prepboard.plan.demand.bookings import usual_covers, weekday_key
from prepboard.plan.demand.closed_evenings import fold
from prepboard.plan.given.numbers import Change, Number
from prepboard.plan.given.state import Sitting


def with_usual(board: Board, changes: Iterable[Change]) -> list[Change]:
    """The changes, each beside what is usual for its number."""
    return [replace(change, usual=usual(board, change.number)) for change in changes]


def usual(board: Board, number: Number) -> int | Fraction | None:
    """What is usually asked for of what a number sets; None where nothing is known, and where it is not asked."""
    if number.of == "mix" and number.item in board.state.book.dishes:
        return board.state.book.dishes[number.item].share
    if number.of == "covers" and number.sitting:
        return _covers(board, number.sitting)
    if number.of == "count" and number.sitting:
        return _covers(board, number.sitting)
    if number.of in ("par", "standing par", "weekday par"):
        return _par(board, number.item)
    return None


def usual_guests(board: Board, service: str, day: date) -> int | None:
    """How many guests a service usually has; of one that is like none, as many as any service of the book has."""
    if service:
        return _covers(board, (service, day))
    return max((n for one in board.state.book.services.values() for n in one.covers.days if n), default=None)


def usual_there(board: Board, prep: str) -> int | None:
    """How much of a prep is usually there: what is known to be, its par, what is expected, or one run."""
    known = sum(batch.left for batch in board.state.batches if batch.prep == prep)
    return max(known, _par(board, prep) or 0) or None


def _covers(board: Board, sitting: Sitting) -> int | None:
    service, day = sitting
    named = board.state.book.services.get(service)
    booked = [n for n in named.covers.days if n] if named else []
    learned = fold(board.state, board.now).now.common
    usually = usual_covers(learned, service, weekday_key(service, day), 0.0) if service in learned.bookings else 0.0
    return max([*booked, round(usually)]) or None if booked or usually else None


def _par(board: Board, prep: str) -> int | None:
    """The largest par that is not by hand, what is expected, or one run: of the smallest size, or where nothing asks
    for it of the largest."""
    recipe = board.state.book.preps.get(prep)
    if recipe is None:
        return None
    maker = next((board.state.book.preps[one] for one in recipe.made_by if one in board.state.book.preps), None)
    known = [line.par for line in board.pars if line.prep == prep and line.source not in ("by hand", "standing")]
    known += [line.expected for line in board.pars if line.prep == prep]
    known += [amount for amount in recipe.par.days if amount] if recipe.par else []
    usually = max(known, default=0)
    size = Fraction(0) if maker is None else maker.sizes.smallest if usually else maker.sizes.largest or Fraction(1)
    return max(usually, int(maker.outputs.get(prep, 0) * size) if maker else 0) or None
