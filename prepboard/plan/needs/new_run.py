"""One new run: where its steps would lie, what it would give until when, and what it takes."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from prepboard.book.book import Prep
from prepboard.plan.needs.ledger import Ledger, NewRun
from prepboard.plan.runs.runs import SOON, Carried, Planned, thaw
from prepboard.plan.runs.sizes import amounts, scaled, scaled_by
from prepboard.plan.runs.stock import Counted, Lot, Need, keep_fresh, put_in
from prepboard.plan.shown.lines import Note

MINUTE = timedelta(minutes=1)


def lot_of(new: NewRun, ledger: Ledger, prep: str, amount: int, name: str, ready: datetime) -> Lot:
    """What a run would give of one prep if it were ready at a moment."""
    good = _known_life(new, prep, ready)
    if good is None:
        good = good_until(new, ledger, prep, ready, new.carried)
        new.lives.append((prep, ready, good))
    there, known = ready if ready > ledger.now else ledger.now, ledger.book.preps[prep]
    if known.store == "frozen":
        once_taken_out = ledger.run_times.thaw_of(new.recipe, new.size, prep, new.made, ready, new.carried, good)
        lot = Lot(prep, amount, there + thaw(known), good, "planned", name, thaw=once_taken_out)
    else:
        lot = Lot(prep, amount, there, good, "planned", name)
    if known.fresh_for:
        keep_fresh(lot, ledger.book, there)
    return lot


def _known_life(new: NewRun, prep: str, ready: datetime) -> datetime | None:
    """Until when that is good, where it was asked before."""
    for of, at, good in new.lives:
        if of == prep and at is ready:
            return good
    return None


def good_until(new: NewRun, ledger: Ledger, prep: str, ready: datetime, carried: Carried | None) -> datetime:
    """Until when that would be good."""
    if new.first_day is None:
        first_day = ledger.run_times.first_day(new.recipe, new.size, new.made, ready)
        if not new.made:
            return ledger.run_times.good_from_day(prep, first_day, ready, carried)
        new.first_day = first_day
    return ledger.run_times.good_from_day(prep, new.first_day, ready, carried)


def new_run(ledger: Ledger, recipe: Prep, need: Need, size: Fraction, ready_by: datetime) -> NewRun:
    """A run that lies somewhere already, or would be ready by a moment, or as early as can be where that is too late
    for it."""
    run_times = ledger.run_times
    line, name = ledger.next_line(recipe.id, need.key)
    alone, fits = run_times.before(recipe, size, ready_by)
    steps = run_times.lying(name, recipe, size) or alone
    late = bool(steps) and steps[0].begins + MINUTE <= ledger.now and steps is alone
    made = run_times.after(recipe, size, ledger.now) if late else steps
    new = NewRun(line, name, recipe, size, need, ready_by, steps, fits, made, alone, run_times.carried.get(name))
    ledger.tried.append(new)
    return new


def trial(ledger: Ledger, new: NewRun, amount: int) -> dict[str, Lot]:
    """Lots of what a run would give of all that decides its size, holding so much of what its need asks for."""
    ready = new.made[-1].ends if new.made else max(new.ready_by, ledger.now)
    driven, asked = new.recipe.driven_by, new.need.prep
    return {prep: lot_of(new, ledger, prep, amount if prep == asked else 0, "trial", ready) for prep in driven}


def plan_run(ledger: Ledger, new: NewRun, first: Counted) -> Planned:
    """Plans a run: puts what it gives among the lots and what it takes among the needs. `first` is what counted for
    its need before."""
    recipe, need = new.recipe, new.need
    ready = new.made[-1].ends if new.made else new.ready_by
    outputs = amounts(recipe, new.size)
    lots = {prep: lot_of(new, ledger, prep, amount, new.name, ready) for prep, amount in outputs.items()}
    for prep, lot in lots.items():
        put_in(ledger.lots[prep], lot)
    run = Planned(
        new.line,
        new.name,
        recipe,
        new.size,
        outputs,
        need,
        new.ready_by,
        new.steps,
        ready,
        lots,
        [],
        *first.by_source,
        max(0, need.amount - first.total),
        made=new.made,
        first_day=new.first_day,
        alone=new.alone,
    )
    if not new.fits:
        run.notes.append(Note("cannot fit", {"why": "hours"}))
    run.notes += long_waits(run)
    if recipe.on_demand:
        run.notes.append(Note("on demand"))
    else:
        _take_for(ledger, run, in_vain=not new.fits)
    ledger.put_in(run)
    return run


def long_waits(run: Planned) -> list[Note]:
    """Names each wait that stretches beyond twice its least time."""
    notes = []
    for placed in run.steps[:-1]:
        step = run.recipe.steps[placed.step]
        minutes = (placed.ends - placed.hands_until) // MINUTE if step.wait else 0
        if minutes > 2 * step.wait:
            notes.append(Note("long wait", {"step": step.do, "minutes": minutes, "least": step.wait}))
    return notes


def _take_for(ledger: Ledger, run: Planned, in_vain: bool) -> None:
    """What a run takes, as needs: at the step that names it, else at the start."""
    preps, days, now, asker = ledger.book.preps, ledger.book.kitchen.days, ledger.now, run.need
    begins, starts = {placed.step: placed.begins for placed in run.steps}, run.begins
    then = {placed.step: placed.begins for placed in run.made}
    recipes, parts = run.size.as_integer_ratio()
    soon = now + SOON if run.steps is run.alone or run.name in ledger.run_times.let_down else now
    for use in run.recipe.uses:
        if use.item not in preps:
            continue
        ready_by = begins[use.step] if use.step is not None else starts
        at = max(ready_by, then.get(use.step or 0, ready_by), now)
        amount = scaled_by(use.amount, recipes, parts)
        need = Need(
            use.item,
            run.name,
            at,
            ready_by,
            at,
            amount,
            amount,
            days.business_day(at),
            run.recipe.order,
            asker.service,
            asker.service_day,
            run.recipe.id,
            in_vain=in_vain,
            nowhere=at < soon,
        )
        run.takes.append(need)
        ledger.add(need)


def soonest(ledger: Ledger, recipe: Prep, size: Fraction, takes: Sequence[Need] = ()) -> datetime:
    """When so much of a recipe could be ready, hands and places apart: with what is there of what goes in, what is
    drawn for `takes` included, else once that is made, begun now."""
    run_times, now = ledger.run_times, ledger.now
    there: dict[int, datetime] = {}
    drawn = defaultdict[str, list[tuple[Lot, int]]](list)
    for need in takes:
        drawn[need.prep] += need.drawn
    for use in recipe.uses:
        if use.item in ledger.book.preps:
            at = _there(ledger, use.item, scaled(use.amount, size), drawn[use.item])
            there[use.step or 0] = max(there.get(use.step or 0, now), at)
    waits = {step: at for step, at in there.items() if at > now}
    if not waits:
        placed = run_times.after(recipe, size, now)
        return (placed[-1].ends if placed else now) + thaw(recipe)
    moments = run_times.moments_after(recipe, size, now, waits)
    return (moments[-1] if moments else max(waits.values())) + thaw(recipe)


Drawn = Sequence[tuple[Lot, int]]
"""What is drawn of lots already for that which asks when it is there."""


def _there(ledger: Ledger, prep: str, amount: int, drawn: Drawn) -> datetime:
    """When so much of a prep is there, of stock and runs under way, else of a run that is begun now."""
    there, maker = _in_time(ledger, prep, amount, drawn), ledger.maker(prep)
    if there is not None or maker is None:
        return there or ledger.now
    return ledger.run_times.soonest(maker) + thaw(ledger.book.preps[prep])


def _in_time(ledger: Ledger, prep: str, amount: int, drawn: Drawn) -> datetime | None:
    """When so much of a prep is there, of stock and runs under way; None where that is not enough."""
    its = Counter[int]()
    for lot, taken in drawn:
        its[id(lot)] += taken
    for lot in ledger.in_time(prep):
        amount -= lot.left + its[id(lot)]
        if amount <= 0:
            return max(lot.there, ledger.now)
    return None
