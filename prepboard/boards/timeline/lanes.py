"""From the Board to the lanes of the timeline: a lane for each station with a row for each run, and one for each
equipment with a row for each of its places."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.timeline.view import Bar, Lane, Lines, Scale, Served, Span, legend, scale, timeline
from prepboard.book.saying import say_duration
from prepboard.paper.lists.recipe import temperature_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.stretches import Stretch, stretches
from prepboard.texts import _

BEFORE = timedelta(hours=1)
"""How much of the past is in sight."""

HOURS = 12
"""Hours that a page shows, unless it is asked for more or fewer."""


def page_of(now: datetime, width: int, *, hours: int = HOURS, later: int = 0) -> Scale:
    """The scale of a page that begins an hour before now, or so many hours later."""
    since = now.replace(minute=0, second=0, microsecond=0) - BEFORE + timedelta(hours=later)
    return scale(since, since + timedelta(hours=hours), width)


def drawn(board: Board, stations: tuple[str, ...], page: Scale, width: int) -> Lines:
    """The timeline of some stations, with the equipment that they use, as lines of `width` cells."""
    voice = voice_of(board)
    services = [Served(voice.service(one.service, one.day), one.starts, one.ends) for one in board.sittings]
    lanes = lanes_of(board, stations, page)
    return timeline(lanes, services, board.now, page, voice.days, width)


def lanes_of(board: Board, stations: tuple[str, ...], page: Scale) -> tuple[Lane, ...]:
    """The lanes with what of them lies on a page; a run whose steps are at two benches has a row at both."""
    voice = voice_of(board)
    shown = [one for one in stretches(board) if one.station in stations]
    shown = [one for one in shown if one.begins < page.until and one.ends > page.since]
    benches = [_bench(voice, station, [one for one in shown if one.station == station]) for station in stations]
    ovens = [_equipment(voice, one, shown) for one in board.state.book.equipment]
    return (*benches, *(lane for lane in ovens if lane.bars))


def _bench(voice: Voice, station: str, shown: Iterable[Stretch]) -> Lane:
    runs: dict[str, list[Stretch]] = defaultdict(list)
    for one in shown:
        runs[one.key].append(one)
    bars = sorted(runs.values(), key=lambda steps: (steps[0].begins, steps[0].key))
    return Lane(
        voice.station(station).upper(), tuple(_run(voice, steps) for steps in bars), _("Nothing to do on this page.")
    )


def _run(voice: Voice, steps: list[Stretch]) -> Bar:
    late = steps[0].late_minutes
    spans = tuple(Span(one.begins, one.hands_until, one.ends, one.doing) for one in steps)
    if late:
        return Bar(voice.name(steps[0].prep), spans, "late", _("ready {time} late").format(time=say_duration(late)))
    return Bar(voice.name(steps[0].prep), spans, "strong" if steps[0].under_way else "plain")


def _equipment(voice: Voice, equipment: str, shown: Iterable[Stretch]) -> Lane:
    places: dict[int, list[Stretch]] = defaultdict(list)
    for one in shown:
        for place in one.places if one.equipment == equipment else ():
            places[place].append(one)
    written = voice.book.equipment[equipment]
    bars = tuple(
        Bar(
            _("place {n}").format(n=place) if written.places > 1 else voice.book.equipment[equipment].name,
            tuple(_held(voice, one) for one in sorted(places[place], key=lambda one: one.begins)),
        )
        for place in sorted(places)
    )
    return Lane(written.name.upper(), bars, "")


def _held(voice: Voice, one: Stretch) -> Span:
    heat = temperature_text(one.at)
    name = voice.name(one.prep)
    label = f"{heat} {name}" if heat else name
    return Span(one.begins, one.begins, one.holds_until, label, holds=True)


def texts(board: Board, stations: tuple[str, ...], width: int) -> str:
    """The timeline as plain text, with what its signs mean."""
    lines = drawn(board, stations, page_of(board.now, width), width)
    text = "\n".join("".join(part for part, _tone in line).rstrip() for line in lines)
    return f"{text}\n\n {legend()}\n"
