"""Bettering: from a schedule in which every job was placed once to a better one, by so many placements more.

First what is later than it must be: placed from the front, then before the rest, then in many orders forwards. Then, in
turn, a better order is sought, and jobs change places with their rivals where they lie.
"""

from __future__ import annotations

from itertools import islice
from operator import attrgetter
from random import Random

from prepboard.plan.solver.forwards import Forwards
from prepboard.plan.solver.in_turn import InOrder, InTurn
from prepboard.plan.solver.rivals import Rivals
from prepboard.plan.solver.searching import search
from prepboard.plan.solver.which_first import in_order, keys_of, last_first

FEW = 30
"""With more jobs than this it takes too long to place all after a change of order."""
LATE_FIRST = 3
"""The part of all placements that is spent on placing what is late before the rest: one in so many."""
FORWARDS = 2
"""So many times all placements more are spent on orders forwards, as long as something is later than it must be."""
PATIENCE = 30
"""Orders forwards without a gain after which another one is begun with: many short ways find more than one long one."""
SEEKING, CHANGING = 2, 4
"""The parts that are spent in a round on a better order, and then on changing places: one in so many."""


def from_the_front(rivals: Rivals, in_turn: InTurn, best: InOrder, allowed: int = 0) -> InOrder:
    rivals.schedule.restore(best.snapshot[-1])
    if rivals.schedule.late <= allowed or not rivals.late():
        return best
    rivals.from_the_front(in_turn.empty)
    return in_turn.as_it_lies(best.order, best.snapshot[:-1])


def better(rivals: Rivals, in_turn: InTurn, best: InOrder, placements: int) -> InOrder:
    """The best that is found by about so many placements more, the same each time."""
    best = _late_first(rivals, in_turn, best, placements // LATE_FIRST)
    if len(rivals.wanted) > FEW:
        return _changed(rivals, in_turn, best, placements)
    best = _forwards(rivals, in_turn, best, placements * FORWARDS)
    schedule, chance = rivals.schedule, Random(len(rivals.wanted))
    until, here = schedule.placements + placements, best
    while schedule.placements < until and best.cost != (rivals.lateness, 0):
        enough = min(until, schedule.placements + placements // SEEKING)
        in_turn.begin_with = here
        # An order may come out unchanged: tries are counted too.
        for found in islice(search(in_turn, chance), placements):
            best = min(best, found, key=attrgetter("cost"))
            if schedule.placements >= enough:
                break
        best = _changed(rivals, in_turn, best, min(until - schedule.placements, placements // CHANGING))
        if schedule.placements < until:
            here = in_turn.place(last_first(schedule, rivals.wanted))
    return best


def _changed(rivals: Rivals, in_turn: InTurn, best: InOrder, placements: int) -> InOrder:
    """With jobs and their rivals placed again where that is no worse."""
    rivals.schedule.restore(best.snapshot[-1])
    rivals.improve(max(0, placements))
    return in_turn.as_it_lies(best.order, best.snapshot[:-1])


def _late_first(rivals: Rivals, in_turn: InTurn, best: InOrder, placements: int) -> InOrder:
    """Places all again and again, what came too late the last times before the rest."""
    schedule, wanted = rivals.schedule, rivals.wanted
    blame, by_due = dict.fromkeys(wanted, 0), keys_of(schedule)[0]
    tried = [in_order(schedule, wanted, by_due)]
    until, lowest = schedule.placements + placements, None
    while schedule.placements < until and best.cost[0] > rivals.lateness:
        for index in rivals.late():
            for root in rivals.roots(index):
                blame[root] += 1
        order = in_order(schedule, wanted, lambda index: (-blame[index], *by_due(index)))
        if order in tried:
            break
        tried.append(order)
        new = in_turn.place(order)
        if lowest is None or new.cost < lowest:
            lowest = new.cost
            best = min(best, from_the_front(rivals, in_turn, new), key=attrgetter("cost"))
    return best


def _forwards(rivals: Rivals, in_turn: InTurn, best: InOrder, placements: int) -> InOrder:
    """Less late, if placing all forwards in other orders gives that; pushed as late as may be."""
    schedule = rivals.schedule
    if best.cost[0] <= rivals.lateness:
        return best
    schedule.restore(best.snapshot[-1])
    forwards, until = Forwards(schedule, rivals.wanted, in_turn.empty, rivals.least), schedule.placements + placements
    # An order may come out unchanged: tries are counted too.
    for found in islice(search(forwards, Random(len(rivals.wanted)), PATIENCE), placements):
        last = found
        if found.cost <= rivals.lateness or schedule.placements >= until:
            break
    schedule.restore(last.snapshot[-1])
    rivals.push_late(rivals.wanted)
    return min(best, in_turn.as_it_lies(best.order, best.snapshot[:-1]), key=attrgetter("cost"))
