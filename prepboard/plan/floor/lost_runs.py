"""Lost runs: what lies where all that it is for is over, or where its batch ends before anybody takes of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from prepboard.plan.floor.floor import Floor
from prepboard.plan.floor.lasting import ANY, lasting_from
from prepboard.plan.floor.too_late import for_nobody, hopeless, only_for, wasted
from prepboard.plan.given.state import Placement
from prepboard.plan.runs.runs import Planned, RunTimes, thaw
from prepboard.plan.runs.stock import Need


def too_late(planned: Sequence[Planned], floor: Floor, run_times: RunTimes) -> set[int]:
    """Those that lay where all that they are for is over when they are ready, or too late itself; and those that cannot
    be made."""
    known = floor.state.placements
    lay = ((run, known[run.name]) for run in planned if run.name in known and known[run.name].steps)
    # Of another size it may take less time: where it lay only its begin says something.
    ready = {run.name: one.steps[-1].ends if one.size == run.size else one.steps[0].begins for run, one in lay}
    names = for_nobody(planned, {run.name: ready[run.name] + thaw(run.recipe) for run in planned if run.name in ready})
    never = never_lasting(planned, floor, run_times)
    names |= {
        run.name
        for run, _ in hopeless(planned, lambda run, need: run.name not in never and lasted(run, need, known, run_times))
    }
    names |= only_for(planned, names)
    return {index for index, run in enumerate(planned) if run.name in names}


def never_lasting(planned: Sequence[Planned], floor: Floor, run_times: RunTimes) -> set[str]:
    """Those that lie nowhere yet and whose batch would end before anybody takes of it, whatever else is there and
    however late they were begun; by name."""
    known = floor.state.placements
    nowhere = (run for run in planned if run.name not in known or not known[run.name].steps)
    ends = [run for run in nowhere if run.steps is run.alone and wasted(run)]
    by_name = {run.name: run for run in planned} if ends else {}
    return {run.name for run in ends if lasting_from(run, by_name, floor, run_times) is ANY}


def lasted(run: Planned, need: Need, known: Mapping[str, Placement], run_times: RunTimes) -> bool:
    """Whether the batch lasts, where a run lies or lay, until it is taken; what lies nowhere yet may come to lie where
    it does."""
    lies = known.get(run.name)
    if lies is None or len(lies.steps) != len(run.recipe.steps) or not lies.steps:
        return True
    ready, user = lies.steps[-1].ends, known.get(need.key)
    first = need.at if need.occasion is not None else user.steps[0].begins if user and user.steps else need.ready_by
    first = max(first, ready + thaw(run_times.book.preps[need.prep]))
    good, fresh = run_times.good_at(run, need.prep, lies.steps, ready, first), run.lots[need.prep].fresh_for
    if need.occasion is not None and fresh is not None:
        good = min(good, ready + fresh)
    return first < good


def lost_anyway(planned: Sequence[Planned], floor: Floor, run_times: RunTimes) -> set[int]:
    """Those for which all that they are for is over even if they are begun now and nothing else is there; those that
    fit into no hours or never last, and those that take of them; and what only such take."""
    now = {run.name: run_times.after(run.recipe, run.size, run_times.now) for run in planned}
    names = for_nobody(planned, {name: steps[-1].ends for name, steps in now.items() if steps})
    never = never_lasting(planned, floor, run_times)
    names |= {run.name for run, _ in hopeless(planned, lambda run, _need: run.name not in never)}
    names |= only_for(planned, names)
    return {index for index, run in enumerate(planned) if run.name in names}
