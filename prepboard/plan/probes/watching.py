"""Watching temperatures: what the readings hold back, what still cools, what is out of range and what is in it.

What is known of food was worked out when it was recorded and stands in its marks; here only an instant is compared.
A batch that may not be used is blocked before anything is counted, so that no need, count or plate ever sees it; a run
whose food may not be used gives nothing that counts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Literal

from msgspec import Struct, field
from msgspec.structs import replace

from prepboard.book.book import Temperature
from prepboard.book.rules import RuleBook
from prepboard.book.safety.cooling import Start
from prepboard.book.safety.holding import COLD, held_at, hours_out, place_limit
from prepboard.book.safety.judging import Judged, Way, judge
from prepboard.book.safety.may_use import HELD, MISSED, OUT, WITHHELD, Answer, Food, may_use
from prepboard.book.safety.needs_control import rules_for
from prepboard.book.safety.temperatures import Kind, Reading, limit_of, within
from prepboard.plan.given.state import Batch, Run, State
from prepboard.plan.probes.forecast import CoolingLine, next_limit
from prepboard.plan.probes.unread import start_of, unread


class Flag(Struct, frozen=True):
    """Something out of range. `limit` is in the unit that was read; by `due` it ends (None: no such time); `held` when
    it is held back for it; `inside` are the batches in a place."""

    of: str
    kind: Kind
    key: str
    last: Reading
    limit: Temperature
    since: datetime
    due: datetime | None
    held: bool = False
    inside: tuple[str, ...] = ()


class HeldBack(Struct, frozen=True):
    """Why a batch or a run is held back: the words, the limit's key in the rule book, since when, the row of the
    answer, and which batch or run it comes from."""

    why: str
    key: str
    since: datetime | None
    row: int = MISSED
    source: str = ""


class Watch(Struct, frozen=True):
    """What the readings say at one moment; by code of batch or run."""

    judged: Mapping[str, Judged] = field(default_factory=dict)
    held: Mapping[str, HeldBack] = field(default_factory=dict)
    cooling: tuple[CoolingLine, ...] = ()
    """What is still on its way down, the limit that runs out first in front."""
    flags: tuple[Flag, ...] = ()
    """What is out of range now, the oldest first."""
    unread: tuple[CoolingLine, ...] = ()
    """What cools and was not read on its way down, the limit that runs out first in front."""


def watch(state: State, now: datetime) -> Watch:
    """What may not be used, what cools, and every place and good that is out of range by its last reading."""
    held = {code: _held(found) for code, found in _refused(state, now)}
    if not state.readings:
        return Watch(held=held, unread=_unread(state, now, {}, held))
    read: dict[tuple[Kind, str], list[Reading]] = defaultdict(list)
    for reading in state.readings:
        read[reading.kind, reading.of].append(reading)
    judged: dict[str, Judged] = {}
    cooling: list[CoolingLine] = []
    flags: list[Flag] = []
    foods: tuple[Batch | Run, ...] = (*state.batches, *state.runs)
    for food in foods:
        readings = _readings(food, read)
        if not readings:
            continue
        start = state.cooling_from.get(food.code) if isinstance(food, Run) else start_of(state, food)
        hot = isinstance(food, Batch) and food.store == "hot"
        way = Way(None if hot else start, readings, chilled=_chilled(food, start))
        found = judge(state.book.kitchen.rules, [way], now)
        found = judged[food.code] = replace(found, readings=tuple(sorted(readings, key=lambda one: one.at)))
        if food.code not in held and (line := _on_its_way(state, food, found, read)):
            cooling.append(line)
        if isinstance(food, Batch) and (flag := _out(state, food, found, now, held)):
            flags.append(flag)
    flags += _elsewhere(state, read)
    cooling.sort(key=lambda line: (line.limit.due, line.of))
    by_code = {code: one.readings for code, one in judged.items()}
    return Watch(
        judged,
        held,
        tuple(cooling),
        tuple(sorted(flags, key=lambda flag: (flag.since, flag.of))),
        _unread(state, now, by_code, held),
    )


def _unread(
    state: State, now: datetime, read: Mapping[str, tuple[Reading, ...]], held: Mapping[str, HeldBack]
) -> tuple[CoolingLine, ...]:
    if not state.cooling_from:
        return ()
    found = (line for line in unread(state, now, read) if line.of not in held)
    return tuple(sorted(found, key=lambda line: (line.limit.due, line.of)))


def held_back(state: State, seen: Watch) -> State:
    """The state with what may not be used: such batches are blocked, such runs give nothing."""
    if not seen.held:
        return state
    return replace(
        state,
        batches=tuple(_blocked(batch, seen.held.get(batch.code)) for batch in state.batches),
        runs=tuple(replace(run, outputs={}) if run.code in seen.held else run for run in state.runs),
    )


def _refused(state: State, now: datetime) -> Iterable[tuple[str, Answer]]:
    """Batches and runs that rows 2 to 4 refuse; only what is known of them is looked at."""
    for batch in state.batches:
        if batch.marks:
            found = batch.answer(now)
            if not found.may and found.row in (WITHHELD, MISSED, HELD):
                yield batch.code, found
    for run in state.runs:
        if run.marks:
            found = may_use(Food(True, run.started, run.marks), now)
            if not found.may:
                yield run.code, found


def _held(found: Answer) -> HeldBack:
    return HeldBack(found.why or "expired", found.key, found.since, found.row, found.source)


def _blocked(batch: Batch, held: HeldBack | None) -> Batch:
    return batch if held is None or batch.blocked else replace(batch, blocked=held.why)


def _readings(food: Batch | Run, read: Mapping[tuple[Kind, str], list[Reading]]) -> list[Reading]:
    if isinstance(food, Run):
        return read.get(("run", food.code), [])
    of_run = read.get(("run", food.run), []) if food.run else []
    return [*of_run, *read.get(("batch", food.code), [])]


def _chilled(food: Batch | Run, start: Start | None) -> datetime | None:
    """When food was first put into the cold after it began to cool."""
    if isinstance(food, Run) or start is None:
        return None
    return next((stay.since for stay in food.history.stays if stay.store in COLD and stay.since >= start.at), None)


def _on_its_way(
    state: State, food: Batch | Run, found: Judged, read: Mapping[tuple[Kind, str], list[Reading]]
) -> CoolingLine | None:
    way = found.cooling
    if way is None or all(one.doubtful for one in way.readings):
        return None
    if isinstance(food, Run):
        prep, place = food.recipe.id, food.recipe.steps[food.step].place if food.recipe.steps else None
    else:
        prep, place = food.prep, food.place
    cold = _temperature(state, place or "", read)
    return next_limit(food.code, _kind(food), prep, way, state.book.kitchen.rules, cold)


def _kind(food: Batch | Run) -> Literal["batch", "run"]:
    return "run" if isinstance(food, Run) else "batch"


def _temperature(state: State, place: str, read: Mapping[tuple[Kind, str], list[Reading]]) -> Temperature | None:
    """Of a place: its last reading, else what the book gives it."""
    if readings := read.get(("place", place)):
        last = max(readings, key=lambda one: one.at)
        return Temperature(last.degrees, last.unit)
    known = state.book.places.get(place)
    return known.temperature if known else None


def _out(state: State, food: Batch, found: Judged, now: datetime, held: Mapping[str, HeldBack]) -> Flag | None:
    """A batch whose last reading is out of the range of where it is kept, and that is not on its way down."""
    rules, key = rules_for(state.book, food.prep), held_at(food.store)
    last = next((one for one in reversed(found.readings) if _says(rules, key, one)), None)
    if last is None:
        return None
    way = found.cooling
    cooling = way is not None and last in way.readings and not way.closed(last.at) and food.store != "hot"
    if not key or last.meant in ("core", "reheat") or cooling or within(rules, key, last):
        return None
    limit = limit_of(rules, key, last.unit)
    if limit is None:
        return None
    out = min((mark for mark in food.marks if mark.row == OUT), default=None)
    since, due = (out.since, out.until) if out else (last.at, None)
    is_held = food.code in held or (due is not None and due <= now)
    return Flag(food.code, "batch", key, last, Temperature(limit, last.unit), since, due, held=is_held)


def _elsewhere(state: State, read: Mapping[tuple[Kind, str], list[Reading]]) -> list[Flag]:
    """Places and goods out of range, with the batches that stand in a place."""
    rules, found = state.book.kitchen.rules, list[Flag]()
    for (kind, of), readings in read.items():
        if kind == "place":
            store = state.book.places[of].store if of in state.book.places else None
        elif kind == "goods":
            store = state.book.goods[of].store if of in state.book.goods else None
        else:
            continue
        key = place_limit(store) if store else ""
        in_order = sorted((one for one in readings if one.meant != "exposed"), key=lambda one: one.at)
        bad = _unbroken(rules, key, in_order)
        limit = limit_of(rules, key, bad[-1].unit) if bad else None
        if limit is None:
            continue
        inside = tuple(batch.code for batch in state.batches if kind == "place" and batch.place == of)
        hours = hours_out(rules, "hot" if store == "hot" else "cold")
        due = bad[0].at + hours if hours else None
        found.append(Flag(of, kind, key, bad[-1], Temperature(limit, bad[-1].unit), bad[0].at, due, inside=inside))
    return found


def _unbroken(rules: RuleBook, key: str, readings: list[Reading]) -> list[Reading]:
    """The last readings, as far as they are all out of range."""
    found: list[Reading] = []
    for reading in reversed(readings):
        if not key or not _says(rules, key, reading):
            continue
        if within(rules, key, reading):
            break
        found.insert(0, reading)
    return found


def _says(rules: RuleBook, key: str, reading: Reading) -> bool:
    """Whether a reading says anything of a limit: what is in doubt shows nothing good."""
    return not reading.doubtful or not (key and within(rules, key, reading))
