"""Watching temperatures: what the readings hold back, what still cools, what is out of range and what is in it.

A batch that missed a limit is blocked before anything is counted, so that no need, count or plate ever sees it; a run
that missed one gives nothing that counts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime
from typing import Literal

from msgspec import Struct, field
from msgspec.structs import replace

from prepboard.book.book import Temperature
from prepboard.book.safety.holding import held_at, spells
from prepboard.book.safety.judging import Judged, Measured, judge
from prepboard.book.safety.temperatures import Kind, Reading, limit_of
from prepboard.plan.given.state import Batch, Run, State
from prepboard.plan.probes.forecast import CoolingLine, ahead


class Flag(Struct, frozen=True):
    """Something out of range. `limit` is in the unit that was read; by `due` it must be back (None: no such time);
    `held` when it is held back for it; `inside` are the batches in a place."""

    of: str
    kind: Kind
    key: str
    last: Reading
    limit: Temperature
    since: datetime
    due: datetime | None
    held: bool = False
    inside: tuple[str, ...] = ()


class Held(Struct, frozen=True):
    """Why a batch or a run is held back: the words, the limit's key in the rule book, and since when."""

    why: str
    key: str
    since: datetime | None


class Watch(Struct, frozen=True):
    """What the readings say at one moment; by code of batch or run."""

    judged: Mapping[str, Judged] = field(default_factory=dict)
    held: Mapping[str, Held] = field(default_factory=dict)
    cooling: tuple[CoolingLine, ...] = ()
    """What is still on its way down, the limit that runs out first in front."""
    flags: tuple[Flag, ...] = ()
    """What is out of range now, the oldest first."""


def watch(state: State, now: datetime) -> Watch:
    """Judges every batch and run that was read, and every place and good by its last readings."""
    if not state.readings:
        return Watch()
    read: dict[tuple[Kind, str], list[Reading]] = defaultdict(list)
    for reading in state.readings:
        read[reading.kind, reading.of].append(reading)
    judged: dict[str, Judged] = {}
    cooling: list[CoolingLine] = []
    flags: list[Flag] = []
    foods: tuple[Batch | Run, ...] = (*state.batches, *state.runs)
    for food in foods:
        measured = _measured(state, food, read)
        if not measured.readings:
            continue
        found = judged[food.code] = judge(state.book.kitchen.rules, measured, now)
        if line := _on_its_way(state, food, found, read):
            cooling.append(line)
        if flag := _out(state, food, found):
            flags.append(flag)
    flags += _elsewhere(state, read)
    held = {code: Held(one.held, one.broken[0], one.since) for code, one in judged.items() if one.held}
    cooling.sort(key=lambda line: (line.limit.due, line.of))
    return Watch(judged, held, tuple(cooling), tuple(sorted(flags, key=lambda flag: (flag.since, flag.of))))


def held_back(state: State, seen: Watch) -> State:
    """The state with what the readings hold back: such batches are blocked, such runs give nothing."""
    if not seen.held:
        return state
    return replace(
        state,
        batches=tuple(_blocked(batch, seen.held.get(batch.code)) for batch in state.batches),
        runs=tuple(replace(run, outputs={}) if run.code in seen.held else run for run in state.runs),
    )


def _blocked(batch: Batch, held: Held | None) -> Batch:
    return batch if held is None or batch.blocked else replace(batch, blocked=held.why)


def _measured(state: State, food: Batch | Run, read: Mapping[tuple[Kind, str], list[Reading]]) -> Measured:
    if isinstance(food, Run):
        return Measured(read.get(("run", food.code), []), state.cooling_from.get(food.code), None)
    of_run = read.get(("run", food.run), []) if food.run else []
    return Measured(
        [*of_run, *read.get(("batch", food.code), [])],
        state.cooling_from.get(food.run),
        food.store,
        state.corrected.get(food.code),
    )


def _on_its_way(
    state: State,
    food: Batch | Run,
    found: Judged,
    read: Mapping[tuple[Kind, str], list[Reading]],
) -> CoolingLine | None:
    way = found.cooling
    if way is None or found.held:
        return None
    if isinstance(food, Run):
        prep, place = food.recipe.id, food.recipe.steps[food.step].place if food.recipe.steps else None
    else:
        prep, place = food.prep, food.place
    cold = _temperature(state, place or "", read)
    return ahead(food.code, _kind(food), prep, way, state.book.kitchen.rules, cold)


def _kind(food: Batch | Run) -> Literal["batch", "run"]:
    return "run" if isinstance(food, Run) else "batch"


def _temperature(state: State, place: str, read: Mapping[tuple[Kind, str], list[Reading]]) -> Temperature | None:
    """Of a place: its last reading, else what the book gives it."""
    if readings := read.get(("place", place)):
        last = max(readings, key=lambda one: one.at)
        return Temperature(last.degrees, last.unit)
    known = state.book.places.get(place)
    return known.temperature if known else None


def _out(state: State, food: Batch | Run, found: Judged) -> Flag | None:
    spell = found.out
    if spell is None:
        return None
    limit = limit_of(state.book.kitchen.rules, spell.key, spell.last.unit)
    assert limit is not None, spell.key
    return Flag(
        food.code, _kind(food), spell.key, spell.last, Temperature(limit, spell.last.unit), spell.since, spell.due,
        held=spell.key in found.broken,
    )  # fmt: skip


def _elsewhere(state: State, read: Mapping[tuple[Kind, str], list[Reading]]) -> list[Flag]:
    """Places and goods out of range, with the batches that stand in a place."""
    found: list[Flag] = []
    for (kind, of), readings in read.items():
        if kind == "place":
            store = state.book.places[of].store if of in state.book.places else None
        elif kind == "goods":
            store = state.book.goods[of].store if of in state.book.goods else None
        else:
            continue
        key = held_at(store) if store else ""
        going_on = [spell for spell in spells(state.book.kitchen.rules, key, readings) if spell.back is None]
        for spell in going_on:
            limit = limit_of(state.book.kitchen.rules, key, spell.last.unit)
            assert limit is not None, key
            inside = tuple(batch.code for batch in state.batches if kind == "place" and batch.place == of)
            found.append(
                Flag(
                    of,
                    kind,
                    key,
                    spell.last,
                    Temperature(limit, spell.last.unit),
                    spell.since,
                    spell.due,
                    inside=inside,
                )
            )
    return found
