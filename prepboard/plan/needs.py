"""Needs: from pars to runs.

The preps are gone through from plates down, the outputs of one run together. The needs of a group are walked by
time; each takes its amount from what counts for it, first to expire first, before the next is looked at. Where
something is short and worth a run, runs are planned, and what they take becomes the needs of the preps below.
"""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from prepboard.plan.inheriting import carried_by, cut, note_cuts
from prepboard.plan.ledger import Ledger
from prepboard.plan.pars import Par
from prepboard.plan.planning import note_over, plan_runs
from prepboard.plan.runs import Bench, Carried, Planned, scaled, thaw
from prepboard.plan.state import Run, State
from prepboard.plan.stock import Lot, Need, by_use_by, take

MOST_PASSES = 3
"""So often a plan is worked out; what a further one would change is noted only."""


class Answer(Struct, frozen=True, gc=False):
    """What became of one need: what counted for it, and what is short."""

    need: Need
    on_hand: int
    under_way: int
    short: int
    thin: bool
    planned: tuple[Planned, ...]


class Needs(Struct, frozen=True):
    planned: tuple[Planned, ...]
    answers: tuple[Answer, ...]
    left: tuple[Lot, ...] = ()
    """What no need of the span took."""


def work_out(state: State, now: datetime, until: datetime, pars: list[Par], bench: Bench) -> Needs:
    """All runs that the pars of a span ask for, and how every need fared.

    Where a run would be made of older food that cuts its life, all is worked out once more with that.
    """
    for _pass in range(MOST_PASSES):
        ledger, answers = _walk(state, now, until, pars, bench)
        bench.carried = carried_by(state, ledger.planned, bench)
        if not cut(ledger.planned, bench, bench.carried):
            break
    note_cuts(ledger.planned, bench)
    left = tuple(lot for lots in ledger.lots.values() for lot in lots if lot.left > 0)
    return Needs(tuple(ledger.planned), tuple(answers), left)


def _walk(state: State, now: datetime, until: datetime, pars: list[Par], bench: Bench) -> tuple[Ledger, list[Answer]]:
    """Walks all needs once."""
    ledger = Ledger(state, now, bench, until)
    for par in pars:
        ledger.add(_of_par(state, par, now))
    _add_under_way(ledger)
    return ledger, [answer for group in state.book.together for answer in _through(ledger, group)]


def _of_par(state: State, par: Par, now: datetime) -> Need:
    at = max(par.ready_by, now)
    occasion = par.occasion
    return Need(
        par.prep,
        par.need,
        at,
        par.ready_by,
        occasion.ends if occasion else at,
        par.amount,
        par.expected,
        par.day,
        state.book.preps[par.prep].order,
        occasion.service.id if occasion else None,
        par.day,
        par=par,
    )


def _add_under_way(ledger: Ledger) -> None:
    """What runs under way will give, and what they still take: they take it before any planned run does."""
    for run in ledger.state.runs:
        placed = ledger.bench.going_on(run)
        ready = placed[-1].ends if placed else ledger.now
        carried = Carried(run.first_day, run.first_safety) if run.first_day or run.first_safety else None
        for prep, amount in run.outputs.items():
            if prep in ledger.book.preps and amount > 0:
                good = ledger.bench.good_until(run.recipe, run.size, prep, placed, ready, carried)
                there = max(ready, ledger.now) + thaw(ledger.book.preps[prep])
                ledger.lots[prep].append(Lot(prep, amount, there, good, "run", run.code))
        begins = {step.step: step.begins for step in placed}
        for use in run.recipe.uses:
            if use.item in ledger.book.preps and use.item not in run.taken:
                until = begins.get(use.step, ledger.now) if use.step is not None else ready
                ledger.add(_of_run(ledger, run, use.item, scaled(use.amount, run.size), max(until, ledger.now)))


def _of_run(ledger: Ledger, run: Run, item: str, amount: int, until: datetime) -> Need:
    key = str(run.line) if run.line else f"run.{run.code}"
    day = ledger.book.kitchen.days.business_day(ledger.now)
    return Need(item, key, ledger.now, ledger.now, until, amount, amount, day, -1, None, day, run.recipe.id)


def _through(ledger: Ledger, group: tuple[str, ...]) -> list[Answer]:
    """Walks the needs of preps that come out of the same runs, by time; services before runs."""
    needs = [need for prep in group if prep in ledger.needs for need in ledger.needs[prep]]
    if not needs:
        return []
    needs.sort(key=_by_time)
    for prep in group:
        by_use_by(ledger.lots[prep])
    first = len(ledger.planned)
    answers = [_answer(ledger, needs, index) for index in range(len(needs))]
    note_over(ledger, ledger.planned[first:])
    return answers


def _by_time(need: Need) -> tuple[datetime, bool, bool, int, str]:
    return need.at, need.order >= 0, need.run_of is not None, need.order, need.key


def _answer(ledger: Ledger, needs: list[Need], index: int) -> Answer:
    need = needs[index]
    counted = ledger.count(need)
    short = max(0, need.amount - counted.total)
    thin = short > 0 and ledger.is_thin(need, counted.total)
    planned, with_them = plan_runs(ledger, need, counted, needs[index + 1 :]) if short and not thin else ([], counted)
    take(need, with_them)
    return Answer(need, counted.of("batch"), counted.of("run"), short, thin, tuple(planned))
