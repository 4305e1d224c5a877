"""A state as it would be if a line were started this moment: what pressing start comes to, before it is pressed."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from fractions import Fraction

from msgspec.structs import replace

from prepboard.book.book import Prep
from prepboard.book.otherwise import AS_WRITTEN, Otherwise, made_otherwise
from prepboard.plan.given.state import Batch, Run, State
from prepboard.plan.runs.sizes import amounts, scaled
from prepboard.plan.shown.lines import MakeLine

CODE = "-"
"""What the run is called that nobody has started yet."""


def begun(state: State, line: MakeLine, size: Fraction, now: datetime, how: Otherwise = AS_WRITTEN) -> State:
    """The state with a run of this size, made `how`, under way for the line, its first step begun, what that step names
    taken."""
    recipe = made_otherwise(state.book.preps[line.prep], how)
    named = [use for use in (*recipe.uses, *recipe.takes_if_there) if use.step == 0] if recipe.steps else []
    batches = {batch.code: batch for batch in state.batches}
    for use in named:
        _take(batches, use.item, scaled(use.amount, size), now)
    run = Run(
        code=CODE,
        line=line.line,
        recipe=recipe,
        size=size,
        outputs=amounts(recipe, size),
        started=now,
        step=0 if recipe.steps else -1,
        step_began=now,
        taken=frozenset(use.item for use in named),
        by="",
        station=_station(state, line, recipe),
    )
    counted = {**state.lines_run, (line.prep, line.line.need): line.line.n + 1}
    left = tuple(batch for batch in batches.values() if batch.left)
    return replace(state, runs=(*state.runs, run), batches=left, lines_run=counted)


def _station(state: State, line: MakeLine, recipe: Prep) -> str:
    return line.station if line.station in state.book.stations else recipe.station


def _take(batches: dict[str, Batch], item: str, amount: int, now: datetime) -> None:
    """Takes an amount of what is good, first to expire first, as far as it goes."""
    for batch in sorted(_good(batches.values(), item, now), key=_first_to_expire):
        part = min(amount, batch.left)
        batches[batch.code] = replace(batch, left=batch.left - part)
        amount -= part


def _good(batches: Iterable[Batch], item: str, now: datetime) -> list[Batch]:
    return [
        batch
        for batch in batches
        if batch.prep == item
        and not batch.blocked
        and not batch.set_aside
        and batch.made_at <= now
        and (batch.use_by is None or now < batch.use_by)
    ]


def _first_to_expire(batch: Batch) -> tuple[bool, bool, datetime, datetime, str]:
    return (batch.store == "frozen", batch.use_by is None, batch.use_by or batch.made_at, batch.made_at, batch.code)
