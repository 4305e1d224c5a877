"""Temperatures on a board: what still cools, what missed a limit, what is out of range. Pure rows, and open lines."""

from __future__ import annotations

from collections.abc import Iterator

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row, Tone
from prepboard.paper.sentences.curve import curve
from prepboard.paper.sentences.temperatures import (
    cooling_short,
    cooling_text,
    flag_short,
    flag_text,
    held_text,
    named,
    reading_text,
)
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.probes.forecast import CoolingLine
from prepboard.plan.probes.watching import Flag
from prepboard.plan.shown.lines import Expiring
from prepboard.texts import _

PLOT = (64, 8)
"""Cells across and down of the plot of an open line."""


def flag_key(flag: Flag) -> str:
    return f"out of range {flag.kind} {flag.of}"


def batches_watched(board: Board, stations: tuple[str, ...]) -> list[Batch]:
    """Batches of these benches that cool, are out of range, or are held back for a limit."""
    minded = {line.of for line in board.watch.cooling} | {flag.of for flag in board.watch.flags} | set(board.watch.held)
    return [batch for batch in board.state.batches if batch.code in minded and batch.station in stations]


def elsewhere(board: Board, stations: tuple[str, ...]) -> list[Flag]:
    """Places and goods out of range; a place that holds only food of other benches is theirs to see."""
    found = []
    for flag in board.watch.flags:
        if flag.kind in ("place", "goods"):
            inside = {batch.station for batch in board.state.batches if batch.code in flag.inside}
            if not inside or inside & set(stations):
                found.append(flag)
    return found


def temperatures(board: Board, stations: tuple[str, ...]) -> tuple[Row, ...]:
    """Their rows: what is late first, then by the moment to mind. What is late or out of range says so in the first
    column, which gives way to nothing."""
    voice = voice_of(board)
    rows = [_place_row(board, voice, flag) for flag in elsewhere(board, stations)]
    rows += [_batch_row(board, voice, batch) for batch in batches_watched(board, stations)]
    order: dict[Tone, int] = {"discard": 0, "late": 1, "strong": 2}
    return tuple(sorted(rows, key=lambda row: order.get(row.tone, 3)))


def _place_row(board: Board, voice: Voice, flag: Flag) -> Row:
    return Row(
        key=flag_key(flag),
        when=flag_short(flag),
        what=named(flag.of, board.state, voice),
        amount=flag.last.said,
        words=_("at {time}").format(time=voice.time(flag.last.at)),
        tone="late",
    )


def _batch_row(board: Board, voice: Voice, batch: Batch) -> Row:
    watch = board.watch
    when, word = "", ""
    tone: Tone = "plain"
    if held := watch.held.get(batch.code):
        when, word, tone = _("blocked"), _("do not use: {why}").format(why=_(held.why)), "discard"
    elif line := next((line for line in watch.cooling if line.of == batch.code), None):
        tone = tone_of(line)
        when, word = _("late") if tone == "late" else voice.time(line.limit.due), cooling_short(line, voice)
    elif flag := next((flag for flag in watch.flags if flag.of == batch.code), None):
        when, word, tone = flag_short(flag), flag.last.said, "late"
    return Row(
        key=batch.code,
        when=when,
        what=voice.name(batch.prep) if batch.prep else batch.name,
        amount=voice.left(batch),
        words=f"{batch.code}  {word}",
        tone=tone,
    )


def tone_of(line: CoolingLine) -> Tone:
    """Late only where nothing but help now can save it."""
    if line.verdict in ("too late", "not cooling"):
        return "late"
    return "strong" if line.verdict == "may be late" else "plain"


def found(board: Board) -> dict[str, Expiring | Flag]:
    """What the keys of these rows stand for."""
    keyed: dict[str, Expiring | Flag] = {flag_key(flag): flag for flag in board.watch.flags}
    for batch in batches_watched(board, tuple(board.state.book.stations)):
        keyed[batch.code] = Expiring(batch, use_first=False)
    return keyed


def measured(board: Board, voice: Voice, code: str) -> Iterator[tuple[str, list[str]]]:
    """What an open line says of the temperatures of a batch or a run: in words, read by read, and as a curve."""
    watch = board.watch
    judged = watch.judged.get(code)
    if judged is None:
        return
    line = next((line for line in watch.cooling if line.of == code), None)
    says = [held_text(watch.held[code], voice)] if code in watch.held else []
    says += [cooling_text(line, voice)] if line else []
    says += [flag_text(flag, board.state, voice) for flag in watch.flags if flag.of == code and not flag.held]
    yield _("TEMPERATURE"), says + [reading_text(one, voice) for one in judged.readings]
    if judged.cooling:
        forecast = line.forecast if line else None
        yield _("COOLING"), curve(judged.cooling, forecast, board.state.book.kitchen.rules, voice, *PLOT)


def flagged(board: Board, voice: Voice, flag: Flag) -> tuple[str, list[tuple[str, list[str]]]]:
    """The open line of a place or a good out of range: its title, what the code allows, and what is in it."""
    title = f"{named(flag.of, board.state, voice)}   {flag.last.said}"
    inside = [batch for batch in board.state.batches if batch.code in flag.inside]
    names = [f"{batch.code}  {voice.name(batch.prep) if batch.prep else batch.name}" for batch in inside]
    return title, [("", [flag_text(flag, board.state, voice)])] + ([(_("IN IT"), names)] if names else [])
