"""A second look at a plan, minute by minute and with nothing of the plan's own: what is wrong with where it lies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from math import ceil

from prepboard.book.book import Prep
from prepboard.plan.board import Board
from prepboard.plan.given.state import Placed, State
from prepboard.plan.shown.lines import MakeLine

MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)


def faults(board: Board) -> list[str]:
    """Everything that a plan must never do, found by counting; lines that the plan says do not fit are left out."""
    lines = [line for line in board.make if not any(note.kind == "cannot fit" for note in line.notes)]
    recipes = {line.prep: board.state.book.preps[line.prep] for line in lines}
    found: list[str] = []
    for line in lines:
        found += _chain(line, recipes[line.prep], board)
        found += _hours(line, recipes[line.prep], board.state)
    found += _hands(lines, board)
    found += _places(lines, board)
    found += _taken(lines, recipes)
    return found


def _chain(line: MakeLine, recipe: Prep, board: Board) -> Iterator[str]:
    for number, (placed, step) in enumerate(zip(line.steps, recipe.steps, strict=True)):
        seconds = step.hands_on + step.hands_on_each * line.size
        hands, least, most = ceil(seconds / 60), step.wait, max(step.wait, step.wait_up_to)
        if step.attended:
            hands, least, most = hands + least, 0, most - least
        wait = (placed.ends - placed.hands_until) // MINUTE
        if placed.hands_until - placed.begins != hands * MINUTE:
            yield f"{line.line} step {number}: hands-on of another length"
        if not least <= wait <= most:
            yield f"{line.line} step {number}: waits {wait} min, not {least} to {most}"
        if number + 1 < len(line.steps) and line.steps[number + 1].begins != placed.ends:
            yield f"{line.line} step {number}: the next one begins at another time than it ends"
        if placed.begins < _minute(board.now):
            yield f"{line.line} step {number}: begins before this minute"


def windows(state: State, station: str, at: datetime) -> list[tuple[datetime, datetime, int]]:
    """(opens, closes, cooks) of a station around an instant."""
    found, days = state.book.stations[station], state.book.kitchen.days
    around = []
    for apart in range(-2, 3):
        day = days.business_day(at) + apart * DAY
        cooks = state.hands.get((station, day), found.cooks.on(day))
        if found.hours is None:
            around.append((days.opens(day), days.opens(day + DAY), cooks))
        for opens, closes in (found.hours.on(day) or ()) if found.hours else ():
            around.append((*_on_the_wall(state, day, opens, closes), cooks))
    # Whoever stays is one pair of hands outside the hours only.
    for (whose, day, clock), minutes in state.staying.items():
        if whose == station and found.hours is not None:
            since = days.in_day(day, time.fromisoformat(clock))
            around.append((since, since + minutes * MINUTE, 1))
    return around


def _on_the_wall(state: State, day: date, opens: time, closes: time) -> tuple[datetime, datetime]:
    """The instants of a window's written times; what is before the day's start, or not after its own begin, is of the
    next calendar day."""
    days = state.book.kitchen.days
    first = day + DAY if opens < days.starts else day
    last = first if closes > opens else first + DAY
    return tuple(
        datetime.combine(on, clock, days.zone).astimezone(UTC) for on, clock in ((first, opens), (last, closes))
    )


def cooks_at(state: State, station: str, at: datetime) -> int:
    return next((cooks for opens, closes, cooks in windows(state, station, at) if opens <= at < closes), 0)


def places_at(state: State, equipment: str, at: datetime) -> int:
    """How many places of a piece of equipment work then."""
    day = state.book.kitchen.days.business_day(at)
    return state.equipment.get((equipment, day), state.book.equipment[equipment].places)


def _hours(line: MakeLine, recipe: Prep, state: State) -> Iterator[str]:
    for placed, step in zip(line.steps, recipe.steps, strict=True):
        for minute in _minutes(placed.begins, placed.hands_until):
            if not cooks_at(state, placed.station, minute):
                yield f"{line.line} step {placed.step}: hands-on at {minute} when nobody is there"
                break
        rigid = step.wait and not step.attended and max(step.wait, step.wait_up_to) == step.wait
        if rigid and not cooks_at(state, placed.station, placed.ends - MINUTE):
            yield f"{line.line} step {placed.step}: comes out at {placed.ends} when nobody is there"


def _minutes(begin: datetime, end: datetime) -> Iterator[datetime]:
    """The whole minutes of a span: what began within one ends within one, in which the next may begin."""
    begin, end = _minute(begin), _minute(end)
    while begin < end:
        yield begin
        begin += MINUTE


def _minute(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)


def _steps(lines: list[MakeLine], board: Board) -> Iterator[tuple[str, Prep, Fraction, Placed]]:
    for line in lines:
        for placed in line.steps:
            yield str(line.line), board.state.book.preps[line.prep], line.size, placed
    for run in board.under_way:
        recipe = next(one.recipe for one in board.state.runs if one.code == run.run)
        for placed in run.steps:
            yield run.run, recipe, run.size, placed


def _hands(lines: list[MakeLine], board: Board) -> Iterator[str]:
    at_work: dict[tuple[str, datetime], set[str]] = defaultdict(set)
    for name, _, _, placed in _steps(lines, board):
        for minute in _minutes(max(placed.begins, board.now), placed.hands_until):
            at_work[placed.station, minute].add(name)
    planned = {str(line.line) for line in lines}
    for (station, minute), names in at_work.items():
        if len(names) > cooks_at(board.state, station, minute) and planned & names:
            yield f"{station} at {minute}: {len(names)} at work: {', '.join(sorted(names))}"


def celsius(placed: Placed) -> Fraction | None:
    if placed.at is None:
        return None
    return placed.at.degrees if placed.at.unit == "C" else (placed.at.degrees - 32) * 5 / 9


def _places(lines: list[MakeLine], board: Board) -> Iterator[str]:
    inside: dict[tuple[str, int, datetime], list[tuple[str, int, Fraction | None]]] = defaultdict(list)
    equipment = board.state.book.equipment
    for name, recipe, size, placed in _steps(lines, board):
        step = recipe.steps[placed.step]
        if step.equipment is None:
            continue
        racks = ceil(step.racks * size)
        room = equipment[step.equipment].racks
        if len(placed.places) * room < racks and len(placed.places) < equipment[step.equipment].places:
            yield f"{name} step {placed.step}: {racks} racks in places {placed.places}"
        until = placed.ends if step.holds == "all" else placed.hands_until
        for place in placed.places:
            for minute in _minutes(max(placed.begins, board.now), until):
                inside[step.equipment, place, minute].append((name, min(racks, room), celsius(placed)))
    planned = {str(line.line) for line in lines}
    for (what, place, minute), held in inside.items():
        if not planned & {name for name, _, _ in held}:
            continue
        if place > places_at(board.state, what, minute):
            yield f"{what} {place} at {minute}: it does not work that day"
        if len({heat for _, _, heat in held}) > 1:
            yield f"{what} {place} at {minute}: two temperatures: {held}"
        if sum(racks for _, racks, _ in held) > equipment[what].racks:
            yield f"{what} {place} at {minute}: too full: {held}"


def _taken(lines: list[MakeLine], recipes: dict[str, Prep]) -> Iterator[str]:
    """Nothing is taken before it is made, nor after its life, without a note that says so."""
    by_name = {str(line.line): line for line in lines}
    for giver in lines:
        user = by_name.get(giver.line.need)
        if user is None:
            continue
        step = next(use.step for use in recipes[user.prep].uses if use.item in giver.outputs) or 0
        at = user.steps[step].begins
        if giver.steps[-1].ends > at:
            yield f"{user.line} takes {giver.prep} at {at}, made at {giver.steps[-1].ends}"
        notes = {note.kind for note in (*giver.notes, *user.notes)}
        if giver.use_by is not None and giver.use_by <= at and not notes & {"not good long enough", "ends before"}:
            yield f"{user.line} takes {giver.prep} at {at}, good until {giver.use_by}"
