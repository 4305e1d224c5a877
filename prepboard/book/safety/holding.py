"""Holding: since when food has been out of temperature control, and what its places say of it.

Hours, temperatures and returns come from the rule book: FDA Food Code 2022, 3-501.19, four hours once and no return;
UK two hours hot and four cold with one return; FSANZ adds all such times up, with a return under two hours. The clock
runs from when control was last shown, not from the first bad reading.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Literal

from msgspec import Struct

from prepboard.book.book import Store
from prepboard.book.rules import RuleBook
from prepboard.book.safety.cooling import Cooling
from prepboard.book.safety.may_use import HELD, MISSED, OUT, Mark
from prepboard.book.safety.temperatures import Reading, within

WITHIN_THE_HOUR = timedelta(hours=1)
"""A reading so long before food leaves control shows that it was in it; one so long after a bad reading of its place
still speaks for it."""

AFTER_LEAVING = timedelta(minutes=15)
"""So long after leaving a place the food's own reading still speaks of how it stood there."""

STANDS_LONG = timedelta(hours=4)
"""From so long on a cold place speaks for what stands in it; a reading of what is most exposed speaks for so long."""

PLACE_OUT, TOO_WARM, NOT_REHEATED = "its place was out of range", "too warm for the longer time", "not reheated in time"
JUST_BEFORE = timedelta(seconds=1)
COLD: tuple[Store, ...] = ("chilled", "frozen")
OUTSIDE: tuple[Store, ...] = ("ambient", "time")


class Stood(Struct, frozen=True):
    """A batch in one place from an instant on. Not `sure`: several places fit and nobody said which."""

    place: str
    store: Store
    since: datetime
    sure: bool = True


class HowKept(Struct, frozen=True):
    """What is known of how a batch was kept. `hot_end` is when its last hot step ended, `first_cold` when its run took
    the first cold thing, None where nobody knows; `six_hours` are the places that are cold enough for the longer time
    by the book."""

    code: str
    ready: datetime
    stood: tuple[Stood, ...]
    readings: tuple[Reading, ...]
    at_places: Mapping[str, Sequence[Reading]]
    coolings: tuple[Cooling, ...] = ()
    hot_end: datetime | None = None
    first_cold: datetime | None = None
    six_hours: frozenset[str] = frozenset()
    joined: tuple[datetime, ...] = ()
    """When something was put onto it: no place speaks for what is freshly topped up."""

    def until(self, index: int) -> datetime | None:
        """When it left a place; None where it still stands there."""
        return self.stood[index + 1].since if index + 1 < len(self.stood) else None

    def cooled(self, at: datetime) -> bool:
        """Whether no way down is open then."""
        return all(way.closed(at) for way in self.coolings if way.begins <= at)

    def where(self, at: datetime) -> Stood:
        """Where it stood at an instant; as it is brought elsewhere it still stands where it was."""
        return next((stood for stood in reversed(self.stood) if stood.since < at), self.stood[0])


class Spell(Struct, frozen=True):
    """A time out of control: from the last showing on, of food that was "hot" or "cold", `back` when it was shown in
    it again as the book allows; None while it was not."""

    since: datetime
    was: Literal["hot", "cold"]
    back: datetime | None
    place: str = ""
    """Where it went to; empty where a reading in its own place began it."""
    left: datetime | None = None


def held_at(store: Store) -> str:
    """The limit for what is kept so; "" where the rule book sets none."""
    return {"hot": "hot_holding", "chilled": "cold_holding", "frozen": "cold_holding"}.get(store, "")


def place_limit(store: Store) -> str:
    """The limit that a place is read against."""
    return {"hot": "hot_holding", "chilled": "cold_holding", "frozen": "frozen_storage"}.get(store, "")


def hours_out(rules: RuleBook, was: str) -> timedelta | None:
    """How long food may be out of control; None where the book names no time."""
    cold = rules.rules.get("time_control_cold")
    if was == "cold" and cold is not None and "time_control_cold_limit" not in rules.rules:
        return timedelta(minutes=int(cold.value))
    control = rules.rules.get("time_control")
    return timedelta(minutes=int(control.value)) if control else None


def out_marks(rules: RuleBook, held: HowKept) -> list[Mark]:
    """Row 6, and the one miss of row 3 that belongs to it: the end of every time out of control."""
    found: list[Mark] = []
    used = timedelta()
    for spell in spells(rules, held):
        hours = hours_out(rules, spell.was)
        if hours is None:
            continue
        end, why = spell.since + hours - used, "time control"
        if spell.back is not None:
            used += spell.back - spell.since if returns(rules) == "adds up" else timedelta()
        if spell.place in held.six_hours and spell.was == "cold" and spell.since == spell.left:
            longer, warm = _six_hours(rules, held, spell, hours)
            end, why = (longer, "time control, cold") if longer else (end, why)
            found += [warm] if warm else []
        found.append(Mark(OUT, spell.since, why, held.code, "time_control", end, over=spell.back))
    return found


