"""From the Board to the lanes of the timeline: a lane for each station with a row for each run, and one for each
equipment with a row for each of its places."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.timeline.view import Bar, Lane, Lines, Scale, Served, Span, legend, scale, timeline
from prepboard.boards.widgets.row import Tone
from prepboard.book.saying import say_duration
from prepboard.paper.sentences.temperatures import as_written
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.demand.hands_plating import hands_plating
from prepboard.plan.stretches import Stretch, away, stretches
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
    """The lanes with what of them lies on a page; a run whose steps are at two benches has a row at both.

    Of the equipment that the stations' recipes use every place is shown with what is in it, whosever it is.
    """
    voice = voice_of(board)
    whole = stretches(board)
    shown = [one for one in whole if one.begins < page.until and one.holds_until > page.since]
    benches = [_bench(board, voice, station, shown, page) for station in stations]
    used = _used(board, whole, stations)
    ovens = [_equipment(voice, one, shown, stations) for one in board.state.book.equipment if one in used]
    return (*benches, *(lane for lane in ovens if lane.bars))


def _used(board: Board, whole: Iterable[Stretch], stations: tuple[str, ...]) -> set[str | None]:
    """The equipment that a step of those stations takes, by the book or by today's plan."""
    written = (step for prep in board.state.book.preps.values() for step in prep.steps)
    return {step.equipment for step in written if step.station in stations} | {
        one.equipment for one in whole if one.station in stations
    }


def _bench(board: Board, voice: Voice, station: str, shown: Iterable[Stretch], page: Scale) -> Lane:
    runs: dict[str, list[Stretch]] = defaultdict(list)
    for one in shown:
        if one.station == station and one.ends > page.since:
            runs[one.key].append(one)
    bars = sorted(runs.values(), key=lambda steps: (steps[0].begins, steps[0].key))
    gone = tuple(_away(voice, begins, ends) for begins, ends in away(board, station, page.since, page.until))
    return Lane(
        voice.station(station).upper(),
        (*_plates(board, voice, station, page), *(_run(voice, steps) for steps in bars)),
        _("Nothing to do on this page."),
        gone,
    )


def _plates(board: Board, voice: Voice, station: str, page: Scale) -> Iterator[Bar]:
    """The courses of functions that a station's hands plate on a page."""
    for one in hands_plating(board.state, board.now).get(station, ()):
        if one.begins < page.until and one.ends > page.since:
            name = _("plating {course}").format(course=one.course or voice.service(*one.sitting))
            yield Bar(name, (Span(one.begins, one.ends, one.ends, voice.service(*one.sitting)),))


def _away(voice: Voice, begins: datetime, ends: datetime) -> Span:
    until = voice.time(ends)
    return Span(
        begins, begins, ends, _("nobody until {time}").format(time=until), brief=_("to {time}").format(time=until)
    )


def _run(voice: Voice, steps: list[Stretch]) -> Bar:
    first = steps[0]
    spans = tuple(Span(one.begins, one.hands_until, one.ends, one.doing) for one in steps)
    if first.overdue_minutes:
        said = _("overdue {time}").format(time=say_duration(first.overdue_minutes))
        return Bar(voice.name(first.prep), spans, "late", said)
    if first.late_minutes:
        said = _("{time} late").format(time=say_duration(first.late_minutes))
        return Bar(voice.name(first.prep), spans, "late", said)
    return Bar(voice.name(first.prep), spans, "strong" if first.under_way else "plain")


def _equipment(voice: Voice, equipment: str, shown: Iterable[Stretch], stations: tuple[str, ...]) -> Lane:
    """A row for each place; runs that share a place at one temperature lie in rows of their own under it."""
    written = voice.book.equipment[equipment]
    places: dict[int, list[Stretch]] = defaultdict(list)
    for one in shown:
        for place in one.places if one.equipment == equipment else ():
            places[place].append(one)
    bars: list[Bar] = []
    for place in sorted(places):
        name = _("place {n}").format(n=place) if written.places > 1 else written.name
        for row in _side_by_side(places[place]):
            bars.append(Bar(name, tuple(_held(voice, one, stations) for one in row)))
            name = ""
    return Lane(written.name.upper(), tuple(bars), "")


def _side_by_side(held: Iterable[Stretch]) -> list[list[Stretch]]:
    """Stretches as few rows in which none lies over another."""
    rows: list[list[Stretch]] = []
    for one in sorted(held, key=lambda one: (one.begins, one.holds_until, one.key)):
        row = next((row for row in rows if row[-1].holds_until <= one.begins), None)
        if row is None:
            rows.append([one])
        else:
            row.append(one)
    return rows


def _held(voice: Voice, one: Stretch, stations: tuple[str, ...]) -> Span:
    """What is in a place, at what heat, and of another bench also whose it is; the own is stronger."""
    own = one.station in stations
    heat = as_written(one.at) if one.at else ""
    words = [voice.name(one.prep), *([heat] if heat else []), *([] if own else [voice.station(one.station)])]
    tone: Tone = "strong" if own else "dim"
    return Span(one.begins, one.begins, one.holds_until, ", ".join(words), holds=True, tone=tone)


def texts(board: Board, stations: tuple[str, ...], width: int) -> str:
    """The timeline as plain text, with what its signs mean."""
    lines = drawn(board, stations, page_of(board.now, width), width)
    text = "\n".join("".join(part for part, _tone in line).rstrip() for line in lines)
    return f"{text}\n\n {legend()}\n"
