"""What others press meanwhile, at any bench: early, unasked, counting, with fewer places, with other numbers."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from random import Random

from days.obedient import COOK

from prepboard.plan.board import Board
from prepboard.store.actions.food.making import start, step
from prepboard.store.actions.food.stock import count, discard
from prepboard.store.actions.night.today import equip, give, stay
from prepboard.store.actions.night.tonight import covers
from prepboard.store.file.who import Did
from prepboard.store.kitchen_file import KitchenFile

Press = Callable[[], Did]


def a_press(file: KitchenFile, board: Board, chance: Random) -> tuple[str, Press] | None:
    """Something that somebody could press now, and its name; None where what was drawn is not to be had."""
    kinds = (
        _early,
        _early,
        _goes_on,
        _goes_on,
        _unasked,
        _counts,
        _throws_away,
        _gives,
        _fewer_places,
        _guests,
        _stays,
    )
    kind = chance.choice(kinds)
    found = kind(file, board, chance)
    return None if found is None else (kind.__name__.strip("_").replace("_", " "), found)


def _early(file: KitchenFile, board: Board, chance: Random) -> Press | None:
    """Begins a line that is not to begin yet."""
    lines = [line for line in board.make if line.steps and line.begins > board.now and not line.too_late]
    if not lines:
        return None
    line = chance.choice(lines)
    return lambda: start(file, COOK, line.prep, line.size, line.line, sure=True)


def _goes_on(file: KitchenFile, board: Board, chance: Random) -> Press | None:
    """Goes on with a step before it is due."""
    may = [run for run in board.under_way if run.next and run.may_go_on_from and run.may_go_on_from <= board.now]
    may = [run for run in may if run.next_at > board.now]
    if not may:
        return None
    run = chance.choice(may)
    return lambda: step(file, COOK, run.run, sure=True)


def _unasked(file: KitchenFile, board: Board, chance: Random) -> Press | None:
    """Makes something that no line asks for."""
    prep = chance.choice([prep for prep in board.state.book.preps.values() if prep.steps])
    return lambda: start(file, COOK, prep.id, Fraction(1), sure=True)


def _counts(file: KitchenFile, board: Board, chance: Random) -> Press | None:
    batches = [batch for batch in board.state.batches if batch.left > 1 and not batch.blocked]
    if not batches:
        return None
    batch, part = chance.choice(batches), chance.choice((3, 6, 9))
    return lambda: count(file, COOK, batch.code, batch.left * part // 10, sure=True)


def _throws_away(file: KitchenFile, board: Board, chance: Random) -> Press | None:
    batches = [batch for batch in board.state.batches if batch.left]
    if not batches:
        return None
    batch = chance.choice(batches)
    return lambda: discard(file, COOK, batch.code, None, "dropped")


def _gives(file: KitchenFile, board: Board, chance: Random) -> Press | None:
    """Has another bench make something today."""
    state = board.state
    day = state.book.kitchen.days.business_day(board.now)
    prep, bench = chance.choice(list(state.book.preps)), chance.choice(list(state.book.stations))
    return lambda: give(file, COOK, day, prep, bench)


def _fewer_places(file: KitchenFile, board: Board, chance: Random) -> Press | None:
    state = board.state
    if not state.book.equipment:
        return None
    what = chance.choice(list(state.book.equipment.values()))
    day = state.book.kitchen.days.business_day(board.now)
    works = chance.choice((None, None, max(0, what.places - 1), what.places + 1))
    return lambda: equip(file, COOK, day, what.id, works)


def _guests(file: KitchenFile, board: Board, chance: Random) -> Press | None:
    if not board.sittings:
        return None
    sitting = chance.choice(board.sittings)
    guests = max(1, sitting.covers * chance.choice((8, 9, 11, 13)) // 10)
    return lambda: covers(file, COOK, (sitting.service, sitting.day), guests)


def _stays(file: KitchenFile, board: Board, chance: Random) -> Press | None:
    """Somebody stays after hours, or through a break."""
    benches = [bench for bench in board.state.book.stations.values() if bench.hours is not None]
    if not benches:
        return None
    bench, days = chance.choice(benches), board.state.book.kitchen.days
    day = days.business_day(board.now)
    windows = bench.hours.on(day) or ()
    if not windows:
        return None
    closes = chance.choice(windows)[1]
    return lambda: stay(file, COOK, day, bench.id, closes, chance.choice((30, 60, 90)))
