"""What the readings of one batch, or one run, say of it: its ways down, its times out of range, and whether it must be
held back from everybody until it is discarded or the code's corrective action is recorded."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from msgspec import Struct

from prepboard.book.book import Store
from prepboard.book.rules import RuleBook
from prepboard.book.safety.cooling import Cooling, Start, coolings
from prepboard.book.safety.holding import Spell, held_at, spells
from prepboard.book.safety.temperatures import Reading, within

TOO_SLOW, NOT_SHOWN = "cooled too slowly", "cooling not shown in time"
OUT_TOO_LONG, NOT_REHEATED = "out of temperature too long", "not reheated in time"
"""Why food is held back, as `Batch.blocked` has it."""


class Measured(Struct, frozen=True):
    """What is known of some food's temperature. `store` is None for a run, which is not kept anywhere yet."""

    readings: Sequence[Reading]
    start: Start | None
    store: Store | None
    corrected_at: datetime | None = None
    """When the code's corrective action was last recorded; what was missed up to then is settled."""


class Judged(Struct, frozen=True):
    coolings: tuple[Cooling, ...]
    spells: tuple[Spell, ...]
    held: str
    """Why nobody may use it; empty when they may."""
    broken: tuple[str, ...]
    """The keys of the limits that it is held back for, the first to be missed in front."""
    since: datetime | None = None
    """From when on it is held back."""
    readings: tuple[Reading, ...] = ()
    """All that it was judged by, in order of time."""

    @property
    def cooling(self) -> Cooling | None:
        """The last way down."""
        return self.coolings[-1] if self.coolings else None

    @property
    def out(self) -> Spell | None:
        """The time out of range that still goes on."""
        return next((spell for spell in self.spells if spell.back is None), None)


def judge(rules: RuleBook, food: Measured, now: datetime) -> Judged:
    """What the readings say at one moment. Pure; the same for the plan and for whoever takes from a batch."""
    read = tuple(sorted(food.readings, key=lambda one: one.at))
    ways = () if food.store == "hot" else coolings(rules, food.start, food.readings, now)
    out = (*_holding(rules, food, ways), *spells(rules, "reheat", _of(food, "reheat")))
    settled = food.corrected_at
    missed = [limit for way in ways for limit in way.broken if settled is None or limit.due > settled]
    if missed:
        why = NOT_SHOWN if missed[0].state == "unread" else TOO_SLOW
        return Judged(ways, out, why, tuple(limit.key for limit in missed), missed[0].due, read)
    for spell in out:
        if spell.too_long(now) and spell.due and (settled is None or spell.due > settled):
            why = NOT_REHEATED if spell.key == "reheat" else OUT_TOO_LONG
            return Judged(ways, out, why, (spell.key,), spell.due, read)
    return Judged(ways, out, "", (), readings=read)


def _of(food: Measured, meant: str) -> list[Reading]:
    return [reading for reading in food.readings if reading.meant == meant]


def _holding(rules: RuleBook, food: Measured, ways: tuple[Cooling, ...]) -> tuple[Spell, ...]:
    """Times out of range where it is kept. What still cools is not held yet; what was never cooled was always held."""
    key = held_at(food.store) if food.store else ""
    if not key:
        return ()
    held = [reading for reading in food.readings if reading.meant != "reheat"]
    if key == "cold_holding":
        held = _after_cooling(rules, held, ways, food.start)
    elif key == "hot_holding":
        # What was read in the cold before it was heated is no time out of the hot.
        first = next(
            (at for at, reading in enumerate(held) if reading.meant == key or within(rules, key, reading)), None
        )
        held = held[first:] if first is not None else []
    return spells(rules, key, held)


def _after_cooling(
    rules: RuleBook, held: list[Reading], ways: tuple[Cooling, ...], start: Start | None
) -> list[Reading]:
    if ways:
        down = [reading.at for reading in ways[-1].readings if within(rules, "cooling_to", reading)]
        return [reading for reading in held if down and reading.at >= down[0]]
    return [
        reading
        for reading in held
        if not within(rules, "hot_holding", reading) and (start is None or reading.at >= start.at)
    ]
