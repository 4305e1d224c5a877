"""Cooling: which limits run from when, and which of them the readings show as met or missed.

FDA Food Code 2022, 3-501.14: from 57 °C (135 °F) to 21 °C (70 °F) in 2 h and to 5 °C (41 °F) in 6 h altogether; from
ingredients at room temperature to 5 °C in 4 h. FSANZ Standard 3.2.2 clause 7(3) has two separate stages instead. A
rule book with one figure has one stage.

Readings decide. A limit is met when a reading at or below it was taken in time, or when the straight line between a
reading above it and the next below it crosses it in time: what cools ever more slowly lies below that line. Once food
is read on its way down, a limit that runs out before a reading shows it counts as missed until a reading says
otherwise. A limit that had run out before the first reading was not read, and food that was never read on its way down
is not judged.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from prepboard.book.book import Prep
from prepboard.book.rules import RuleBook
from prepboard.book.safety.life import is_hot
from prepboard.book.safety.temperatures import Reading, limit_of, within


class Start(Struct, frozen=True):
    """From when food cools: the end of its last hot step, or, made without heat, the begin of its cooling step."""

    at: datetime
    hot: bool


class Limit(Struct, frozen=True):
    """One limit of one cooling. `key` names it in the rule book, `to` the temperature to be reached by `due`.

    "open": still ahead; "met", at `met_at`; "missed": shown, or not shown to be kept; "unread": it ran out and no
    reading since says how; "not read": it had run out before the first reading, which is below it; "reheated": the
    food was heated again before it ran out.
    """

    key: str
    to: str
    due: datetime
    state: Literal["open", "met", "missed", "unread", "not read", "reheated"]
    met_at: datetime | None = None


class Cooling(Struct, frozen=True):
    """One way down: from `begins` on, with the readings below the hot limit, and the hot one that it began with."""

    begins: datetime
    limits: tuple[Limit, ...]
    readings: tuple[Reading, ...]
    top: Reading | None = None

    @property
    def broken(self) -> tuple[Limit, ...]:
        """The limits that were missed, or ran out unread."""
        return tuple(limit for limit in self.limits if limit.state in ("missed", "unread"))

    @property
    def next(self) -> Limit | None:
        """The first limit that is still ahead."""
        return next((limit for limit in self.limits if limit.state == "open"), None)


def cooling_from(
    recipe: Prep,
    size: Fraction,
    rules: RuleBook,
    *,
    started: datetime | None,
    step_ends: Mapping[int, datetime],
    ready: datetime | None,
) -> Start | None:
    """From when a run's food cools; None while it is still hot, or where the recipe neither heats nor cools.

    `started` is None where nobody recorded it, `ready` is when the run was done, None while it is under way. A step
    whose end nobody recorded is reckoned back from `ready` by the least waits after it, not beyond the start.
    """
    hot = [index for index, step in enumerate(recipe.steps) if is_hot(step, rules)]
    if hot:
        end = _end_of(recipe, size, hot[-1], step_ends, started, ready)
        return Start(end, hot=True) if end else None
    for index, step in enumerate(recipe.steps):
        if step.cools:
            begin = _end_of(recipe, size, index - 1, step_ends, started, ready)
            return Start(begin, hot=False) if begin else None
    return None


def _end_of(
    recipe: Prep,
    size: Fraction,
    index: int,
    step_ends: Mapping[int, datetime],
    started: datetime | None,
    ready: datetime | None,
) -> datetime | None:
    """When a step ended; -1 is the start."""
    if index in step_ends:
        return step_ends[index]
    if index < 0 and started:
        return started
    if ready is None:
        return None
    later = recipe.steps[index + 1 :]
    reckoned = ready - timedelta(minutes=sum(step.hands_minutes(size) + step.wait for step in later))
    return max(reckoned, started) if started else reckoned


def coolings(rules: RuleBook, start: Start | None, readings: Iterable[Reading], now: datetime) -> tuple[Cooling, ...]:
    """Every way down that was read, oldest first: each begins at the last reading at or above the hot limit, or at
    `start` where that is later. Readings made while reheating count only when they are hot."""
    found: list[Cooling] = []
    begins, hot = (start.at, start.hot) if start else (None, False)
    top: Reading | None = None
    below: list[Reading] = []
    for reading in sorted(readings, key=lambda one: one.at):
        if within(rules, "hot_holding", reading):
            if begins is None or reading.at >= begins:
                if below and begins:
                    found.append(_judged(rules, begins, top, below, hot=hot, now=now, reheated=reading.at))
                begins, hot, top, below = reading.at, True, reading, []
        elif begins is None or reading.at < begins or reading.meant == "reheat":
            continue
        elif below or reading.at <= begins + longest(rules, hot=hot):
            below.append(reading)
    if below and begins:
        found.append(_judged(rules, begins, top, below, hot=hot, now=now, reheated=None))
    return tuple(found)


def longest(rules: RuleBook, *, hot: bool) -> timedelta:
    """The whole time that a way down may take; what is first read later is no longer on it."""
    return _time(rules, stages(rules, hot=hot)[-1][0])


def stages(rules: RuleBook, *, hot: bool) -> tuple[tuple[str, str], ...]:
    """The limits of a rule book: (key of the time, key of the temperature), in order."""
    if not hot and "cooling_from_ambient" in rules.rules:
        return (("cooling_from_ambient", "cooling_to"),)
    first, total = ("cooling_first", "cooling_first_to"), ("cooling_total", "cooling_to")
    figures = [[rules.rules[key].value for key in stage] for stage in (first, total)]
    return (total,) if figures[0] == figures[1] else (first, total)


def _judged(
    rules: RuleBook,
    begins: datetime,
    top: Reading | None,
    below: Sequence[Reading],
    *,
    hot: bool,
    now: datetime,
    reheated: datetime | None,
) -> Cooling:
    limits: list[Limit] = []
    for key, to in stages(rules, hot=hot):
        due = begins + _time(rules, key)
        if limits and "cooling_second" in rules.rules:
            # Time saved in the first stage is not carried over.
            due = min(due, (limits[-1].met_at or limits[-1].due) + _time(rules, "cooling_second"))
        limits.append(_limit(rules, key, to, due, below, now=now, reheated=reheated))
    return Cooling(begins, tuple(limits), tuple(below), top)


def _time(rules: RuleBook, key: str) -> timedelta:
    return timedelta(minutes=int(rules.rules[key].value))


def _limit(
    rules: RuleBook,
    key: str,
    to: str,
    due: datetime,
    readings: Sequence[Reading],
    *,
    now: datetime,
    reheated: datetime | None,
) -> Limit:
    at = next((index for index, reading in enumerate(readings) if within(rules, to, reading)), None)
    above = readings[:at] if at is not None else readings
    if any(reading.at >= due for reading in above):
        return Limit(key, to, due, "missed")
    if at is not None:
        if at == 0 and readings[0].at > due:
            return Limit(key, to, due, "not read")
        crossed = _crossed(rules, to, readings[at - 1], readings[at]) if at else readings[0].at
        return Limit(key, to, due, "met", crossed) if crossed <= due else Limit(key, to, due, "missed")
    if reheated is not None:
        return Limit(key, to, due, "reheated" if reheated <= due else "missed")
    return Limit(key, to, due, "unread" if now > due else "open")


def _crossed(rules: RuleBook, to: str, above: Reading, below: Reading) -> datetime:
    """When the straight line between two readings passes a limit; read on two scales, it is when it was read."""
    limit = limit_of(rules, to, below.unit)
    if limit is None or above.unit != below.unit:
        return below.at
    part = (above.degrees - limit) / (above.degrees - below.degrees)
    return above.at + (below.at - above.at) * float(part)
