"""Settling: runs as they were placed, and what a move broke."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from msgspec.structs import replace

from prepboard.plan.floor.placing import Placing
from prepboard.plan.floor.too_late import cannot_be, hopeless, lasts, lost, only_for
from prepboard.plan.needs.new_run import long_waits
from prepboard.plan.runs.runs import Planned, RunTimes, thaw
from prepboard.plan.runs.stock import Lot, Need, keep_fresh
from prepboard.plan.shown.lines import Note


def settle(planned: Sequence[Planned], placing: Placing, run_times: RunTimes) -> None:
    """Gives every run its steps as placed: start-by, ready, lives and the moments at which it takes things follow."""
    for run in planned:
        placement = placing.placements.get(run.name)
        if placement is not None:
            lasted = _lasting(run)
            run.steps = placement.steps
            run.station = placing.stations.get(run.name, run.recipe.station)
            run.notes = [*(note for note in run.notes if note.kind != "long wait"), *long_waits(run)]
            run.ready = placement.steps[-1].ends
            _renew_lives(run, run_times)
            _note_lives(run, lasted)
            _renew_over(run)
        elif run.steps and not any(note.kind == "cannot fit" for note in run.notes):
            run.notes.append(Note("cannot fit", {"why": "hands"}))
        _renew_takes(run)
    _note_cannot_be(planned)
    by_name = {run.name: run for run in planned}
    in_vain = lost(planned, run_times.now) | {run.name for run in planned if cannot_be(run)}
    for run in planned:
        _renew_ready_by(run, by_name, in_vain)
        _note_taken(run)


def _renew_lives(run: Planned, run_times: RunTimes) -> None:
    for prep, lot in run.lots.items():
        carried = run_times.carried.get(run.name)
        lot.good_until = run_times.good_until(run.recipe, run.size, prep, run.steps, run.ready, carried)
        lot.thaw = run_times.thaw_of(run.recipe, run.size, prep, run.steps, run.ready, carried, lot.good_until)
        lot.there = max(run.ready, run_times.now) + thaw(run_times.book.preps[prep])
        keep_fresh(lot, run_times.book, max(run.ready, run_times.now))


def _lasting(run: Planned) -> set[int]:
    """Which of the needs that a run is for it would have lasted for."""
    return {number for number, (need, _) in enumerate(run.serves) if _outlives(run.lots[need.prep], need)}


def _note_lives(run: Planned, lasted: set[int]) -> None:
    for number, (need, _) in enumerate(run.serves):
        until = _ends(run.lots[need.prep], need)
        # A service's need ends just before its end; a batch is good up to, not at, its use-by.
        ends = until is not None and (until < need.until if need.occasion else until <= need.until)
        if number in lasted and ends:
            run.notes.append(Note("not good long enough", {"until": until}))
            return


def _renew_over(run: Planned) -> None:
    """What is over is good as long as the batch is that lies there."""
    until = run.lots[run.need.prep].good_until
    if until is not None:
        run.notes = [
            replace(note, facts={**note.facts, "until": until}) if note.kind == "over" else note for note in run.notes
        ]


def _outlives(lot: Lot, need: Need) -> bool:
    ends = _ends(lot, need)
    return ends is None or need.until < ends


def _ends(lot: Lot, need: Need) -> datetime | None:
    """Until when it is good for a need, and for guests until when it goes onto plates."""
    return lot.ends(need) if need.occasion is None else lot.for_guests(need.ready_by)


def _renew_takes(run: Planned) -> None:
    at_step = {use.item: use.step or 0 for use in run.recipe.uses}
    for need in run.takes:
        need.ready_by = run.steps[at_step[need.prep]].begins if run.steps else run.ready


def _renew_ready_by(run: Planned, by_name: Mapping[str, Planned], in_vain: Collection[str]) -> None:
    """When a run that only others take is needed: when they take it; but where one of them is late since it waits for
    this, when it should have. Those made `in_vain`, if at all, count only where all that take of it are."""
    if not run.serves or any(need.run_of is None for need, _ in run.serves):
        return
    asked = [need for need, _ in run.serves]
    needs = [need for need in asked if need.key not in in_vain]
    if len(needs) < len(asked):
        needs = needs or [need for need in run.draw if need.key not in in_vain] or asked
        run.ready_by = min(need.ready_by for need in needs)
    taken = min(need.ready_by for need in needs)
    # One that takes of it later than it is there does not wait for it.
    users = (by_name.get(need.key) for need in needs if need.ready_by <= run.ready + thaw(run.recipe))
    waiting = any(user is not None and user.ready + thaw(user.recipe) > user.ready_by for user in users)
    if taken < run.ready_by or not waiting or run.ready + thaw(run.recipe) < taken:
        run.ready_by = taken


def _note_cannot_be(planned: Sequence[Planned]) -> None:
    """Names what ends before anybody takes of it, what cannot be made since what goes in cannot be, and what nobody
    makes since all that takes it cannot be made."""
    for run, lacks in hopeless(planned, lasts):
        if not cannot_be(run):
            why = {"why": "without", "item": lacks} if lacks else {"why": "life"}
            run.notes.append(Note("cannot fit", why))
    in_vain = only_for(planned, {run.name for run in planned if cannot_be(run)})
    for run in planned:
        if run.name in in_vain and not cannot_be(run):
            user = next((need.run_of for need, _ in run.serves), None)
            run.notes.append(Note("cannot fit", {"why": "for", "item": user}))


def _note_taken(run: Planned) -> None:
    """Names what a run would take only after its life is over."""
    for need in run.takes:
        for lot, _ in need.drawn:
            ends = lot.ends(need)
            if ends is not None and ends <= need.ready_by:
                run.notes.append(Note("ends before", {"item": need.prep, "until": ends}))
                break
