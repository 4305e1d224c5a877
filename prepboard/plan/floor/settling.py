"""Settling: runs as they were placed, and what a move broke."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from prepboard.plan.floor.placing import Placing
from prepboard.plan.floor.too_late import hopeless, wasted
from prepboard.plan.runs.new_run import long_waits
from prepboard.plan.runs.runs import Planned, RunTimes, thaw
from prepboard.plan.shown.lines import Note


def settle(planned: Sequence[Planned], placing: Placing, run_times: RunTimes) -> None:
    """Gives every run its steps as placed: start-by, ready, lives and the moments at which it takes things follow."""
    for run in planned:
        placement = placing.placements.get(str(run.line))
        if placement is not None:
            lasted = _lasting(run)
            run.steps = placement.steps
            run.station = placing.stations.get(str(run.line), run.recipe.station)
            run.notes = [*(note for note in run.notes if note.kind != "long wait"), *long_waits(run)]
            run.ready = placement.steps[-1].ends
            _renew_lives(run, run_times)
            _note_lives(run, lasted)
        elif run.steps and not any(note.kind == "cannot fit" for note in run.notes):
            run.notes.append(Note("cannot fit", {"why": "hands"}))
        _renew_takes(run)
    by_name = {run.name: run for run in planned}
    for run in planned:
        _renew_ready_by(run, by_name)
        _note_taken(run)
    _note_cannot_be(planned)


def _renew_lives(run: Planned, run_times: RunTimes) -> None:
    for prep, lot in run.lots.items():
        carried = run_times.carried.get(str(run.line))
        lot.good_until = run_times.good_until(run.recipe, run.size, prep, run.steps, run.ready, carried)
        lot.there = max(run.ready, run_times.now) + thaw(run_times.book.preps[prep])


def _lasting(run: Planned) -> set[int]:
    """Which of the needs that a run is for it would have lasted for."""
    return {number for number, (need, _) in enumerate(run.serves) if run.lots[need.prep].good_at(need.until)}


def _note_lives(run: Planned, lasted: set[int]) -> None:
    for number, (need, _) in enumerate(run.serves):
        lot = run.lots[need.prep]
        # A service's need ends just before its end; a batch is good up to, not at, its use-by.
        ends = lot.good_until is not None and (
            lot.good_until < need.until if need.occasion else lot.good_until <= need.until
        )
        if number in lasted and ends:
            run.notes.append(Note("not good long enough", {"until": lot.good_until}))
            return


def _renew_takes(run: Planned) -> None:
    at_step = {use.item: use.step or 0 for use in run.recipe.uses}
    for need in run.takes:
        need.ready_by = run.steps[at_step[need.prep]].begins if run.steps else run.ready


def _renew_ready_by(run: Planned, by_name: Mapping[str, Planned]) -> None:
    """When a run that only others take is needed: when they take it; but where one of them is late since it waits for
    this, when it should have."""
    if not run.serves or any(need.run_of is None for need, _ in run.serves):
        return
    taken = min(need.ready_by for need, _ in run.serves)
    users = (by_name.get(need.key) for need, _ in run.serves)
    waiting = any(user is not None and user.ready + thaw(user.recipe) > user.ready_by for user in users)
    if taken < run.ready_by or not waiting or run.ready + thaw(run.recipe) < taken:
        run.ready_by = taken


def _note_cannot_be(planned: Sequence[Planned]) -> None:
    """Names what ends before anybody takes of it, and what cannot be made since what goes in cannot be."""
    for run, lacks in hopeless(planned, wasted):
        if not any(note.kind == "cannot fit" for note in run.notes):
            why = {"why": "without", "item": lacks} if lacks else {"why": "life"}
            run.notes.append(Note("cannot fit", why))


def _note_taken(run: Planned) -> None:
    """Names what a run would take only after its life is over."""
    for need in run.takes:
        for lot, _ in need.drawn:
            if lot.good_until is not None and lot.good_until <= need.ready_by:
                run.notes.append(Note("ends before", {"item": need.prep, "until": lot.good_until}))
                break
