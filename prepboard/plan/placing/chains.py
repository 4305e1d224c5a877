"""Chains: the latest place of one job's steps, given what is taken already.

From the last step back, each goes to the latest begin that leaves its rest room and does not stretch it too far. Where
that cannot be, the step after it must come earlier: its bound falls to what would fit, and the chain is placed again
from there. Bounds only fall, so this ends.
"""

from __future__ import annotations

from collections.abc import Sequence

from prepboard.plan.placing.jobs import Step

MOST_TRIES = 400
"""Steps placed for one chain before it is given up."""
NEAR = 240
"""Begins that are looked at at once, first; then four times as many, and so on."""


def latest_chain(steps: Sequence[Step], due: int) -> list[int] | None:
    """The latest begins of the steps such that the last is over by `due`; None where they fit nowhere."""
    last = len(steps) - 1
    begins = [0] * (last + 1)
    bounds: list[int | None] = [None] * (last + 1)
    index, tries = last, 0
    while index >= 0:
        tries += 1
        if tries > MOST_TRIES:
            return None
        step = steps[index]
        following = begins[index + 1] if index < last else None
        limit = (due if following is None else following) - step.span
        bound = bounds[index]
        if bound is not None and bound < limit:
            limit = bound
        begin = _latest(step, limit, following)
        if begin < 0:
            if following is None:
                return None
            earlier = _next_bound(step, limit, following)
            if earlier < 0:
                return None
            index += 1
            bounds[index] = earlier
            continue
        begins[index] = begin
        index -= 1
    return begins


def earliest_chain(steps: Sequence[Step], after: Sequence[int], until: int) -> list[int] | None:
    """The earliest begins of the steps, none before its `after`; None where the last is not over by `until`."""
    bounds = list(after)
    begins = [0] * len(steps)
    index, tries = 0, 0
    while index < len(steps):
        tries += 1
        if tries > MOST_TRIES:
            return None
        last = steps[index - 1] if index else None
        limit = bounds[index]
        if last is not None:
            limit = max(limit, begins[index - 1] + last.span)
        begin = earliest_begin(steps[index], limit)
        if begin + steps[index].span > until:
            return None
        if last is not None and last.most is not None and begin > begins[index - 1] + last.head + last.most:
            bounds[index - 1] = begin - last.most - last.head
            index -= 1
            continue
        begins[index] = begin
        index += 1
    return begins


def earliest_begin(step: Step, begin: int) -> int:
    """The earliest begin of a step, its rest at its least."""
    count = NEAR
    while True:
        all_of_them = (1 << count) - 1
        free = step.busy(step.span, begin, count) & all_of_them ^ all_of_them
        if free:
            return begin + (free & -free).bit_length() - 1
        begin, count = begin + count, count * 4


def _last_begin(step: Step, length: int | None, lowest: int, limit: int) -> int:
    """The last begin in [lowest, limit] at which a step can lie by itself; -1 where there is none."""
    count = NEAR
    while limit >= lowest:
        begin = limit + 1 - count
        if begin < lowest:
            begin = lowest
        all_of_them = (1 << limit + 1 - begin) - 1
        free = step.busy(length, begin, limit + 1 - begin) & all_of_them ^ all_of_them
        if free:
            return begin + free.bit_length() - 1
        limit, count = begin - 1, count * 4
    return -1


def _latest(step: Step, limit: int, following: int | None) -> int:
    """The latest begin of a step, its rest lasting to the following one; -1 where there is none."""
    if following is None:
        return _last_begin(step, step.span, 0, limit)
    lowest = 0 if step.most is None else following - step.head - step.most
    begin = _last_begin(step, None, lowest if lowest > 0 else 0, limit)
    if begin >= 0:
        for demand in step.demands:
            if demand.whole and not demand.pool.is_free(demand, begin, following):
                return -1
    return begin


def _next_bound(step: Step, limit: int, following: int) -> int:
    """Where the following step must begin at the latest so that this one has a chance; -1 where it has none."""
    free = _latest(step, limit, None)
    if free < 0:
        return -1
    bound = following - 1 if step.most is None else min(following - 1, free + step.head + step.most)
    for demand in step.demands:
        if demand.whole and (taken := demand.pool.last_taken(demand, limit, following)) >= 0:
            bound = min(bound, taken)
    return bound


def holds(step: Step, begin: int, until: int, lanes: Sequence[tuple[int, ...]]) -> bool:
    """Whether a step may lie from `begin` up to the next one, on these lanes."""
    rest = until - begin - step.head
    if begin < 0 or rest < step.least or (step.most is not None and rest > step.most):
        return False
    if step.ends_open is not None and not step.ends_open.is_open(until - 1):
        return False
    for demand, chosen in zip(step.demands, lanes, strict=True):
        over = until if demand.whole else begin + step.head
        for lane in chosen:
            if not demand.pool.lanes[lane].is_free(demand.mode, demand.amount, begin, over):
                return False
    return True
