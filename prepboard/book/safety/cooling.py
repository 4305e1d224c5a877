"""Cooling: which limits run from when, and which of them the readings show as met or missed.

FDA Food Code 2022, 3-501.14: from 57 °C (135 °F) to 21 °C (70 °F) in 2 h and to 5 °C (41 °F) in 6 h altogether; from
ingredients at room temperature to 5 °C in 4 h. FSANZ Standard 3.2.2 clause 7(3) has two separate stages instead. A
rule book with one figure has one stage; one that names no temperature has none.

Readings decide, and nothing between them: a limit is met by a reading at or below it in time, and missed by one above
it at or after its moment. One whose moment passed without either is not shown; where nobody read the food before the
last limit's moment at all it was not read. Neither says that it cooled too slowly.
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
from prepboard.book.safety.temperatures import Reading, on_scale, within

LONGEST = timedelta(hours=6)
"""Guidance names no end of a way down. No code gives longer than this (FDA Food Code 2022, 3-501.14(A)(2)), so from
then on food is held to the law's cold limit: the shorter reading."""


class Start(Struct, frozen=True):
    """From when food cools: the end of its last hot step, or, made without heat, the begin of its cooling step.

    `both`: a recipe that cools and has no hot step may have been hot all the same: both ways' limits count, the
    stricter. Not `known`: nobody recorded when it came off the heat; `at` is then the latest that it can have been,
    and no reading shows that it cooled in time.
    """

    at: datetime
    hot: bool
    both: bool = False
    known: bool = True


class Limit(Struct, frozen=True):
    """One limit of one cooling. `key` names it in the rule book, `to` the temperature to be reached by `due`.

    "open": still ahead; "met", at `met_at`; "missed": a reading above it, at or after its moment; "not shown": its
    moment passed without a reading that shows it; "not read": nobody read the food before the last limit's moment;
    "reheated": the food was heated again before it ran out.
    """

    key: str
    to: str
    due: datetime
    state: Literal["open", "met", "missed", "not shown", "not read", "reheated"]
    met_at: datetime | None = None


class Cooling(Struct, frozen=True):
    """One way down: from `begins` on, with the readings below the hot limit, and the hot one that it began with."""

    begins: datetime
    limits: tuple[Limit, ...]
    readings: tuple[Reading, ...]
    top: Reading | None = None
    down: datetime | None = None
    """When it was first read at or below the last limit's temperature, in time or not."""
    over: datetime | None = None
    """Where only guidance limits it: from when on it is no cooling any more, whatever was read."""

    @property
    def broken(self) -> tuple[Limit, ...]:
        """The limits that were missed."""
        return tuple(limit for limit in self.limits if limit.state == "missed")

    @property
    def unsure(self) -> tuple[Limit, ...]:
        """The limits of which nobody knows whether they were kept."""
        return tuple(limit for limit in self.limits if limit.state in ("not shown", "not read"))

    @property
    def next(self) -> Limit | None:
        """The first limit that is still ahead."""
        return next((limit for limit in self.limits if limit.state == "open"), None)

    def closed(self, at: datetime) -> bool:
        """Whether it is over: it was read cold by then, or nobody read it and the last limit's moment is past."""
        if any(moment is not None and moment <= at for moment in (self.down, self.over)):
            return True
        return self.limits[-1].due <= at and not any(reading.at <= at for reading in self.readings)


def cooling_from(
    recipe: Prep,
    size: Fraction,
    rules: RuleBook,
    *,
    started: datetime | None,
    step_ends: Mapping[int, datetime],
    ready: datetime | None,
) -> Start | None:
    """From when a run's food cools; None where the recipe neither heats nor cools, or it is not that far.

    `started` is None where nobody recorded it, `ready` is when the run was done, None while it is under way. A step
    ends when that was pressed, or as long after its begin as its hands and its wait take, whichever is earlier.
    """
    hot = [index for index, step in enumerate(recipe.steps) if is_hot(step, rules)]
    if hot:
        end = _end_of(recipe, size, hot[-1], step_ends, started, ready)
        if end is None:
            return Start(ready, hot=True, known=False) if ready else None
        return Start(end, hot=True)
    for index, step in enumerate(recipe.steps):
        if step.cools:
            begin = _end_of(recipe, size, index - 1, step_ends, started, ready)
            if begin is None:
                return Start(ready, hot=True, both=True, known=False) if ready else None
            return Start(begin, hot=True, both=True)
    return None


def _end_of(
    recipe: Prep,
    size: Fraction,
    index: int,
    step_ends: Mapping[int, datetime],
    started: datetime | None,
    ready: datetime | None,
) -> datetime | None:
    """When a step ended; -1 is the start. None where neither its end nor any begin before it was recorded."""
    moment = started
    if index < 0:
        return started
    for at in range(index + 1):
        pressed, step = step_ends.get(at), recipe.steps[at]
        reckoned = moment + timedelta(minutes=step.hands_minutes(size) + step.wait) if moment else None
        ends = [end for end in (pressed, reckoned) if end is not None]
        # Steps before the one that is asked for end when they are pressed: the next one begins then.
        moment = (min(ends) if at == index else pressed or min(ends)) if ends else None
    return min(moment, ready) if moment and ready else moment


def guidance(rules: RuleBook) -> bool:
    """Whether cooling times are guidance here, which never blocks: about so long, and then into the cold."""
    rule = rules.rules.get("cooling_total")
    return rule is not None and rule.section == "guidance"


