"""What is due at a bench: steps to go on with, probes to take, timers that rang. It stands above all else. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from prepboard.boards.rows import lists
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.days import ONE_DAY
from prepboard.paper.sentences.temperatures import degrees
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.given.state import Timer
from prepboard.plan.probes.forecast import CoolingLine
from prepboard.plan.shown.lines import UnderWay
from prepboard.texts import _

PROBE_AHEAD = timedelta(minutes=20)
"""So long before its limit a probe is due: there is time still for ice or smaller trays."""

RINGS = (0, 5, 15)
"""Minutes after it fell due at which the bell rings; then the word stays."""


class Due(Struct, frozen=True):
    """Something that is due since a moment: a step, a probe, a timer. Who goes on with it changes its key."""

    key: str
    what: UnderWay | CoolingLine | Timer
    since: datetime

    @property
    def is_probe(self) -> bool:
        return isinstance(self.what, CoolingLine)


def due(board: Board, stations: tuple[str, ...]) -> list[Due]:
    """What is due at these benches, overdue steps first, then by the moment since when."""
    found = [
        Due(f"{lists.run_key(run)} {run.step}", run, run.due_at(board.now))
        for run in lists.runs_under_way(board, stations)
        if run.is_due(board.now)
    ]
    found += [
        Due(f"probe {line.of} {line.limit.due:%H%M}", line, line.limit.due - PROBE_AHEAD)
        for line in (*board.watch.cooling, *board.watch.unread)
        if _bench_of(board, line) in stations and _probe_is_due(board, line)
    ]
    found += [
        Due(f"timer {timer.number}", timer, timer.ends)
        for timer in board.state.timers
        if timer.station in stations and timer.ends <= board.now
    ]
    return sorted(found, key=lambda one: (not _is_overdue(one), one.since, one.key))


def _is_overdue(one: Due) -> bool:
    return isinstance(one.what, UnderWay) and one.what.overdue_minutes > 0


def _probe_is_due(board: Board, line: CoolingLine) -> bool:
    return line.verdict in ("too late", "not cooling", "may be late") or line.limit.due - board.now <= PROBE_AHEAD


def _bench_of(board: Board, line: CoolingLine) -> str:
    foods = board.state.runs if line.kind == "run" else board.state.batches
    return next((food.station for food in foods if food.code == line.of), "")


def row_key(one: Due) -> str:
    """The key of its row: that of the run, the batch or the timer."""
    if isinstance(one.what, UnderWay):
        return lists.run_key(one.what)
    if isinstance(one.what, Timer):
        return timer_key(one.what)
    return f"run {one.what.of}" if one.what.kind == "run" else one.what.of


def timer_key(timer: Timer) -> str:
    return f"timer {timer.number}"


def due_rows(board: Board, stations: tuple[str, ...]) -> tuple[Row, ...]:
    """One row for each thing that is due; a run of which a step and a probe are due stands once."""
    voice, rows = voice_of(board), dict[str, Row]()
    for one in due(board, stations):
        key = row_key(one)
        if key in rows:
            if isinstance(one.what, CoolingLine):
                both = f"{probe_words(one.what, voice)}; {rows[key].words}"
                rows[key] = replace(rows[key], words=both, tone="late" if rows[key].tone == "late" else "strong")
            continue
        if isinstance(one.what, Timer):
            rows[key] = timer_row(voice, one.what)
        elif isinstance(one.what, CoolingLine):
            rows[key] = _probe_row(board, voice, one.what, key)
        else:
            rows[key] = lists.run_row(board, one.what, stations)
    return tuple(rows.values())


def probes_due(board: Board, stations: tuple[str, ...]) -> tuple[Row, ...]:
    """The probes that are due at these benches, each with its own bench."""
    voice = voice_of(board)
    found = [one for one in due(board, stations) if isinstance(one.what, CoolingLine)]
    return tuple(
        replace(_probe_row(board, voice, one.what, row_key(one)), extra=voice.station(_bench_of(board, one.what)))
        for one in found
        if isinstance(one.what, CoolingLine)
    )


def timers_running(board: Board, stations: tuple[str, ...]) -> list[Timer]:
    """The timers of these benches that have not rung, the next one first."""
    mine = (one for one in board.state.timers if one.station in stations and one.ends > board.now)
    return sorted(mine, key=lambda one: (one.ends, one.number))


def timer_row(voice: Voice, timer: Timer) -> Row:
    over = timer.ends <= voice.now
    words = _("timer: rang") if over else _("timer")
    return Row(
        timer_key(timer), when=voice.time(timer.ends), what=timer.text or _("Timer"), words=words, extra=timer.by,
        tone="strong" if over else "plain",
    )  # fmt: skip


def _probe_row(board: Board, voice: Voice, line: CoolingLine, key: str) -> Row:
    at = voice.time(line.limit.due)
    worst = line.verdict in ("too late", "not cooling")
    return Row(
        key,
        when=at,
        what=voice.name(line.prep) if line.prep else line.of,
        words=probe_words(line, voice),
        extra=line.of,
        tone="late" if worst or line.limit.due <= board.now else "strong",
    )


def probe_words(line: CoolingLine, voice: Voice) -> str:
    """What a probe is for, and what still helps before its limit."""
    said = _("probe before {time}: {to}; ice bath or smaller trays still help")
    return said.format(time=voice.time(line.limit.due), to=degrees(line.to))


def in_words(board: Board, fresh: Iterable[Due]) -> str:
    """ "Now: Lamb shoulder: out of the deck oven; probe Lamb jus"."""
    voice, said = voice_of(board), []
    for one in fresh:
        if isinstance(one.what, UnderWay):
            said.append(f"{voice.name(one.what.prep)}: {one.what.next or _('mark it done')}")
        elif isinstance(one.what, Timer):
            said.append(one.what.text or _("timer"))
        else:
            said.append(_("probe {prep}").format(prep=voice.name(one.what.prep) if one.what.prep else one.what.of))
    return _("Now: {steps}").format(steps="; ".join(said))


def rung(board: Board, one: Due) -> int:
    """How many times the bell should have rung for it by now."""
    return sum(board.now >= one.since + timedelta(minutes=minutes) for minutes in RINGS)


def open_now(board: Board, station: str) -> bool:
    """Whether a bench has hands now; one that keeps no hours always has."""
    book, days = board.state.book, board.state.book.kitchen.days
    found = book.stations.get(station)
    if found is None or found.hours is None:
        return True
    today = days.business_day(board.now)
    spans = (days.span(day, *window) for day in (today - ONE_DAY, today) for window in found.hours.on(day) or ())
    return any(begin <= board.now < end for begin, end in spans)
