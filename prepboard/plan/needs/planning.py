"""Planning: the runs for what is short of a need, how large they are, and what they take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from fractions import Fraction

from prepboard.book.amounts import MILLION
from prepboard.book.book import Prep, Sizes
from prepboard.book.days import ONE_DAY
from prepboard.plan.needs.ledger import Ledger
from prepboard.plan.needs.more import in_time, is_under_way
from prepboard.plan.needs.new_run import new_run, plan_run, soonest, trial
from prepboard.plan.runs.runs import Planned
from prepboard.plan.runs.sizes import MOST_RUNS, scaled, scaled_by, sizes_for
from prepboard.plan.runs.stock import Counted, Lot, Need, draw, put_in
from prepboard.plan.shown.lines import Note


def plan_runs(ledger: Ledger, need: Need, first: Counted, later: list[Need]) -> tuple[list[Planned], Counted]:
    """Runs for what is short of a need beyond what counts at `first`, again and again while a batch ends before the
    service does; and what counts with them."""
    recipe = ledger.maker(need.prep)
    if recipe is None:
        return [], first
    planned: list[Planned] = []
    counted = first
    while need.short(counted.total) and len(planned) < MOST_RUNS:
        ready_by = max(counted.rest_by, need.ready_by)
        short = need.amount - counted.total
        runs = _runs(ledger, recipe, need, short, ready_by, first, later)
        if not runs:
            break
        planned += runs
        before, counted = counted.total, ledger.count(need)
        last, lot = planned[-1], planned[-1].lots[need.prep]
        lacking = need.short(counted.total)
        if (
            last.notes
            and any(note.kind == "a little short" for note in last.notes)
            and ledger.can_leave_out(need, lacking)
        ):
            break
        if counted.total <= before:
            last.notes.append(_why_useless(lot, need))
            for taken in last.takes:
                taken.in_vain = True
            break
        if is_under_way(need, ledger.now) and sum(run.outputs[need.prep] for run in runs) < short:
            # No more than this is ready in time.
            break
        if need.short(counted.total):
            last.notes.append(Note("make again by", {"at": lot.for_guests(need.ready_by)}))
    return planned, counted


def _why_useless(lot: Lot, need: Need) -> Note:
    """Why a new run does not help the need that it is for."""
    if need.occasion and lot.there >= need.until:
        return Note("too late", {"at": lot.there})
    return Note("not good long enough", {"until": lot.for_guests(need.ready_by) if need.occasion else lot.good_until})


def _runs(
    ledger: Ledger, recipe: Prep, need: Need, short: int, ready_by: datetime, first: Counted, later: list[Need]
) -> list[Planned]:
    """The runs that cover a short, and the shorts of later needs that they join."""
    sizes, running = sizes_for(recipe.sizes, short, recipe.outputs[need.prep]), is_under_way(need, ledger.now)
    if running:
        # The guests still to come, and no more: nothing joins, and what would be ready too late is not made.
        sizes, later = in_time(ledger, recipe, need, sizes), []
        if not sizes:
            return []
        short = min(short, sum(scaled(recipe.outputs[need.prep], size) for size in sizes))
    new = new_run(ledger, recipe, need, sizes[-1], ready_by)
    lots = trial(ledger, new, short)
    useful = short if _lasts(lots[need.prep], need) else min(short, _useful(ledger, need, lots[need.prep]) or short)
    required, serves = {need.prep: useful}, [(need, useful)]
    if useful == short:
        _join(ledger, recipe, need, lots, later, required, serves)
        if len(serves) > 1 and _later_for_it(ledger, recipe, need, sizes, required):
            required, serves = {need.prep: useful}, [(need, useful)]
    if len(required) > 1 or required[need.prep] != short:
        sizes = sizes_for(recipe.sizes, *_recipes(recipe, required))
    left_out = 0
    if not running:
        sizes, left_out = _without_last_step(ledger, recipe, sizes, required, serves)
    if len(sizes) == 1 and (sizes[0] is new.size or sizes[0] == new.size):
        runs = [plan_run(ledger, new, first)]
    else:
        runs = [plan_run(ledger, new_run(ledger, recipe, need, size, ready_by), first) for size in sizes]
    for run in runs:
        run.serves = _share_out(run, serves)
    if left_out:
        last = serves[-1][0]
        runs[-1].notes.append(Note("a little short", {"item": last.prep, "amount": left_out, "of": last.amount}))
    return runs


def _without_last_step(
    ledger: Ledger, recipe: Prep, sizes: list[Fraction], required: dict[str, int], serves: list[tuple[Need, int]]
) -> tuple[list[Fraction], int]:
    """The sizes with the last step of size left out, where what is needed last does as well with the rest; and how
    much of it is then short."""
    (prep, amount), *others = required.items()
    if others:
        return sizes, 0
    one, (last, part) = recipe.outputs[prep], serves[-1]
    less = _a_step_less(sizes[-1], recipe.sizes)
    if less is None and len(sizes) == 1:
        return sizes, 0
    lacking = amount - sum(scaled(one, size) for size in sizes[:-1]) - (scaled_by(one, *less) if less else 0)
    if not 0 < lacking < part or not ledger.can_leave_out(last, lacking):
        return sizes, 0
    serves[-1] = (last, part - lacking)
    return [*sizes[:-1], Fraction(*less)] if less else sizes[:-1], lacking


def _a_step_less(size: Fraction, allowed: Sizes) -> tuple[int, int] | None:
    """A size less one step, in whole numbers since it is asked often; None where that is smaller than is allowed."""
    recipes, parts = size.as_integer_ratio()
    step, of_step = allowed.step.as_integer_ratio()
    least, of_least = allowed.smallest.as_integer_ratio()
    less, parts = recipes * of_step - step * parts, parts * of_step
    return (less, parts) if less * of_least >= least * parts else None


def _useful(ledger: Ledger, need: Need, trial: Lot) -> int:
    """How much of a fresh batch would count for a need."""
    lots = sorted(
        [*ledger.lots[need.prep], trial], key=lambda lot: (lot.good_until is None, lot.good_until or lot.there)
    )
    return sum(amount for lot, amount in ledger.count(need, {need.prep: lots}).lots if lot is trial)


def _join(
    ledger: Ledger,
    recipe: Prep,
    need: Need,
    fresh: dict[str, Lot],
    later: list[Need],
    required: dict[str, int],
    serves: list[tuple[Need, int]],
) -> None:
    """Adds the shorts of later needs of the same business day (or of `joins`) that would plan a run by
    themselves, found by walking on with this run's output."""
    if recipe.joins is None:
        return
    last_day, driven = need.day + recipe.joins * ONE_DAY if recipe.joins else need.day, recipe.driven_by
    later = [one for one in later if one.day <= last_day and one.prep in driven and not one.in_vain]
    if not later:
        return
    lots = {prep: [lot.copy() for lot in ledger.lots[prep]] for prep in recipe.driven_by}
    for prep in recipe.driven_by:
        fresh[prep].left = required.get(prep, 0)
        put_in(lots[prep], fresh[prep])
    for one in [need, *later]:
        counted = ledger.count(one, lots)
        short = one.short(counted.total)
        joins = one is not need and short > 0 and _lasts(fresh[one.prep], one)
        if joins and not ledger.is_thin(one, counted.total):
            required[one.prep] = required.get(one.prep, 0) + short
            fresh[one.prep].left += short
            serves.append((one, short))
            counted = ledger.count(one, lots)
        draw(one.expected, counted)