def coolings(
    rules: RuleBook,
    start: Start | None,
    readings: Iterable[Reading],
    now: datetime,
    ends: datetime | None = None,
    chilled: datetime | None = None,
) -> tuple[Cooling, ...]:
    """Every way down, oldest first. It begins at `start`, or at the last of the unbroken hot readings after it; each
    later one at a reheating that reached the book's figure in the book's time. What is read after `ends` is no part of
    it: then it was brought into the hot. `chilled` is when it was first put into the cold, which is what guidance asks
    for."""
    chilled = chilled if guidance(rules) else None
    if start is None or not stages(rules, start):
        return ()
    found: list[Cooling] = []
    begins, top, below, known = start.at, None, list[Reading](), start.known
    for reading in sorted(readings, key=lambda one: one.at):
        if reading.at < start.at or reading.meant == "core" or (ends is not None and reading.at >= ends):
            continue
        hot = within(rules, "hot_holding", reading)
        if reading.doubtful and within(rules, "hot_holding", reading):
            continue  # In doubt it moves no clock on.
        if hot and not below:
            begins, top, known = reading.at, reading, True
        elif hot and _reheated(rules, below, reading):
            found.append(
                _judged(rules, start, begins, top, below, known=known, now=now, reheated=reading.at, chilled=chilled)
            )
            begins, top, below, known = reading.at, reading, [], True
        else:
            below.append(reading)
    found.append(_judged(rules, start, begins, top, below, known=known, now=now, reheated=ends, chilled=chilled))
    return tuple(found)


def _reheated(rules: RuleBook, below: Sequence[Reading], reading: Reading) -> bool:
    """Whether a hot reading ends a reheating as the book has it: its figure, in its time of the reading from which on
    it only got warmer. A reading on the way up is no new beginning."""
    if "reheat" in rules.rules and not within(rules, "reheat", reading):
        return False
    time = rules.rules.get("reheat_within")
    if time is None or not below:
        return True
    first = len(below) - 1
    while first and _colder(below[first - 1], below[first]):
        first -= 1
    return reading.at <= below[first].at + timedelta(minutes=int(time.value))


def _colder(one: Reading, other: Reading) -> bool:
    return on_scale(one.degrees, one.unit, "C") < on_scale(other.degrees, other.unit, "C")


def stages(rules: RuleBook, start: Start) -> tuple[tuple[str, str], ...]:
    """The limits of a rule book: (key of the time, key of the temperature), in order."""
    total = ("cooling_total", "cooling_to")
    if total[0] not in rules.rules or total[1] not in rules.rules:
        return ()
    first = ("cooling_first", "cooling_first_to")
    figures = [[rules.rules[key].value for key in stage if key in rules.rules] for stage in (first, total)]
    both = (total,) if len(figures[0]) < 2 or figures[0] == figures[1] else (first, total)
    if start.both and "cooling_from_ambient" in rules.rules:
        ambient = ("cooling_from_ambient", "cooling_to")
        shorter = min(ambient, total, key=lambda stage: rules.rules[stage[0]].value)
        return (*both[:-1], shorter)
    if not start.hot and "cooling_from_ambient" in rules.rules:
        return (("cooling_from_ambient", "cooling_to"),)
    return both


def longest(rules: RuleBook, start: Start) -> timedelta:
    """The whole time that a way down may take."""
    found = stages(rules, start)
    return _time(rules, found[-1][0]) if found else timedelta()


def _judged(
    rules: RuleBook,
    start: Start,
    begins: datetime,
    top: Reading | None,
    below: Sequence[Reading],
    *,
    known: bool,
    now: datetime,
    reheated: datetime | None,
    chilled: datetime | None = None,
) -> Cooling:
    moments: list[tuple[str, str, datetime]] = []
    met: datetime | None = None
    for key, to in stages(rules, start):
        due = begins + _time(rules, key)
        if moments and "cooling_second" in rules.rules:
            # Exactly so much more: time saved in the first stage is not carried over.
            due = min(due, (met or moments[-1][2]) + _time(rules, "cooling_second"))
        moments.append((key, to, due))
        at = next((reading.at for reading in below if not reading.doubtful and within(rules, to, reading)), None)
        met = at if at is not None and at <= due else None
    last = moments[-1][2]
    read = any(reading.at < last and not reading.doubtful for reading in below)
    limits = tuple(
        _limit(rules, *moment, below, known=known, read=read, now=now, reheated=reheated) for moment in moments
    )
    if chilled is not None and chilled <= last:
        limits = tuple(Limit(one.key, one.to, one.due, "met", chilled) for one in limits)
    last_to = moments[-1][1]
    down = next((one.at for one in below if not one.doubtful and within(rules, last_to, one)), None)
    return Cooling(begins, limits, tuple(below), top, down, begins + LONGEST if guidance(rules) else None)


def _time(rules: RuleBook, key: str) -> timedelta:
    return timedelta(minutes=int(rules.rules[key].value))


def _limit(
    rules: RuleBook,
    key: str,
    to: str,
    due: datetime,
    readings: Sequence[Reading],
    *,
    known: bool,
    read: bool,
    now: datetime,
    reheated: datetime | None,
) -> Limit:
    at = next((n for n, reading in enumerate(readings) if not reading.doubtful and within(rules, to, reading)), None)
    above = [one for one in (readings[:at] if at is not None else readings) if not within(rules, to, one)]
    if any(reading.at >= due for reading in above):
        return Limit(key, to, due, "missed")
    if at is not None and readings[at].at <= due and known:
        return Limit(key, to, due, "met", readings[at].at)
    if reheated is not None and reheated <= due:
        return Limit(key, to, due, "reheated", reheated)
    if now > due or at is not None:
        return Limit(key, to, due, "not shown" if read and known else "not read")
    return Limit(key, to, due, "open")
