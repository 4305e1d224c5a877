"""From the board to the list of what is too late, each with what helps. Pure."""

from __future__ import annotations

from collections.abc import Mapping

from prepboard.boards.pars.rows import Table
from prepboard.boards.rows.due_rows import probes_due
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.rows.not_for import off
from prepboard.boards.widgets.columns import Cell, Column, ColumnRow
from prepboard.boards.widgets.row import Row, in_brief
from prepboard.paper.sentences.helps import help_text
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.sentences.waiting import not_there, waits_for_words
from prepboard.plan.board import Board
from prepboard.plan.changing.helping import helps, worst
from prepboard.plan.given.numbers import Number
from prepboard.plan.shown.lines import MakeLine
from prepboard.texts import _

SMALL_NOTES = frozenset({"over", "long wait"})
"""Notes that say nothing about what is too late."""


NOBODY_TRIED: Mapping[str, str] = {}
"""What helps, before it was tried."""

REMEDIES = ("smaller in time", "in time", "could give way", "off until")
"""What helps stands before what only says how bad it is."""


def _help(kind: str) -> int:
    return REMEDIES.index(kind) if kind in REMEDIES else len(REMEDIES)


def too_late(board: Board) -> list[MakeLine]:
    """The lines that cannot be ready in time any more, or that do not fit at all."""
    return [
        line
        for line in board.make
        if line.late_minutes or line.misses or any(note.kind == "cannot fit" for note in line.notes)
    ]


def best_helps(board: Board) -> dict[str, str]:
    """Of the worst lines, by the text of the line: what helps best, tried on a copy. It takes a while."""
    voice = voice_of(board)
    found = {str(line.line): helps(board, line) for line in worst(board)}
    return {line: help_text(tried[0], voice) for line, tried in found.items() if tried}


def late(board: Board, helped: Mapping[str, str] = NOBODY_TRIED) -> Table:
    """What is too late, and what can be done about it; `helped` are the `best_helps` as far as they are known."""
    columns = (
        Column(_("begins")),
        Column(_("prep")),
        Column(_("amount"), right=True),
        Column(_("how late")),
        Column(_("if started now"), gives=1),
        Column(_("station"), gives=2),
        Column(_("what helps"), gives=3, stays=True),
    )
    probes = (_probe_row(row) for row in probes_due(board, tuple(board.state.book.stations)))
    lines = (_late_row(board, line, helped.get(str(line.line), "")) for line in too_late(board))
    return columns, (*probes, *lines)


def _probe_row(row: Row) -> ColumnRow:
    """A probe that is due: it stands above what is late, since help still helps."""
    cells = (row.when, row.what, "", "", "", row.extra, row.words)
    return ColumnRow(
        row.key, when=row.when, what=row.what, words=row.words, extra=row.extra, tone=row.tone,
        cells=tuple(Cell(text, tone=row.tone) for text in cells),
    )  # fmt: skip


def _late_row(board: Board, line: MakeLine, help: str) -> ColumnRow:
    voice = voice_of(board)
    lateness = voice.begins(line) if line.late_minutes or line.misses else _("does not fit")
    at = voice.time(line.ready_if_started_now)
    ready = _("ready {time}").format(time=at)
    notes = sorted((note for note in line.notes if note.kind not in SMALL_NOTES), key=lambda note: _help(note.kind))
    waits = [waits_for_words(line.waits_for, voice)] if line.waits_for else []
    waits += [lacking] if (lacking := not_there(line, voice)) else []
    taken = [off(board, voice, [line])] if line.misses else []
    said = (help, *taken, *waits, *(note_text(note, voice) for note in notes))
    says = [text for text in dict.fromkeys(said) if text]
    when, name = voice.time(line.begins), voice.name(line.prep)
    amount, station = in_brief(voice.amount(line.prep, line.amount)), voice.station(line.station)
    return ColumnRow(
        str(line.line),
        when=when,
        what=name,
        amount=amount,
        words=f"{lateness}, {at}",
        extra="; ".join(says),
        tone="late",
        cells=(
            Cell(when, tone="late"),
            Cell(name, tone="strong"),
            Cell(amount),
            Cell(lateness, tone="late"),
            Cell(ready),
            Cell(station, tone="dim"),
            Cell("; ".join(says), brief=says[0] if says else ""),
        ),
        number=Number("given", item=line.prep, day=voice.days.business_day(line.begins)),
    )
