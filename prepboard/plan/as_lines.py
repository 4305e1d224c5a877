"""What the plan found, as the lines of a board."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from math import prod

from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.occasions import Occasion
from prepboard.plan.demand.pars import Par
from prepboard.plan.given.state import Placed, Placement, Run, State
from prepboard.plan.leftovers.closing import soon_over, use_first
from prepboard.plan.needs.walking import Answer
from prepboard.plan.runs.runs import RunTimes, thaw
from prepboard.plan.runs.stock import Lot
from prepboard.plan.shown.closing_lines import LeftOver
from prepboard.plan.shown.lines import Expiring, ParLine, SittingLine, UnderWay

MINUTE = timedelta(minutes=1)


def all_under_way(
    runs: Iterable[Run], run_times: RunTimes, placed: Mapping[str, tuple[Placed, ...]], kept: Mapping[str, Placement]
) -> tuple[UnderWay, ...]:
    """The runs under way, by what is due next; `placed` says by code where the rest of each lies, `kept` when that was
    to be."""
    shown = (_under_way(run, run_times, placed.get(run.code, ()), kept.get(run.key)) for run in runs)
    return tuple(sorted(shown, key=lambda run: (run.next_at, run.run)))


def sitting_line(state: State, occasion: Occasion, known: Iterable[Par], now: datetime) -> SittingLine:
    """One sitting, with the chance that all its pars stand."""
    chances = [chance for par in known if par.occasion is occasion and (chance := par.chance(par.amount)) is not None]
    booked = occasion.service.covers.on(occasion.day) or 0
    return SittingLine(
        occasion.service.id,
        occasion.day,
        occasion.covers,
        booked,
        occasion.starts,
        occasion.ends,
        occasion.set_by,
        occasion.lasts(now),
        prod(chances) if chances and not occasion.tonight.special else None,
        occasion.ends <= now,
    )


def _bounds(run: Run, run_times: RunTimes, current: Placed | None) -> tuple[datetime | None, datetime | None]:
    """From when on, and by when, somebody goes on with a run's step."""
    if current is None:
        return None, None
    step = run_times.chain(run.recipe, run.size, run.station or None)[run.step]
    hands_until = run.step_began + step.hands
    return hands_until + step.least, hands_until + step.most if step.least or step.most else None


def _under_way(run: Run, run_times: RunTimes, placed: tuple[Placed, ...], kept: Placement | None) -> UnderWay:
    steps = run.recipe.steps
    current = placed[0] if placed else None
    last = run.step + 1 >= len(steps)
    ready = max(placed[-1].ends, run_times.now) if placed else run_times.now
    may_go_on, go_on_by = _bounds(run, run_times, current)
    return UnderWay(
        run.code,
        run.recipe.id,
        run.station,
        run.outputs.get(run.recipe.id, 0),
        run.size,
        run.by,
        run.started,
        run.step if current else -1,
        steps[run.step].do if current else "",
        "" if last else steps[run.step + 1].do,
        (kept.due if kept else None) or (current.ends if current else run.started),
        ready + thaw(run.recipe),
        run.outputs,
        placed,
        may_go_on,
        go_on_by,
        max(0, (run_times.now - go_on_by) // MINUTE) if go_on_by else 0,
        kept.ready_by if kept else None,
    )


def all_expiring(state: State, now: datetime) -> tuple[Expiring, ...]:
    """What ends within three business days, today the first, what has ended already, and what a label says wrongly."""
    days = state.book.kitchen.days
    limit = days.opens(days.business_day(now) + 3 * ONE_DAY)
    ending = [
        batch for batch in state.batches if batch.use_by is not None and (batch.use_by <= limit or batch.to_relabel)
    ]
    ending.sort(key=lambda batch: (batch.use_by, batch.prep, batch.code))
    soon = soon_over(days, now)
    return tuple(Expiring(batch, use_first(batch, soon)) for batch in ending)


def all_left_over(state: State, lots: Mapping[str, Iterable[Lot]]) -> tuple[LeftOver, ...]:
    """What no need takes of the lots there are by prep, in book order, then by use-by."""
    amounts: dict[tuple[int, datetime, str], int] = defaultdict(int)
    for prep, of_prep in lots.items():
        order = state.book.preps[prep].order
        for lot in of_prep:
            if lot.left > 0 and lot.good_until is not None and not lot.frozen:
                amounts[order, lot.good_until, prep] += lot.left
    return tuple(LeftOver(prep, amounts[order, good, prep], good) for order, good, prep in sorted(amounts))


def par_lines(answers: Iterable[Answer]) -> tuple[ParLine, ...]:
    """The answers to what is a par."""
    lines = [_par_line(answer, answer.need.par) for answer in answers if answer.need.par]
    return tuple(lines)


def _par_line(answer: Answer, par: Par) -> ParLine:
    occasion = par.occasion
    special = occasion is not None and occasion.tonight.special
    return ParLine(
        service=occasion.service.id if occasion else "",
        day=par.day,
        covers=occasion.covers if occasion else 0,
        prep=par.prep,
        par=par.amount,
        source=par.source,
        stage=par.stage,
        chance=None if special else par.chance(par.amount),
        expected=par.expected,
        on_hand=answer.on_hand,
        under_way=answer.under_way,
        left_over=answer.left_over,
        short=answer.short,
        thin=answer.thin,
        to_make=sum(run.outputs.get(par.prep, 0) for run in answer.planned),
        promise=par.promise,
        special=special,
        dishes=par.dishes,
    )
