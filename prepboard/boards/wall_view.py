"""What the wall says, for all stations at once, and how that is laid out in pages. Pure: a board in, lines out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from msgspec.structs import replace

from prepboard.boards import handover_rows, rows
from prepboard.boards.row import (
    MARGIN,
    Piece,
    Row,
    Tone,
    Widths,
    aligned,
    clean,
    draw,
    draw_folded,
    filled,
    headed,
    in_brief,
    measure,
)
from prepboard.boards.station_view import Section, Title, title
from prepboard.boards.watched import temperatures
from prepboard.book.days import ONE_DAY
from prepboard.book.saying import say_duration
from prepboard.paper.layout import wrap
from prepboard.plan.board import Board
from prepboard.plan.lines import Left, Work
from prepboard.plan.state import Batch
from prepboard.texts import _

Lines = list[list[Piece]]

SOON = timedelta(hours=1)
"""Runs under way stand on the wall when somebody is needed within this time."""

TWO_COLUMNS = 130
"""Columns from which starts stand at the left and what is left at the right."""

FOLDED = 60
"""Columns below which a row takes two lines."""

GAP = 3
"""Blank cells between two columns."""


def sections(board: Board) -> tuple[tuple[Section, ...], tuple[Section, ...]]:
    """What is to do, and what there is: the left column of the wall and the right one."""
    stations = tuple(board.state.book.stations)
    return (
        (*_notes(board), _starts(board, stations), _due(board, stations), _work(board)),
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
    ahead = [line for line in rows.lines_to_make(board, stations) if line.start_by < ends]
    shown = rows.to_make(board, stations)[: len(ahead)]
    starts = tuple(
        replace(row, amount=in_brief(row.amount), extra=voice.station(line.station))
        for row, line in zip(shown, ahead, strict=True)
    )
    return Section("starts", _("NEXT TO START"), (), starts, _("Nothing more to start today."))


def _due(board: Board, stations: tuple[str, ...]) -> Section:
    voice = rows.voice_of(board)
    due = [run for run in rows.runs_under_way(board, stations) if run.next_at <= board.now + SOON]
    named = {rows.run_key(run): voice.station(run.station) for run in due}
    shown = tuple(replace(row, extra=named[row.key]) for row in rows.under_way(board, stations) if row.key in named)
    return Section("due", _("UNDER WAY, DUE WITHIN THE HOUR"), (), shown, _("Nothing is due within the hour."))


def _work(board: Board) -> Section:
    """Work left in words, station by station, those that have more of it than hands first."""
    first = min((work.before for work in board.work), default=None)
    voice = rows.voice_of(board)
    mine = sorted((work for work in board.work if work.before == first), key=lambda work: -work.over_minutes)
    shown = tuple(
        Row(f"work {work.station}", what=voice.station(work.station), words=_said(work), tone=_tone(work))
        for work in mine
        if work.work_minutes
    )
    return Section("work", _("WORK BEFORE SERVICE"), (), shown, _("No work is left before the next service."))


def _said(work: Work) -> str:
    if work.over_minutes:
        return _("{time} over").format(time=say_duration(work.over_minutes))
    return _("{time} of work, {hands} of hands").format(
        time=say_duration(work.work_minutes), hands=say_duration(work.hands_minutes)
    )


def _tone(work: Work) -> Tone:
    return "late" if work.over_minutes else "plain"


def _left(board: Board, stations: tuple[str, ...]) -> Section:
    """Plates left: what is 86 first, then what runs out first, then the fewest plates."""

    def order(left: Left) -> tuple[bool, bool, datetime, int]:
        out = left.runs_out_at
        return not left.eighty_six, out is None, out or board.now, left.plates_left

    ahead = rows.sitting_ahead(board)
    place = {left.dish: at for at, left in enumerate(sorted(board.left, key=order))}
    by_dish = {left.dish: left for left in board.left}
    found = sorted(rows.left_over(board, stations), key=lambda row: place[row.key])
    shown = tuple(_in_short(board, row, by_dish[row.key]) for row in found)
    if ahead is None:
        return Section("left", _("LEFT"), (), (), _("No service is near, so no plates are counted."))
    named = rows.voice_of(board).service(ahead.service, ahead.day)
    expected = any(left.basis == "expected" for left in board.left)
    aside = (_("expected, not counted"),) if expected else ()
    heading = _("LEFT FOR {service}").format(service=named.upper())
    return Section("left", heading, aside, shown, _("No dish stands on {service}.").format(service=named))


def _in_short(board: Board, row: Row, left: Left) -> Row:
    """When a dish runs out, before what of: names of dishes matter more from across the room."""
    if left.eighty_six or left.not_yet or not (left.ends_first and left.runs_out_at):
        return replace(row, extra="")
    voice = rows.voice_of(board)
    return replace(
        row, words=_("to about {time}").format(time=voice.time(left.runs_out_at)), extra=voice.name(left.ends_first)
    )


def _goes_off(board: Board, stations: tuple[str, ...]) -> Section:
    ends = _tonight_ends(board)
    soon = {one.batch.code for one in rows.batches_ending(board, stations) if _goes_before(one.batch, ends)}
    # What is late to be cold, out of range or held back; what cools in time is no matter for a wall.
    minded = tuple(row for row in temperatures(board, stations) if row.tone in ("discard", "late"))
    soon -= {row.key for row in minded}
    shown = (*minded, *(row for row in rows.goes_off(board, stations) if row.key in soon))
    aside = (_("by {rules}").format(rules=board.state.book.kitchen.rules.title),)
    return Section("goes-off", _("GOES OFF BEFORE CLOSE"), aside, shown, _("Nothing goes off before close."))


def _goes_before(batch: Batch, ends: datetime) -> bool:
    return bool(batch.blocked) or (batch.use_by is not None and batch.use_by <= ends)


# --- pages -----------------------------------------------------------------------------------------------


def pages(columns: tuple[tuple[Section, ...], tuple[Section, ...]], width: int, height: int) -> list[Lines]:
    """The wall as pages of at most `height` lines of exactly `width` cells; nothing scrolls.

    Where there is room both columns stand side by side, and each turns its own pages.
    """
    if width < TWO_COLUMNS:
        return _column([*columns[0], *columns[1]], width, height)
    wide = (width - GAP) * 11 // 20  # a start names its station too
    left, right = _column(columns[0], wide, height), _column(columns[1], width - GAP - wide, height)
    turns = max(len(left), len(right))
    return [_beside(left[at % len(left)], right[at % len(right)], wide, width) for at in range(turns)]


def _beside(left: Lines, right: Lines, wide: int, width: int) -> Lines:
    both = []
    for at in range(max(len(left), len(right))):
        line = left[at] if at < len(left) else filled([], wide)
        other = right[at] if at < len(right) else []
        both.append(filled([*line, (" " * GAP, "plain"), *other], width))
    return both


def _column(column: Sequence[Section], width: int, height: int) -> list[Lines]:
    """A section that does not fit goes on, under its heading, on the next page."""
    need = {section.name: measure(section.rows) for section in column}
    for one, other in (("starts", "due"), ("due", "starts")):
        if one in need and other in need:
            need[one] = aligned(need[one], need[other])
    made: list[Lines] = [[]]
    for section in column:
        blocks = _blocks(section, need[section.name], width)
        heading = [headed(section.heading, section.aside, width)]
        on = False
        for block in blocks:
            page = made[-1]
            first = not on or not page
            wanted = len(block) + (1 + bool(page) if first else 0)
            if page and len(page) + wanted > height:
                made.append([])
                page, first = made[-1], True
            if first:
                page += [[(" ", "plain")], *heading] if page else heading
            page += block
            on = True
    return made


def _blocks(section: Section, need: Widths, width: int) -> list[Lines]:
    """The lines of each row, or the sentence that says that there is none."""
    if not section.rows:
        return [[[(f"   {line}", "plain")] for line in wrap(clean(section.empty), width - 4)]]
    if section.name == "notes":
        return [_whole(row, width) for row in section.rows]
    if width < FOLDED:
        return [list(draw_folded(row, need, width)) for row in section.rows]
    return [[draw(row, need, width)] for row in section.rows]


def _whole(row: Row, width: int) -> Lines:
    """A note with all of its text: nobody can open it on a wall."""
    indent = MARGIN + len(row.when) + 2
    first, *more = wrap(f"{clean(row.what)}   {clean(row.words)}", width - indent - 1)
    begin: list[Piece] = [(f"{' ' * MARGIN}{row.when}  ", "plain"), (first, "strong")]
    return [filled(begin, width), *(filled([(" " * indent + line, "strong")], width) for line in more)]