def returns(rules: RuleBook) -> str:
    """What the book allows of food that was out: "" no way back, "once", or "adds up"."""
    allowed = rules.allowed.get("cold_holding")
    if allowed is None or allowed.may != "return":
        return ""
    return "adds up" if allowed.adds_up else "once"


def spells(rules: RuleBook, held: HowKept) -> list[Spell]:
    """Every time out of control, oldest first; none begins before the one before it is over."""
    begun: list[Spell] = []
    for index, stood in enumerate(held.stood):
        if stood.store in OUTSIDE:
            begun.append(_left(rules, held, index))
    for reading in held.readings:
        stood = held.where(reading.at)
        key = held_at(stood.store)
        if not key or reading.meant in ("reheat", "core") or within(rules, key, reading) or reading.at < held.ready:
            continue
        if key == "cold_holding" and not held.cooled(reading.at):
            continue
        shown = last_shown(rules, held, reading.at)
        if key == "hot_holding" and (shown is None or not _was_hot(rules, held, reading.at - JUST_BEFORE)):
            continue  # On its way up: that is a reheating.
        begun.append(Spell(shown or held.ready, "hot" if key == "hot_holding" else "cold", None))
    found: list[Spell] = []
    used = timedelta()
    for spell in sorted(begun, key=lambda one: one.since):
        if found and (found[-1].back is None or spell.since < found[-1].back):
            continue
        back = _back(rules, held, spell, len(found), used)
        used += back - spell.since if back else timedelta()
        found.append(replace_back(spell, back))
    return found


def replace_back(spell: Spell, back: datetime | None) -> Spell:
    return Spell(spell.since, spell.was, back, spell.place, spell.left)


def _left(rules: RuleBook, held: HowKept, index: int) -> Spell:
    """Leaving control for a place out of it: from then, if it was shown in control within the hour before; else from
    the last showing. What is kept so from the first: from the end of the last hot step, else from its first cold
    ingredient."""
    stood = held.stood[index]
    if index == 0:
        begin = held.hot_end or held.first_cold or held.ready
        return Spell(begin, "hot" if held.hot_end else "cold", None, stood.place, begin)
    was: Literal["hot", "cold"] = "hot" if _was_hot(rules, held, stood.since) else "cold"
    shown = last_shown(rules, held, stood.since)
    begin = held.ready if shown is None else stood.since if stood.since - shown <= WITHIN_THE_HOUR else shown
    return Spell(begin, was, None, stood.place, stood.since)


def last_shown(rules: RuleBook, held: HowKept, at: datetime) -> datetime | None:
    """When food was last shown to be in control, up to an instant: by its own reading, by a cold place that speaks for
    it, or by the end of its hot step. None where nothing ever showed it."""
    found = [held.hot_end] if held.hot_end and held.hot_end <= at else []
    for reading in held.readings:
        if reading.at <= at and reading.meant != "core" and not reading.doubtful:
            hot = within(rules, "hot_holding", reading)
            in_cold = held.where(reading.at).store not in OUTSIDE and within(rules, "cold_holding", reading)
            if hot or in_cold:
                found.append(reading.at)
    found += [one for one in _spoken(rules, held) if one <= at]
    return max(found, default=None)


def _spoken(rules: RuleBook, held: HowKept) -> list[datetime]:
    """When a cold place spoke for it: its cooling over, and there for four hours, or since it was last put onto, or
    read there."""
    found: list[datetime] = []
    for index, stood in enumerate(held.stood):
        if stood.store not in COLD or not stood.sure:
            continue
        until = held.until(index)
        for reading in held.at_places.get(stood.place, ()):
            gone = reading.at < stood.since or (until is not None and reading.at > until)
            if reading.doubtful or gone or not within(rules, "cold_holding", reading) or not held.cooled(reading.at):
                continue
            settled = max((stood.since, *(at for at in held.joined if at <= reading.at)))
            read = any(
                settled <= own.at <= reading.at and not own.doubtful and within(rules, "cold_holding", own)
                for own in held.readings
            )
            if reading.meant == "exposed" or read or reading.at - settled >= STANDS_LONG:
                found.append(reading.at)
    return found


def _was_hot(rules: RuleBook, held: HowKept, at: datetime) -> bool:
    """Whether the last thing that is known of food up to an instant is that it was hot."""
    read = (one for one in held.readings if one.at <= at and one.meant != "core" and not one.doubtful)
    last = max(read, key=lambda one: one.at, default=None)
    shown = last is not None and within(rules, "hot_holding", last)
    return shown if last is not None and (held.hot_end is None or last.at >= held.hot_end) else held.hot_end is not None


