"""What the wall says, for all stations at once. Pure: a board in, sections of rows out."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec.structs import replace

from prepboard.boards.rows import handover_rows
from prepboard.boards.rows import lists as rows
from prepboard.boards.rows.due_rows import probes_due
from prepboard.boards.rows.left_rows import left_over, short_names
from prepboard.boards.rows.not_for import not_for, not_for_row
from prepboard.boards.rows.station_view import Section, Title, left_for, title
from prepboard.boards.rows.temperature_rows import temperatures
from prepboard.boards.rows.work_words import work_said
from prepboard.boards.widgets.row import (
    Row,
    in_brief,
)
from prepboard.book.days import ONE_DAY
from prepboard.paper.sentences.left import none_counted
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.shown.lines import Left
from prepboard.texts import _

SOON = timedelta(hours=1)
"""Runs under way stand on the wall when somebody is needed within this time."""


def sections(board: Board) -> tuple[tuple[Section, ...], tuple[Section, ...]]:
    """What is to do, and what there is: the left column of the wall and the right one."""
    stations = tuple(board.state.book.stations)
    return (
        (*_notes(board), _starts(board, stations), _due(board, stations), *_work(board)),
        (_left(board, stations), _goes_off(board, stations)),
    )


def wall_title(board: Board, *, clock_by_hand: bool) -> Title:
    """The kitchen, when it is, and what comes next."""
    return replace(title(board, (), "", clock_by_hand=clock_by_hand), whose=board.state.book.kitchen.name.upper())


def _notes(board: Board) -> tuple[Section, ...]:
    """What somebody left for all to know; no section where nobody did."""
    left = handover_rows.notes(board, ())
    return (Section("notes", _("NOTES"), (), left, ""),) if left else ()


def _tonight_ends(board: Board) -> datetime:
    days = board.state.book.kitchen.days
    return days.opens(days.business_day(board.now) + ONE_DAY)


def _starts(board: Board, stations: tuple[str, ...]) -> Section:
    voice, ends = rows.voice_of(board), _tonight_ends(board)
    ahead = list(zip(rows.lines_to_make(board, stations), rows.to_make(board, stations), strict=True))
    tonight = [(line, row) for line, row in ahead if line.begins < ends]
    # Once nothing begins tonight any more: what each bench begins with next.
    first = {line.station: (line, row) for line, row in reversed(ahead)}
    later = sorted(first.values(), key=lambda each: each[0].begins) if not tonight else []
    starts = tuple(
        replace(row, amount=in_brief(row.amount), extra=voice.station(line.station)) for line, row in tonight or later
    )
    folded = not_for_row(board, voice, not_for(board, stations))
    starts += (folded,) if folded else ()
    return Section("starts", _("NEXT TO START"), (), starts, _("Nothing more to start today."))


def _due(board: Board, stations: tuple[str, ...]) -> Section:
    voice = rows.voice_of(board)
    due = [run for run in rows.runs_under_way(board, stations) if run.next_at <= board.now + SOON]
    named = {rows.run_key(run): voice.station(run.station) for run in due}
    shown = tuple(replace(row, extra=named[row.key]) for row in rows.under_way(board, stations) if row.key in named)
    shown = (*(row for row in probes_due(board, stations) if row.key not in named), *shown)
    return Section("due", _("UNDER WAY, DUE WITHIN THE HOUR"), (), shown, _("Nothing is due within the hour."))


def _work(board: Board) -> tuple[Section, ...]:
    """Work left in words, station by station, those that have more of it than hands first. While a service runs only
    what is behind: that nothing is left to begin is not yet that all was done."""
    first = min((work.before for work in board.work), default=None)
    voice, behind = rows.voice_of(board), first is not None and first <= board.now
    mine = sorted((work for work in board.work if work.before == first), key=lambda work: -work.over_minutes)
    shown = tuple(
        Row(
            f"work {work.station}",
            what=voice.station(work.station),
            words=work_said(work, behind),
            tone="late" if work.over_minutes else "plain",
        )
        for work in mine
        if work.work_minutes
    )
    if behind:
        return (Section("work", _("WORK NOT DONE BEFORE SERVICE"), (), shown, ""),) if shown else ()
    return (Section("work", _("WORK BEFORE SERVICE"), (), shown, _("No work is left before the next service.")),)


def _left(board: Board, stations: tuple[str, ...]) -> Section:
    """Plates left: what is 86 first, then what runs out first, then the fewest plates."""

    def order(left: Left) -> tuple[bool, bool, datetime, int]:
        out = left.runs_out_at
        return not left.eighty_six, out is None, out or board.now, left.plates_left

    place = {left.dish: at for at, left in enumerate(sorted(board.left, key=order))}
    found = sorted(left_over(board, stations), key=lambda row: place[row.key])
    # Short names, and words in full: that is what can be read from across the room.
    named = short_names(board)
    shown = tuple(replace(row, what=named[row.key], extra="") for row in found)
    service = left_for(rows.voice_of(board), board)
    if not service:
        return Section("left", _("LEFT"), (), (), _("No service is near, so no plates are counted."))
    aside = (_("expected, not counted"),) if none_counted(board.left) else ()
    heading = _("LEFT FOR {service}").format(service=service.upper())
    return Section("left", heading, aside, shown, _("No dish stands on {service}.").format(service=service))


def _goes_off(board: Board, stations: tuple[str, ...]) -> Section:
    ends = _tonight_ends(board)
    soon = {one.batch.code for one in rows.batches_ending(board, stations) if _goes_before(one.batch, ends)}
    # What is late to be cold, out of range or held back; what cools in time is no matter for a wall.
    minded = tuple(row for row in temperatures(board, stations) if row.tone in ("discard", "late"))
    soon -= {row.key for row in minded}
    shown = (*minded, *(row for row in rows.goes_off(board, stations) if row.key in soon))
    aside = (_("by {rules}").format(rules=board.state.book.kitchen.rules.named),)
    return Section("goes-off", _("GOES OFF BEFORE CLOSE"), aside, shown, _("Nothing goes off before close."))


def _goes_before(batch: Batch, ends: datetime) -> bool:
    return bool(batch.blocked) or (batch.use_by is not None and batch.use_by <= ends)