def _later_for_it(
    ledger: Ledger, recipe: Prep, need: Need, alone: Sequence[Fraction], required: Mapping[str, int]
) -> bool:
    """Whether a run that others join could not be ready for the first need, and one for that alone could: what is
    there of what goes in does for that one only."""
    joined = sizes_for(recipe.sizes, *_recipes(recipe, required))
    by = max(need.ready_by, ledger.now)
    first, together = _all_of(alone), _all_of(joined)
    if first == together:
        return False
    return soonest(ledger, recipe, together) > by >= soonest(ledger, recipe, first)


def _recipes(recipe: Prep, required: Mapping[str, int]) -> tuple[int, int]:
    """So many recipes, in so many parts of one, give all that is required; of several preps the one that asks most."""
    if len(required) == 1:
        ((prep, amount),) = required.items()
        return amount, recipe.outputs[prep]
    return max(Fraction(amount, recipe.outputs[prep]) for prep, amount in required.items()).as_integer_ratio()


def _all_of(sizes: Sequence[Fraction]) -> Fraction:
    return sizes[0] if len(sizes) == 1 else sum(sizes, Fraction(0))


def _lasts(lot: Lot, need: Need) -> bool:
    """There in time and good to the end of a service, or past the moment at which a run takes it."""
    if need.occasion:
        ends = lot.for_guests(need.ready_by)
        return lot.there < need.until and (ends is None or ends >= need.until)
    ends = lot.ends(need)
    return ends is None or need.until < ends


def note_over(ledger: Ledger, runs: list[Planned]) -> None:
    """Notes what no need within its life will take, of what the size gives beyond what was asked."""
    for run in runs:
        prep = run.need.prep
        lot = run.lots[prep]
        if lot.left <= 0 or lot.good_until is None or lot.good_until > ledger.looks_until:
            continue
        asked = sum(amount for need, amount in run.serves if need.prep == prep)
        over = min(lot.left, run.outputs[prep] - asked)
        if ledger.book.measure(prep).kind == "count":
            over -= over % MILLION  # nobody has part of a piece to spare
        if over > 0:
            run.notes.append(Note("over", {"item": prep, "amount": over, "until": lot.good_until}))


def _share_out(run: Planned, serves: list[tuple[Need, int]]) -> list[tuple[Need, int]]:
    """What of the shorts one of several runs covers: full runs take the earliest first."""
    room = dict(run.outputs)
    shared = []
    for position, (need, amount) in enumerate(serves):
        part = min(amount, room[need.prep])
        if part > 0:
            shared.append((need, part))
            room[need.prep] -= part
            serves[position] = (need, amount - part)
    return shared
