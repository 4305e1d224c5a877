"""Chains: the latest place of one job's steps, given what is taken already.

From the last block of steps back, each goes to the latest begin that leaves its rest room and does not stretch it too
far. Where that cannot be, the block after it must come earlier: its bound falls to what would fit, and the chain is
placed again from there. Bounds only fall, so this ends.
"""

from __future__ import annotations

from collections.abc import Sequence

from prepboard.plan.solver.jobs import Block, JobStep

MOST_TRIES = 400
"""Blocks placed for one chain before it is given up."""
NEAR = 480
"""Begins that are looked at at once, first; then four times as many, and so on."""


def latest_chain(blocks: Sequence[Block], due: int, first: int | None = None) -> list[int] | None:
    """The latest begins of the steps such that the last is over by `due`, the first begun by `first`; None where they
    fit nowhere."""
    last = len(blocks) - 1
    if not last:
        limit = due - blocks[0].span
        begin = _last_begin(blocks[0], blocks[0].last.span, 0, limit if first is None else min(first, limit))
        return _of_steps(blocks, [begin]) if begin >= 0 else None
    begins = [0] * (last + 1)
    bounds: list[int | None] = [None] * (last + 1)
    bounds[0] = first
    index, tries = last, 0
    while index >= 0:
        tries += 1
        if tries > MOST_TRIES:
            return None
        block = blocks[index]
        following = begins[index + 1] if index < last else None
        limit = (due if following is None else following) - block.span
        bound = bounds[index]
        if bound is not None and bound < limit:
            limit = bound
        begin = _latest(block, limit, following)
        if begin < 0:
            if following is None:
                return None
            earlier = _next_bound(block, limit, following)
            if earlier < 0:
                return None
            index += 1
            bounds[index] = earlier
            continue
        begins[index] = begin
        index -= 1
    return _of_steps(blocks, begins)


def earliest_chain(blocks: Sequence[Block], after: Sequence[int], until: int) -> list[int] | None:
    """The earliest begins of the steps, none before its `after`; None where the last is not over by `until`."""
    bounds, number = [], 0
    for block in blocks:
        bound = after[number]
        for offset in block.offsets[1:]:
            number += 1
            if after[number] - offset > bound:
                bound = after[number] - offset
        bounds.append(bound)
        number += 1
    begins = [0] * len(blocks)
    index, tries = 0, 0
    while index < len(blocks):
        tries += 1
        if tries > MOST_TRIES:
            return None
        before = blocks[index - 1] if index else None
        limit = bounds[index]
        if before is not None:
            limit = max(limit, begins[index - 1] + before.span)
        begin = earliest_begin(blocks[index], limit)
        if begin + blocks[index].span > until:
            return None
        if before is not None and before.last.most is not None:
            soonest = begin - before.offset - before.last.head - before.last.most
            if begins[index - 1] < soonest:
                bounds[index - 1] = soonest
                index -= 1
                continue
        if before is not None:
            later = _held_later(before, begins[index - 1], begin)
            if later > begins[index - 1]:
                bounds[index - 1] = later
                index -= 1
                continue
        begins[index] = begin
        index += 1
    return _of_steps(blocks, begins)


def _held_later(block: Block, begin: int, following: int) -> int:
    """From when on a block can begin such that what its last step takes through its rest is free up to the following
    one; its begin, where it is."""
    if following <= begin + block.span:
        return begin
    at = begin + block.offset
    taken = [demand.pool.last_taken(demand, at, following) for demand in block.last.demands if demand.whole]
    return max([begin, *(last + 1 - block.offset for last in taken if last >= 0)])


def _of_steps(blocks: Sequence[Block], begins: Sequence[int]) -> list[int]:
    found = []
    for block, begin in zip(blocks, begins, strict=True):
        if block.first:
            found += [begin + offset for offset in block.offsets]
        else:
            found.append(begin)
    return found


def earliest_begin(block: Block, begin: int) -> int:
    """The earliest begin of a block, its last rest at its least."""
    count, length = NEAR, block.last.span
    while True:
        all_of_them = (1 << count) - 1
        free = block.busy(length, begin, count) & all_of_them ^ all_of_them
        if free:
            return begin + (free & -free).bit_length() - 1
        begin, count = begin + count, count * 4


def _last_begin(block: Block, length: int | None, lowest: int, limit: int) -> int:
    """The last begin in [lowest, limit] at which a block can lie by itself; -1 where there is none."""
    count = NEAR
    while limit >= lowest:
        begin = limit + 1 - count
        if begin < lowest:
            begin = lowest
        all_of_them = (1 << limit + 1 - begin) - 1
        free = block.busy(length, begin, limit + 1 - begin) & all_of_them ^ all_of_them
        if free:
            return begin + free.bit_length() - 1
        limit, count = begin - 1, count * 4
    return -1


def _latest(block: Block, limit: int, following: int | None) -> int:
    """The latest begin of a block, its last rest lasting to the following one; -1 where there is none."""
    last = block.last
    if following is None:
        return _last_begin(block, last.span, 0, limit)
    lowest = 0 if last.most is None else following - block.offset - last.head - last.most
    begin = _last_begin(block, None, lowest if lowest > 0 else 0, limit)
    if begin >= 0:
        for demand in last.demands:
            if demand.whole and not demand.pool.is_free(demand, begin + block.offset, following):
                return -1
    return begin


def _next_bound(block: Block, limit: int, following: int) -> int:
    """Where the following block must begin at the latest so that this one has a chance; -1 where it has none."""
    free = _latest(block, limit, None)
    if free < 0:
        return -1
    last, offset = block.last, block.offset
    bound = following - 1 if last.most is None else min(following - 1, free + offset + last.head + last.most)
    for demand in last.demands:
        if demand.whole and (taken := demand.pool.last_taken(demand, limit + offset, following)) >= 0:
            bound = min(bound, taken)
    return bound


def holds(step: JobStep, begin: int, until: int, lanes: Sequence[tuple[int, ...]]) -> bool:
    """Whether a step may lie from `begin` up to the next one, on these lanes."""
    rest = until - begin - step.head
    if begin < 0 or rest < step.least or (step.most is not None and rest > step.most):
        return False
    if step.ends_open is not None and not step.ends_open.is_open(until - 1):
        return False
    if step.begins_open is not None and not step.begins_open.is_open(begin):
        return False
    for demand, chosen in zip(step.demands, lanes, strict=True):
        over = until if demand.whole else begin + step.head
        for lane in chosen:
            if not demand.pool.lanes[lane].is_free(demand.setting, demand.amount, begin, over):
                return False
    return True
