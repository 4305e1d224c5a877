"""Needs: from pars to runs.

The preps are gone through from plates down, the outputs of one run together. The needs of a group are walked by
time; each takes its amount from what counts for it, first to expire first, before the next is looked at. Where
something is short and worth a run, runs are planned, and what they take becomes the needs of the preps below.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from msgspec import Struct

from prepboard.book.book import Book
from prepboard.plan.demand.pars import Par
from prepboard.plan.given.state import Run, State
from prepboard.plan.needs.ledger import Ledger
from prepboard.plan.needs.walking import Answer, Walk
from prepboard.plan.runs.inheriting import carried_by, cut, note_cuts
from prepboard.plan.runs.runs import Carried, Planned, RunTimes, thaw
from prepboard.plan.runs.sizes import scaled, sizes_for
from prepboard.plan.runs.still_takes import key_of, latest_begin
from prepboard.plan.runs.stock import Lot, Need, keep_fresh, minute_of
from prepboard.plan.shown.lines import Note

MOST_PASSES = 3
"""So often a plan is worked out; what a further one would change is noted only."""


class Needs(Struct, frozen=True):
    planned: tuple[Planned, ...]
    answers: tuple[Answer, ...]
    lots: Mapping[str, Sequence[Lot]]
    """By prep, what there is and what the runs give, less what the needs of the span take of it."""
    walk: Walk
    cut: bool
    """Whether older food would still cut the life of a run, after all passes."""

    @property
    def left(self) -> tuple[Lot, ...]:
        """What no need of the span took."""
        return tuple(lot for lots in self.lots.values() for lot in lots if lot.left > 0)


def work_out(state: State, now: datetime, until: datetime, pars: list[Par], run_times: RunTimes) -> Needs:
    """All runs that the pars of a span ask for, and how every need fared.

    Where a run would be made of older food that cuts its life, what follows from that is worked out once more.
    """
    ledger = Ledger(state, now, run_times, until)
    for par in pars:
        ledger.add(_of_par(state, par, now))
    _add_under_way(ledger)
    walk = Walk(ledger)
    walk.go()
    return _with_inherited(walk, ledger)


def work_out_again(before: Needs, state: State, until: datetime, pars: list[Par], run_times: RunTimes) -> Needs:
    """The same once the runs lie elsewhere, as `work_out` says it; `before` is used up. Only what would come out
    otherwise is worked out."""
    if before.cut:
        return work_out(state, run_times.now, until, pars, run_times)
    before.walk.go_on()
    return _with_inherited(before.walk, before.walk.ledger)


def _with_inherited(walk: Walk, ledger: Ledger) -> Needs:
    """What was walked, with what the runs inherit of what they take, and what is to be said of the whole."""
    run_times = ledger.run_times
    for passes in range(1, MOST_PASSES + 1):
        planned = walk.planned
        run_times.carried = carried_by(ledger.state, planned, run_times)
        was_cut = cut(planned, run_times, run_times.carried)
        if not was_cut or passes == MOST_PASSES:
            break
        walk.go_again()
    answers = walk.answers
    _note_who_draws(ledger, answers)
    _note_no_makers(ledger, answers)
    note_cuts(planned, run_times)
    return Needs(tuple(planned), tuple(answers), ledger.lots, walk, was_cut)


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
        occasion=occasion,
    )


def _add_under_way(ledger: Ledger) -> None:
    """What runs under way will give, and what they still take: they take it before any planned run does."""
    for run in ledger.state.runs:
        placed = ledger.run_times.going_on(run)
        ready = placed[-1].ends if placed else ledger.now
        carried = Carried(run.first_day, run.first_safety) if run.first_day or run.first_safety else None
        for prep, amount in run.outputs.items():
            if prep in ledger.book.preps and amount > 0:
                good = ledger.run_times.good_until(run.recipe, run.size, prep, placed, ready, carried, run)
                there, thaws = max(minute_of(ready), ledger.now), thaw(ledger.book.preps[prep])
                there = minute_of(there) + thaws if thaws else there
                thawed = ledger.run_times.thaw_of(run.recipe, run.size, prep, placed, ready, carried, good, run)
                lot = Lot(prep, amount, there, good, "run", run.code, thaw=thawed)
                keep_fresh(lot, ledger.book, ready)
                ledger.lots[prep].append(lot)
        begins = {step.step: step.begins for step in placed}
        for use in run.recipe.uses:
            if use.item in ledger.book.preps and use.item not in run.taken:
                until = begins.get(use.step, ledger.now) if use.step is not None else ready
                amount, until = scaled(use.amount, run.size), max(until, ledger.now)
                ahead = use.step is not None and use.step > run.step
                by = latest_begin(run, use.step or 0, until, ledger.run_times) if ahead else ledger.now
                ledger.add(_of_run(ledger, run, use.item, amount, by, max(until, by)))


def _note_who_draws(ledger: Ledger, answers: Iterable[Answer]) -> None:
    """Tells every line which needs take of it."""
    for answer in answers:
        for lot, _ in answer.need.drawn:
            if lot.source == "planned":
                ledger.by_line[lot.name].draw.append(answer.need)


def _of_run(ledger: Ledger, run: Run, item: str, amount: int, by: datetime, until: datetime) -> Need:
    """First in order, whenever it takes it: a run under way has it before any planned run does."""
    day = ledger.book.kitchen.days.business_day(ledger.now)
    return Need(item, key_of(run), ledger.now, by, until, amount, amount, day, -1, None, day, run.recipe.id)


def _note_no_makers(ledger: Ledger, answers: Iterable[Answer]) -> None:
    """Tells every line that needs it what is short of something that no line can be planned for."""
    for answer in answers:
        run = ledger.by_line.get(answer.need.key) if answer.short and not answer.planned else None
        if run is not None and answer.thin:
            facts = {"item": answer.need.prep, "amount": answer.short, "of": answer.need.amount}
            run.notes.append(Note("a little short", facts))
        elif run is not None and ledger.maker(answer.need.prep) is None:
            run.notes.append(_no_maker(ledger.book, answer.need.prep, answer.short))


def _no_maker(book: Book, prep: str, short: int) -> Note:
    """What is short, and which run would give it."""
    makers = book.preps[prep].made_by
    facts: dict[str, object] = {"item": prep, "amount": short}
    if makers:
        maker = book.preps[makers[0]]
        facts |= {"maker": maker.id, "size": sum(sizes_for(maker.sizes, short, maker.outputs[prep]))}
    return Note("comes with" if makers else "nothing makes", facts)
