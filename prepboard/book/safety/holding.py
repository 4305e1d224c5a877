"""Holding: food that is kept hot, cold or out of control, and food on its way up: how long it was out of its range.

A time out of range runs from the first reading that shows it to the next that is back, or on until one is. What was
back only after the time that the code leaves, or is not shown to be back by then, is held back: in doubt the food goes.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from msgspec import Struct

from prepboard.book.book import Store
from prepboard.book.rules import RuleBook
from prepboard.book.safety.temperatures import Reading, within


class Spell(Struct, frozen=True):
    """A time out of range of one limit. `back` is the reading that ended it; None while none has.

    `due` is by when it must be back: never, where the code leaves no time for it.
    """

    key: str
    since: datetime
    last: Reading
    back: datetime | None
    due: datetime | None

    def too_long(self, now: datetime) -> bool:
        """Whether the code's time ran out before a reading showed it back; exactly that long is too long."""
        return self.due is not None and (self.back or now) >= self.due


def held_at(store: Store) -> str:
    """The limit for what is kept so; "" where the rule book sets none."""
    return {"hot": "hot_holding", "chilled": "cold_holding", "time": "time_control_cold_limit"}.get(store, "")


def spells(rules: RuleBook, key: str, readings: Iterable[Reading]) -> tuple[Spell, ...]:
    """Every time out of range of a limit, oldest first. Where a code adds such times up, each has what the ones before
    have left of it."""
    found: list[Spell] = []
    since: datetime | None = None
    last: Reading | None = None
    used = timedelta()
    for reading in sorted(readings, key=lambda one: one.at):
        if not within(rules, key, reading):
            since, last = since or reading.at, reading
        elif since is not None and last is not None:
            found.append(_spell(rules, key, since, last, reading.at, used))
            used += (reading.at - since) if _adds_up(rules, key) else timedelta()
            since = None
    if since is not None and last is not None:
        found.append(_spell(rules, key, since, last, None, used))
    return tuple(found)


def _adds_up(rules: RuleBook, key: str) -> bool:
    allowed = rules.allowed.get(key)
    return allowed is not None and allowed.adds_up


def _spell(rules: RuleBook, key: str, since: datetime, last: Reading, back: datetime | None, used: timedelta) -> Spell:
    allowed = rules.allowed.get(key)
    rule = rules.rules.get(allowed.within) if allowed else None
    due = since + timedelta(minutes=int(rule.value)) - used if rule else None
    return Spell(key, since, last, back, due)
