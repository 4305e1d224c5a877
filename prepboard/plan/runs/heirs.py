"""Heirs: what goes into several dishes is named for the first of them. Where that is another one than before, since a
sitting came into sight, the new line lies where the old one lay: those who take of it besides count on it there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from prepboard.plan.given.state import Placement, State
from prepboard.plan.runs.runs import Planned, goes_into_others


def heirs(planned: Sequence[Planned], state: State) -> Mapping[str, Placement]:
    """Line -> where another one lay that is not asked for any more, for each that lies nowhere yet, gives the same in
    the same size, and of which somebody takes who lies behind that and is not lost."""
    known, asked = state.placements, {run.name for run in planned}
    new = [run for run in planned if run.name not in known and goes_into_others(run.name)]
    if not new:
        return {}
    begun = {str(run.line) for run in state.runs}
    gone: dict[str, list[str]] = defaultdict(list)
    for line, one in known.items():
        if one.steps and line not in asked and line not in begun and goes_into_others(line):
            gone[line.partition("#")[0]].append(line)
    found: dict[str, Placement] = {}
    for run in new:
        lay = [line for line in gone[run.recipe.id] if _stands_for(run, known[line], state)]
        if lay:
            line = min(lay, key=lambda line: known[line].steps[0].begins)
            gone[run.recipe.id].remove(line)
            found[run.name] = known[line]
    return found


def _stands_for(run: Planned, old: Placement, state: State) -> bool:
    """Whether somebody who lies behind where another line lay takes of this one, and counts on it."""
    if old.size != run.size or len(old.steps) != len(run.recipe.steps):
        return False
    names = (need.key for need in run.draw if need.run_of is not None and need.key not in state.lost)
    users = map(state.placements.get, names)
    return any(user is not None and user.steps and user.steps[0].begins >= old.steps[-1].ends for user in users)
