"""Readings in words: how food cools, what is out of range and what the code allows next, what is held back and why."""

from __future__ import annotations

from collections.abc import Iterator

from prepboard.book.book import Temperature
from prepboard.book.rules import is_heat, said_degrees
from prepboard.book.safety.cooling import guidance
from prepboard.book.safety.temperatures import Reading
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.given.state import State
from prepboard.plan.probes.forecast import CoolingLine
from prepboard.plan.probes.watching import Flag, HeldBack, Watch
from prepboard.texts import _, decimal, some

MOST_NAMED = 6
"""Batches of a place that are named; of more only the number is."""


def about(of: str, seen: Watch, state: State, voice: Voice, *, whole: bool = False) -> Iterator[str]:
    """What the readings say of one batch, run, place or good now: the whole of it, or what goes beyond the answer to
    a reading."""
    if held := seen.held.get(of):
        yield held_text(held, voice)
    yield from (cooling_text(line, voice) for line in (*seen.cooling, *seen.unread) if line.of == of)
    for flag in seen.flags:
        if flag.of == of and whole and not flag.held:
            yield flag_text(flag, state, voice)
        elif flag.of == of:
            yield from filter(None, (_back(flag, voice), _inside(flag, state, voice)))


def degrees(temperature: Temperature) -> str:
    """ "57 °C"."""
    return said_degrees(temperature.degrees, temperature.unit)


def as_written(temperature: Temperature) -> str:
    """What a recipe says, not rounded: "160 °C", "54.25 °C"."""
    return f"{decimal(f'{float(temperature.degrees):g}')} °{temperature.unit}"


def cooling_text(line: CoolingLine, voice: Voice) -> str:
    """How it cools: "21 °C at 16:10, 25 min too late: ice bath or smaller trays now"."""
    to, due = degrees(line.to), voice.time(line.limit.due)
    if line.verdict == "unread" and not guidance(voice.book.kitchen.rules):
        return _("{to} due by {due}, and nobody has read it: probe it before").format(to=to, due=due)
    if guidance(voice.book.kitchen.rules):
        return _("into the cold by {due}, by guidance").format(due=due)
    if line.forecast is None:
        said = _("{to} due by {due}: read it once more") if line.verdict == "one reading" else _not_cooling(line)
        return said.format(to=to, due=due)
    at = voice.time(line.forecast.at)
    if line.verdict == "too late":
        late = some("{n} min", "{n} min", line.late_minutes)
        said = _("{to} at {at}, {late} too late: ice bath or smaller trays now")
        return said.format(to=to, at=at, late=late)
    if line.verdict == "may be late":
        until = voice.time(line.forecast.latest) if line.forecast.latest else _("later")
        said = _("{to} about {at}, perhaps {until}, due by {due}: help it, and read it again")
        return said.format(to=to, at=at, until=until, due=due)
    latest = voice.time(line.forecast.latest) if line.forecast.latest else ""
    said = _("{to} about {at}, by {latest} at the latest, due by {due}")
    return said.format(to=to, at=at, latest=latest, due=due)


def _not_cooling(line: CoolingLine) -> str:
    return _("{to} due by {due}, and it does not cool towards that: ice bath or smaller trays now")


def held_text(held: HeldBack, voice: Voice) -> str:
    """Why it is held back, since when, and what the code allows."""
    rules = voice.book.kitchen.rules
    since = _(", since {time}").format(time=voice.time(held.since)) if held.since else ""
    said = _("do not use: {why}{since}. {next}")
    return said.format(why=_(held.why), since=since, next=rules.allows_next(held.key))


def flag_text(flag: Flag, state: State, voice: Voice) -> str:
    """What is out of range, by when it must be back, what the code allows, and what is in it."""
    range_ = _("{limit} or above") if is_heat(flag.key) else _("{limit} or less")
    out = _("{degrees} at {time}, out of range: {range}").format(
        degrees=flag.last.said, time=voice.time(flag.last.at), range=range_.format(limit=degrees(flag.limit))
    )
    back = _back(flag, voice)
    parts = [f"{out}; {back}" if back else f"{out}.", voice.book.kitchen.rules.allows_next(flag.key)]
    return " ".join(filter(None, [*parts, _inside(flag, state, voice)]))


def flag_short(flag: Flag) -> str:
    """ "too warm": what there is room for in a row."""
    return _("too cold") if is_heat(flag.key) else _("too warm")


def cooling_short(line: CoolingLine, voice: Voice) -> str:
    """ "25 min late, ice bath": what there is room for in a row."""
    if line.verdict == "too late":
        return _("{minutes} min late, ice bath").format(minutes=line.late_minutes)
    return {
        "not cooling": _("not cooling, ice bath"),
        "may be late": _("may be late"),
        "unread": _("not read; probe before {time}").format(time=voice.time(line.limit.due)),
        "one reading": _("probe again before {time}").format(time=voice.time(line.limit.due)),
        "in time": _("cooling; probe before {time}").format(time=voice.time(line.limit.due)),
    }[line.verdict]


def reading_text(reading: Reading, voice: Voice) -> str:
    """ "14:20  52 °C  JP"."""
    return f"{voice.time(reading.at)}  {reading.said}  {plain(reading.by)}".rstrip()


def _back(flag: Flag, voice: Voice) -> str:
    if flag.held or flag.due is None:
        return ""
    return _("back by {time}, and read again.").format(time=voice.time(flag.due))


def _inside(flag: Flag, state: State, voice: Voice) -> str:
    if flag.kind != "place":
        return ""
    if not flag.inside:
        return _("Nothing is in it.")
    names = [named(code, state, voice) for code in flag.inside[:MOST_NAMED]]
    if more := len(flag.inside) - MOST_NAMED:
        names += [_("{n} more").format(n=more)] if more > 0 else []
    return _("In it, to be read: {batches}.").format(batches=listed(names))


def named(of: str, state: State, voice: Voice) -> str:
    """A batch or a run by its name and code, a place or a good by its name."""
    for batch in state.batches:
        if batch.code == of:
            return f"{plain(batch.name) or voice.name(batch.prep)} {of}"
    for run in state.runs:
        if run.code == of:
            return f"{voice.name(run.recipe.id)} {of}"
    place = state.book.places.get(of)
    return plain(place.name) if place else voice.name(of)
