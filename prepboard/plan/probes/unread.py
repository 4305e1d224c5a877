"""Food that cools and that nobody has read on its way down: the limit ahead of it, before which it is to be probed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from msgspec.structs import replace

from prepboard.book.book import Book, Temperature
from prepboard.book.safety.cooling import Start, coolings, guidance
from prepboard.book.safety.life import is_hot
from prepboard.book.safety.needs_control import needs_control
from prepboard.book.safety.temperatures import Reading, Unit, limit_of
from prepboard.plan.given.state import Batch, State
from prepboard.plan.probes.forecast import CoolingLine


def unread(state: State, now: datetime, read: Mapping[str, Sequence[Reading]]) -> Iterator[CoolingLine]:
    """One line for each batch and run that is to be cold and that no reading below the hot limit is known of; `read`
    are what readings there are, by code. Nothing where its last limit's moment is past: then the close asks."""
    for run in state.runs:
        if run.recipe.store in ("chilled", "frozen") and run.recipe.id in state.book.preps:
            yield from _line(state, now, run.code, run.recipe.id, read)
    for batch in state.batches:
        if batch.store in ("chilled", "frozen") and batch.run and not batch.pack and not batch.blocked:
            yield from _line(state, now, batch.code, batch.prep, read, batch)


def start_of(state: State, batch: Batch) -> Start | None:
    """From when a batch cools; a part that was taken out before the end of the heat cools from then."""
    start = state.cooling_from.get(batch.run)
    if start is None or start.at <= batch.made_at:
        return start
    return replace(start, at=batch.made_at)


def asks_for_reading(book: Book, item: str) -> bool:
    """Whether food is to be cold and cools down to it by the clock, so that whoever marks it done is asked how warm it
    is. Guidance names no temperature, and asks nobody."""
    prep, rules = book.preps.get(item), book.kitchen.rules
    if prep is None or prep.store not in ("chilled", "frozen") or not needs_control(book, item) or guidance(rules):
        return False
    makers = [book.preps[maker] for maker in prep.made_by if maker in book.preps] or [prep]
    cools = any(is_hot(step, rules) or step.cools for maker in makers for step in maker.steps)
    return cools and "cooling_total" in rules.rules


def _line(
    state: State,
    now: datetime,
    code: str,
    prep: str,
    read: Mapping[str, Sequence[Reading]],
    batch: Batch | None = None,
) -> Iterator[CoolingLine]:
    rules = state.book.kitchen.rules
    start = start_of(state, batch) if batch else state.cooling_from.get(code)
    if start is None or start.at > now or not needs_control(state.book, prep) or (batch and guidance(rules)):
        return  # Guidance asks for the cold, and there it is.
    way = next(reversed(coolings(rules, start, read.get(code, ()), now)), None)
    if way is None or way.next is None or any(not one.doubtful for one in way.readings):
        return  # What is in doubt asks to be read as if nobody had.
    unit: Unit = "F" if state.book.kitchen.units == "us" else "C"
    to = limit_of(rules, way.next.to, unit)
    if to is not None:
        said = Temperature(to, unit)
        yield CoolingLine(code, "batch" if batch else "run", prep, way, way.next, said, None, "unread", 0)