def _back(rules: RuleBook, held: HowKept, spell: Spell, before: int, used: timedelta) -> datetime | None:
    """When food was shown in control again as the book allows; None where it allows none."""
    way, hours = returns(rules), hours_out(rules, spell.was)
    limit = rules.rules.get("time_control_return")
    if not way or hours is None or (way == "once" and before):
        return None
    most = timedelta(minutes=int(limit.value)) if way == "adds up" and limit else hours
    for reading in held.readings:
        store = held.where(reading.at).store
        key = held_at(store)
        if key and reading.at > spell.since and not reading.doubtful and within(rules, key, reading):
            return reading.at if used + (reading.at - spell.since) < most else None
    return None


def _six_hours(rules: RuleBook, held: HowKept, spell: Spell, hours: timedelta) -> tuple[datetime | None, Mark | None]:
    """The longer time, where it holds, and the miss where the food got too warm for it. FDA Food Code 2022,
    3-501.19(C); that a reading between the second and the fourth hour must show it is prepboard's own rule."""
    longer, key = rules.rules.get("time_control_cold"), "time_control_cold_limit"
    if longer is None or key not in rules.rules:
        return None, None
    own = [one for one in held.readings if one.at >= spell.since]
    around = [one for one in held.at_places.get(spell.place, ()) if one.at >= spell.since]
    warm = next((one for one in own if not within(rules, key, one)), None)
    if warm is not None:
        good = [one.at for one in own if one.at < warm.at]
        return None, Mark(MISSED, max(good, default=spell.since), TOO_WARM, held.code, key)
    if not all(within(rules, key, one) for one in around):
        return None, None
    first, last = spell.since + hours / 2, spell.since + hours
    if any(first <= one.at <= last and not one.doubtful for one in (*own, *around)):
        return spell.since + timedelta(minutes=int(longer.value)), None
    return None, None


def reheat_marks(rules: RuleBook, held: HowKept) -> list[Mark]:
    """Row 3: from cold to hot is a reheating, to the book's figure within the book's time of leaving the cold. Read and
    not there in time it missed; unread nobody knows. FDA Food Code 2022, 3-403.11."""
    time = rules.rules.get("reheat_within")
    if "reheat" not in rules.rules or time is None:
        return []
    found: list[Mark] = []
    for since, until in _reheatings(rules, held):
        due = since + timedelta(minutes=int(time.value))
        read = [one for one in held.readings if one.at >= since and (until is None or one.at < until)]
        if read and not any(one.at <= due and not one.doubtful and within(rules, "reheat", one) for one in read):
            found.append(Mark(MISSED, due, NOT_REHEATED, held.code, "reheat"))
    return found


def _reheatings(rules: RuleBook, held: HowKept) -> list[tuple[datetime, datetime | None]]:
    """From when to when food was brought from cold to hot: by its place, or by readings meant so."""
    found: list[tuple[datetime, datetime | None]] = []
    for index, stood in enumerate(held.stood):
        if index and stood.store == "hot" and not _was_hot(rules, held, stood.since):
            found.append((stood.since, held.until(index)))
    meant = [one for one in held.readings if one.meant == "reheat" and held.where(one.at).store != "hot"]
    if meant:
        found.append((meant[0].at, None))
    return found


def place_marks(rules: RuleBook, held: HowKept) -> list[Mark]:
    """Row 4: a bad reading of a place holds all that stood there since its last good one, until the food's own reading
    near that moment, or one of what is most exposed, says otherwise."""
    found: list[Mark] = []
    for index, stood in enumerate(held.stood):
        key = held_at(stood.store)
        if not key:
            continue
        until, since = held.until(index), None
        for reading in sorted(held.at_places.get(stood.place, ()), key=lambda one: one.at):
            bad = not within(rules, key, reading)
            if reading.doubtful and not bad:
                continue
            if reading.meant == "exposed":
                since = since if bad else reading.at  # What stood there was good by then.
                continue
            begin = max(since or stood.since, stood.since)
            gone = until is not None and until <= begin
            reached = bad and reading.at >= stood.since and not gone and held.cooled(reading.at)
            if reached and not _saved(rules, held, stood, until, reading, key):
                found.append(Mark(HELD, begin, PLACE_OUT, held.code, key))
            since = reading.at
    return found


def _saved(rules: RuleBook, held: HowKept, stood: Stood, until: datetime | None, bad: Reading, key: str) -> bool:
    """Whether a reading near a bad one of its place speaks for the food; a bad one of its own does too, its own way."""
    last = until + AFTER_LEAVING if until else None
    for own in held.readings:
        near = abs(own.at - bad.at) <= WITHIN_THE_HOUR and own.at >= stood.since and (last is None or own.at <= last)
        if near and own.meant not in ("core", "reheat") and not (own.doubtful and within(rules, key, own)):
            return True
    there = [one for one in held.at_places.get(stood.place, ()) if stood.since <= one.at <= (until or one.at)]
    exposed = [one for one in there if one.meant == "exposed" and not one.doubtful and within(rules, key, one)]
    return any(-STANDS_LONG <= one.at - bad.at <= WITHIN_THE_HOUR for one in exposed)
