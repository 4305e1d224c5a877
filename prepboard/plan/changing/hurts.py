"""Whom a change would hurt: guests who would not get what they came for, and what stands in a failing oven. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta

from msgspec import Struct

from prepboard.plan.board import Board
from prepboard.plan.changing.difference import Difference, Later
from prepboard.plan.changing.drafts import occasion_of
from prepboard.plan.demand.grids import whole_portions
from prepboard.plan.demand.mix import dishes_of
from prepboard.plan.demand.occasions import Curve, Occasion, come
from prepboard.plan.demand.pars import portion
from prepboard.plan.demand.plating import Plating
from prepboard.plan.given.state import Sitting
from prepboard.plan.runs.today import places
from prepboard.plan.shown.lines import MakeLine, UnderWay


class Hurt(Struct, frozen=True):
    """A prep that would come too late for some guests of a sitting: `there` is for so many plates what is there or
    under way, `ready` when more comes (None: not before the sitting is over), `guests` how many more than as things
    stand would go without or wait."""

    line: MakeLine
    sitting: Sitting
    guests: int
    there: int
    ready: datetime | None


class Inside(Struct, frozen=True):
    """A run under way that stands in a piece of equipment of which fewer places would work."""

    run: UnderWay
    equipment: str
    until: datetime


def hurts(cost: Difference, after: Board) -> tuple[Hurt, ...]:
    """The worst first: by how many more guests are hurt."""
    found = [hurt for later in cost.later for hurt in _of(later, after)]
    return tuple(sorted(found, key=lambda hurt: (-hurt.guests, hurt.line.ready_by, hurt.line.prep)))


def _of(later: Later, after: Board) -> Iterator[Hurt]:
    line, state = later.line, after.state
    for use in line.serves:
        occasion = occasion_of(state, (use.service, use.day)) if use.service else None
        if occasion is None or occasion.ends <= after.now:
            continue
        plates = _plates(after, occasion, line.prep)
        goes = Plating(state, after.now, occasion).together(plates)
        there = _there(after, occasion, line.prep)
        ready = line.ready_at
        was = line.ready_by + timedelta(minutes=later.before)
        more = _without(plates, goes, there, occasion, ready) - _without(plates, goes, there, occasion, was)
        if more > 0:
            yield Hurt(line, occasion.key, more, there, ready if ready < occasion.ends else None)


def _plates(board: Board, occasion: Occasion, prep: str) -> dict[str, float]:
    """Plates that are expected to take it, by dish."""
    dishes, found = board.state.book.dishes, dishes_of(board.state, board.now, occasion)
    return {taken.dish: taken.portions for taken in found if prep in dishes[taken.dish].plate}


def _there(board: Board, occasion: Occasion, prep: str) -> int:
    """For how many plates there is some, the largest of them: what is counted on, never more."""
    par = next((one for one in board.pars if (one.service, one.day) == occasion.key and one.prep == prep), None)
    dishes = [dish for dish in board.state.book.dishes.values() if prep in dish.plate]
    most = max((portion(board.state, occasion.day, dish.id, prep) for dish in dishes), default=0)
    return whole_portions(par.on_hand + par.under_way, most) if par and most else 0


def _without(plates: Mapping[str, float], goes: Curve, there: int, occasion: Occasion, ready: datetime) -> int:
    """Guests who come for it before it is ready, beyond those for whom there is some."""
    wanted = 1.0 if ready >= occasion.ends else come(goes, ready)
    return max(0, round(sum(plates.values()) * wanted) - there)


def insides(before: Board, after: Board) -> tuple[Inside, ...]:
    """What stands in equipment of which fewer places would work than stand full, the last to come out first."""
    now, days = after.now, after.state.book.kitchen.days
    today = days.business_day(now)
    found: list[Inside] = []
    for equipment in after.state.book.equipment.values():
        was, works = (places(board.state, equipment, today) for board in (before, after))
        inside = [
            Inside(run, equipment.id, step.ends)
            for run in before.under_way
            for step in run.steps
            if step.equipment == equipment.id and step.begins <= now < step.ends
        ]
        if works < was and len({place for one in inside for place in _places(one)}) > works:
            found += inside
    return tuple(sorted(found, key=lambda one: one.until, reverse=True))


def _places(one: Inside) -> Iterator[tuple[str, int]]:
    """The places that it takes; one of its own where nobody kept which."""
    numbers = next((step.places for step in one.run.steps if step.equipment == one.equipment), ())
    yield from (("", number) for number in numbers) if numbers else ((one.run.run, 0),)
