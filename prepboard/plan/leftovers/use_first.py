"""Use it first: where what expires or is left over could still go, while it is good.

First what the plan gives it to anyway: the services that will eat of it and the runs that take it. Then what could
take the rest: runs that use it if it is there, a further run of a recipe that coming services need, more plates of a
dish that has it; and last the staff meal. What comes along in a pot, under way or planned, counts like a batch. A
help, not an order: it knows no taste, and says nothing of a guest's allergies.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from msgspec.structs import replace

from prepboard.book.book import Prep
from prepboard.book.days import ONE_DAY
from prepboard.plan.demand.grids import whole_portions
from prepboard.plan.demand.occasions import Occasion, ahead, table
from prepboard.plan.demand.pars import pars, portion
from prepboard.plan.given.state import State
from prepboard.plan.needs.needs import Needs, work_out
from prepboard.plan.needs.walking import Answer
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.runs import Planned, RunTimes
from prepboard.plan.runs.sizes import scaled
from prepboard.plan.runs.stock import Lot
from prepboard.plan.shown.closing_lines import Outlet, UseFirst


def using_up(state: State, now: datetime) -> tuple[UseFirst, ...]:
    """What expires by the end of the next business day, or is left over and ends within the span of the plan, and
    where each could go; by use-by."""
    until = horizon(state, now)
    held = ahead(state, now, until)
    run_times = RunTimes(state, now)
    needs = work_out(state, now, until, pars(state, now, until, held), run_times)
    days = state.book.kitchen.days
    soon = days.opens(days.business_day(now) + 2 * ONE_DAY)
    found = []
    for lot, given in _lots(state, needs):
        ends = lot.good_until
        if ends is None or ends > until or (ends > soon and not lot.left) or not lot.left + _sum(given):
            continue
        more = _could_take(state, needs, held, run_times, lot, ends) if lot.left else ()
        outlets = (*(replace(outlet, by=min(outlet.by, ends)) for outlet in given), *more)
        whole = lot.left + _sum(given)
        assert lot.source != "van"  # It is not here yet.
        found.append(UseFirst(lot.name, lot.source, lot.prep, whole, lot.left, lot.there, ends, outlets))
    return tuple(sorted(found, key=lambda line: (line.good_until, line.prep, line.name)))


def _sum(outlets: Iterable[Outlet]) -> int:
    return sum(outlet.amount for outlet in outlets)


def _lots(state: State, needs: Needs) -> list[tuple[Lot, tuple[Outlet, ...]]]:
    """Batches, and what comes along in a pot, each with what the plan gives it to; frozen lots keep."""
    drawn: dict[int, tuple[Lot, list[Outlet]]] = {}
    for answer in needs.answers:
        for lot, amount in answer.need.drawn:
            drawn.setdefault(id(lot), (lot, []))[1].append(_given(answer, amount))
    for lot in needs.left:
        drawn.setdefault(id(lot), (lot, []))
    return [
        (lot, tuple(given))
        for lot, given in drawn.values()
        if not lot.frozen and (lot.source == "batch" or (lot.source != "van" and _comes_along(state, needs, lot)))
    ]


def _comes_along(state: State, needs: Needs, lot: Lot) -> bool:
    """Whether a lot is a by-product: it comes out of a run that something else drives."""
    recipes = {run.code: run.recipe for run in state.runs} | {str(run.line): run.recipe for run in needs.planned}
    return lot.prep not in recipes[lot.name].driven_by


def _given(answer: Answer, amount: int) -> Outlet:
    """What the plan gives a part of a lot to: a service as far as it is expected to eat, or a run."""
    need = answer.need
    if need.run_of is not None:
        return Outlet("run", need.run_of, None, need.service_day, amount, need.at)
    at = need.occasion.ends if need.occasion else need.until
    return Outlet("service", "", need.service, need.day, amount, at)


def _could_take(
    state: State, needs: Needs, held: tuple[Occasion, ...], run_times: RunTimes, lot: Lot, ends: datetime
) -> Iterator[Outlet]:
    """What could take the rest of a lot, the staff meal last: it is offered nothing raw."""
    yield from _if_there(needs.planned, lot, ends)
    yield from _further_runs(state, needs, run_times, lot, ends)
    for occasion in held:
        if lot.there < occasion.ends and max(occasion.starts, run_times.now) < ends:
            yield from _more_plates(state, occasion, lot, ends)
    prep = state.book.preps.get(lot.prep)
    if prep is not None and prep.ready_to_eat:
        yield Outlet("staff meal", "", None, None, lot.left, ends)


def _further_runs(state: State, needs: Needs, run_times: RunTimes, lot: Lot, ends: datetime) -> Iterator[Outlet]:
    """A run of what is needed ahead, begun while the lot is good, if what it gives is still good when needed."""
    taking = {answer.need.run_of for answer in needs.answers if answer.need.prep == lot.prep and answer.need.at < ends}
    for recipe in state.book.preps.values():
        one = sum(use.amount for use in (*recipe.uses, *recipe.takes_if_there) if use.item == lot.prep)
        if one and recipe.id not in taking and _in_time(needs, run_times, recipe, lot):
            yield Outlet("recipe", recipe.id, None, None, min(lot.left, one), ends)


def _in_time(needs: Needs, run_times: RunTimes, recipe: Prep, lot: Lot) -> bool:
    """Whether a run begun as soon as the lot is there gives something that is good when it is needed."""
    size = recipe.sizes.smallest
    steps = run_times.after(recipe, size, max(lot.there, run_times.now))
    ready = steps[-1].ends if steps else max(lot.there, run_times.now)
    good = {prep: run_times.good_until(recipe, size, prep, steps, ready) for prep in recipe.outputs}
    return any(
        answer.need.amount and answer.need.prep in good and max(answer.need.at, ready) < good[answer.need.prep]
        for answer in needs.answers
    )


def _if_there(planned: Iterable[Planned], lot: Lot, ends: datetime) -> Iterator[Outlet]:
    """Planned runs that use it if there is any: nothing is ever planned for them."""
    for run in planned:
        amount = sum(scaled(use.amount, run.size) for use in run.recipe.takes_if_there if use.item == lot.prep)
        if amount and lot.there <= run.begins < ends:
            by = run.begins
            yield Outlet("if there", run.recipe.id, None, run.need.service_day, min(lot.left, amount), by)


def _more_plates(state: State, occasion: Occasion, lot: Lot, ends: datetime) -> Iterator[Outlet]:
    """Plates beyond what is expected, of every dish that has it."""
    for dish in table(state.book, occasion).dishes.values():
        each = portion(state, occasion.day, dish.id, lot.prep) if lot.prep in dish.plate else 0
        plates = whole_portions(lot.left, each) if each else 0
        if plates:
            by = min(ends, occasion.ends)
            yield Outlet("dish", dish.id, occasion.service.id, occasion.day, plates * each, by, plates)
