"""Inheriting: which earlier day 1, and which maker's date, a run that is only planned would get from what it takes.

A run is planned before what it takes is, so that is known only once all is planned. Where it cuts a life, the plan
is made once more with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime

from prepboard.book.book import Book
from prepboard.book.safety.life import bears_no_mark, food_of, passes_on
from prepboard.book.safety.needs_control import opened_as_taken
from prepboard.plan.given.group import Transfer
from prepboard.plan.given.state import Batch, Run, State
from prepboard.plan.memory import memory_of
from prepboard.plan.runs.runs import NOTHING, Carried, Planned, RunTimes
from prepboard.plan.runs.stock import Lot, Need
from prepboard.plan.shown.lines import Note


def carried_by(state: State, planned: Sequence[Planned], run_times: RunTimes) -> dict[str, Carried]:
    """Line -> what its run would inherit; lines that inherit nothing are left out. `planned` in planning order."""
    batches, packs = run_times.handing_on, run_times.packs
    under_way = {run.code: run for run in state.runs}
    opens = _opened_by_runs(state.book)
    vans = {one.note: one for one in state.transfers}
    runs: dict[str, Planned] = {}
    found: dict[str, Carried] = {}
    for run in reversed(planned):
        runs[run.name] = run
        handed = [
            _handed(lot, need, run_times, batches, under_way, vans, runs, found)
            for need in run.takes
            for lot, _ in need.drawn
            if lot.source != "batch" or lot.name in batches
        ]
        if packs:
            handed.append(_packs(state, packs, run))
        if opens and any(use.item in opens for use in run.recipe.uses):
            handed.append(_unopened(opens, packs, run, run_times))
        handed = [one for one in handed if one is not NOTHING]
        if len(handed) == 1:
            found[run.name] = handed[0]
        elif handed:
            found[run.name] = Carried(
                min((one.first_day for one in handed if one.first_day), default=None),
                min((one.safety for one in handed if one.safety), default=None),
            )
    return found


def cut(planned: Iterable[Planned], run_times: RunTimes, carried: Mapping[str, Carried]) -> bool:
    """Cuts the lives that what was inherited ends earlier, with a note; answers whether there was any."""
    any_cut = False
    for run in planned:
        inherited = carried.get(run.name)
        if inherited is None:
            continue
        for prep, lot in run.lots.items():
            until = run_times.good_from_day(prep, run_times.day_one_of(run), run.ready, inherited)
            if lot.good_until is None or until < lot.good_until:
                lot.good_until = until
                any_cut = True
    return any_cut


def note_cuts(planned: Iterable[Planned], run_times: RunTimes) -> None:
    """Says on each line whose life what goes in cuts, until when it would be good."""
    for run in planned:
        prep = run.recipe.id
        if run.name not in run_times.carried:
            continue
        own = run_times.good_from_day(prep, run_times.day_one_of(run), run.ready)
        until = run.lots[prep].good_until
        if until is not None and until < own:
            run.notes.append(Note("older food", {"until": until}))


def _handed(
    lot: Lot,
    need: Need,
    run_times: RunTimes,
    batches: Mapping[str, Batch],
    under_way: Mapping[str, Run],
    vans: Mapping[str, Transfer],
    runs: Mapping[str, Planned],
    found: Mapping[str, Carried],
) -> Carried:
    prep = run_times.book.preps[lot.prep]
    if lot.source == "batch":
        batch = batches[lot.name]
        first = lot.thaw.passes_on(lot.taken_at(need)) if lot.thaw else batch.passes_on
        return _carried(first, batch.safety)
    if lot.source == "run":
        run = under_way[lot.name]
        placed = run_times.going_on(run)
        ready = placed[-1].ends if placed else run_times.now
        own = run_times.first_day(run.recipe, run.size, placed, ready, run)
        first = passes_on(food_of(prep), min(own, _day(run_times, run.started)), run.first_day)
        return _carried(first, run.first_safety)
    if lot.source == "van":
        return _carried(vans[lot.name].passes_on, vans[lot.name].safety)
    planned, got = runs[lot.name], found.get(lot.name, NOTHING)
    if not prep.ready_to_eat:
        return Carried(None, got.safety) if bears_no_mark(prep) else got
    return _carried(passes_on(food_of(prep), run_times.day_one_of(planned), got.first_day), got.safety)


def _carried(first_day: date | None, safety: date | None) -> Carried:
    return Carried(first_day, safety) if first_day or safety else NOTHING


def _day(run_times: RunTimes, at: datetime) -> date:
    return run_times.book.kitchen.days.business_day(at)


def _opened_by_runs(book: Book) -> frozenset[str]:
    """Goods that count as opened when a run takes them."""
    return memory_of(book).once(
        "opened as taken", lambda: frozenset(item for item in book.goods if opened_as_taken(book, item))
    )


def _unopened(opens: frozenset[str], packs: Sequence[Batch], run: Planned, run_times: RunTimes) -> Carried:
    """Goods of which no pack stands open are opened as the run begins."""
    opened = {pack.prep for pack in packs if pack.use_by is None or pack.use_by > run.begins}
    if any(use.item in opens and use.item not in opened for use in run.recipe.uses):
        return Carried(_day(run_times, run.begins), None)
    return NOTHING


def _packs(state: State, opened: Iterable[Batch], run: Planned) -> Carried:
    """Opened packs that are still good when the run starts go in; nobody knows which."""
    goods = {use.item for use in run.recipe.uses if use.item in state.book.goods}
    packs = [batch for batch in opened if batch.prep in goods and (batch.use_by is None or batch.use_by > run.begins)]
    return _carried(
        min((pack.passes_on for pack in packs if pack.passes_on), default=None),
        min((pack.safety for pack in packs if pack.safety and state.book.goods[pack.prep].ready_to_eat), default=None),
    )
