"""What a plan comes to before its lines are written: what is needed, which runs give it, and where they lie."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from msgspec import Struct
from msgspec.structs import replace

from prepboard.plan.demand.occasions import Occasion, ahead
from prepboard.plan.demand.pars import Par, pars
from prepboard.plan.floor.floor import Floor, there_was
from prepboard.plan.floor.pinned import LITTLE, SOME, SOON
from prepboard.plan.floor.placing import Placing, place_runs, place_under_way
from prepboard.plan.given.state import Run, State
from prepboard.plan.memory import turn_page
from prepboard.plan.probes.watching import Watch, held_back, watch
from prepboard.plan.runs.horizon import horizon
from prepboard.plan.runs.needs import Needs, work_out, work_out_again
from prepboard.plan.runs.runs import RunTimes


class Outline(Struct, frozen=True):
    """All that actions keep of a plan, and that its lines are written of, once."""

    given: State
    """As it was read."""
    state: State
    """The same with what readings hold back."""
    now: datetime
    watch: Watch
    runs: Sequence[Run]
    """Those under way, held back or not."""
    run_times: RunTimes
    held: tuple[Occasion, ...]
    """The sittings ahead."""
    pars: list[Par]
    needs: Needs
    placing: Placing
    floor: Floor
    moving: bool


LaidOut = tuple[Needs, Placing, Floor]

MOST_ROUNDS = 4
"""So often needs and places are worked out from each other."""
MANY, ROUNDS_OF_MANY = 500, 2
"""With more runs than that only so often."""
FREE_ROUNDS = 2
"""So often everything is placed from where it lay when somebody last saw it; then only what is new finds a place."""


def outline(given: State, now: datetime, moving: bool = False) -> Outline:
    """Plans as far as to where everything lies; `moving` as in `plan`."""
    turn_page(now)
    seen = watch(given, now)
    state = held_back(given, seen)
    run_times = RunTimes(state, now)
    run_times.under_way = place_under_way(state, given.runs, run_times)
    until = horizon(state, now)
    held = ahead(state, now, until)
    known = pars(state, now, until, held)
    needs, placing, floor = _laid_out(state, given.runs, known, until, run_times, moving)
    if moving and placing.avoidable > LITTLE and len(needs.planned) <= SOME:
        needs, placing, floor = _or_from_nothing((needs, placing, floor), state, given.runs, known, until, run_times)
    # Costs decided this: the same plan is the same, however it was found.
    placing = replace(placing, cost=0, avoidable=0)
    return Outline(given, state, now, seen, given.runs, run_times, held, known, needs, placing, floor, moving)


def _or_from_nothing(
    found: LaidOut, state: State, runs: Sequence[Run], known: list[Par], until: datetime, run_times: RunTimes
) -> LaidOut:
    """The same as if nothing lay anywhere yet but what begins within the hour, where that is better by more than a
    little: what is asked for follows from where things lie, so that a plan gets stuck in itself."""
    before = run_times.lies, run_times.carried
    soon = {
        line: one for line, one in state.placements.items() if one.steps and one.steps[0].begins < run_times.now + SOON
    }
    run_times.lies, run_times.carried = soon, {}
    begun_anew = replace(state, placements=soon, placed_for=there_was(state.placed_for))
    other = _laid_out(begun_anew, runs, known, until, run_times, True, once=True)
    if found[1].cost - other[1].cost > LITTLE:
        return other
    run_times.lies, run_times.carried = before
    return found


def _laid_out(
    state: State,
    runs: Sequence[Run],
    known: list[Par],
    until: datetime,
    run_times: RunTimes,
    moving: bool,
    once: bool = False,
) -> LaidOut:
    """What is needed, and where it lies. What a run gives counts for whom it is there for, and good, where it lies: so
    both are worked out again until the one follows from the other; what lies somewhere moves for others `once`, or each
    time."""
    before, cost, avoidable, free = state.placed_for, 0, 0, 1 if once else FREE_ROUNDS
    last_floor: Floor | None = None
    needs = work_out(state, run_times.now, until, known, run_times)
    for number in range(1, MOST_ROUNDS + 1):
        if number > 1:
            needs = work_out_again(needs, state, until, known, run_times)
        moves = moving and not (once and number > 1)
        placing, floor = place_runs(state, needs.planned, runs, run_times, moves, last_floor)
        if number > free and placing.digest == before:
            # It lies as the round before had it.
            placing = replace(placing, cost=cost, avoidable=avoidable)
        if placing.digest == before or (len(needs.planned) > MANY and number >= ROUNDS_OF_MANY):
            break
        before, cost, avoidable, last_floor = placing.digest, placing.cost, placing.avoidable, floor
        if number >= free:
            state = replace(state, placements=placing.placements, placed_for=placing.digest)
        run_times.lies, run_times.carried = placing.placements, {}
    return needs, placing, floor
