"""What a station's board says: its title and its four sections, for the screen and for the plain-text twin alike."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime

from msgspec import Struct
from rich.cells import cell_len

from prepboard.boards.rows import handover_rows
from prepboard.boards.rows import lists as rows
from prepboard.boards.rows.due_rows import due_rows, timer_row, timers_running
from prepboard.boards.rows.left_rows import left_over, short_names
from prepboard.boards.rows.not_for import not_for, not_for_row, off_row
from prepboard.boards.rows.temperature_rows import temperatures
from prepboard.boards.rows.work_words import work_ahead, work_in_brief
from prepboard.boards.widgets.row import Piece, Row, clean, filled, spread
from prepboard.paper.sentences.left import none_counted
from prepboard.paper.text.saying import Voice, long_day
from prepboard.paper.text.sittings import sitting_ahead, sittings_said, sittings_served, sittings_that_run
from prepboard.plan.board import Board
from prepboard.texts import _, some


class Title(Struct, frozen=True):
    """The first line of a board: whose it is, when it is, what comes next, who is working."""

    whose: str
    when: str
    service: str
    who: str


class Section(Struct, frozen=True):
    """A list with its heading; `aside` stands at its right, as far as there is room; `empty` where there is no row."""

    name: str
    heading: str
    aside: tuple[str, ...]
    rows: tuple[Row, ...]
    empty: str
    brief: str = ""
    """What `aside` says, in fewer words."""
    folded: tuple[str, ...] = ()
    """Keys of rows that stand for lines which nobody begins: its heading counts the others."""


class View(Struct, frozen=True):
    title: Title
    sections: tuple[Section, ...]


def view(
    board: Board,
    stations: tuple[str, ...],
    by: str = "",
    *,
    clock_by_hand: bool = False,
) -> View:
    """The board of one bench, or of several on a slow night."""
    shown = title(board, stations, by, clock_by_hand=clock_by_hand)
    return View(shown, sections(board, stations, rows.RowCache()))


def sections(
    board: Board, stations: tuple[str, ...], said: rows.RowCache, due: Section | None = None, *, whole: bool = False
) -> tuple[Section, ...]:
    """Its four lists; rows that were `said` before are not made again. While a service runs they hold what is
    tonight's, unless the `whole` lists are asked for. What is `due` stands by itself."""
    said.anew(board, stations)
    above = {row.key for row in (due or due_section(board, stations)).rows}
    tonight = None if whole else service_ends(board)
    return (
        _to_make(board, stations, said, tonight),
        _under_way(board, stations, said, above),
        _goes_off(board, stations, said, above, tonight),
        _left(board, stations, said),
    )


def service_ends(board: Board) -> datetime | None:
    """When the last of the services that still expect guests ends; None while none does: at last plates the bench
    turns back to what is to make."""
    return max((one.ends for one in sittings_that_run(board) if not one.last_plates), default=None)


def due_section(board: Board, stations: tuple[str, ...]) -> Section:
    """What is due: it stands above all else, and rings until somebody goes on."""
    return Section("due", _("DUE"), (_("s goes on"),), due_rows(board, stations), _("Nothing is due."))


def _under_way(board: Board, stations: tuple[str, ...], said: rows.RowCache, above: Collection[str]) -> Section:
    """What is under way and not due, and the timers that run, by when somebody is needed."""
    voice = rows.voice_of(board)
    runs = zip(rows.runs_under_way(board, stations), rows.under_way(board, stations, said), strict=True)
    timed = [(run.next_at, row) for run, row in runs if row.key not in above]
    timed += [(timer.ends, timer_row(voice, timer)) for timer in timers_running(board, stations)]
    shown = tuple(row for _at, row in sorted(timed, key=lambda each: each[0]))
    empty = _("Nothing else is under way.") if above else _("Nothing is under way.")
    return Section("under-way", _("UNDER WAY"), (), shown, empty)


def _goes_off(
    board: Board, stations: tuple[str, ...], said: rows.RowCache, above: Collection[str], tonight: datetime | None
) -> Section:
    """What cools or is out of range, then what ends soon; a batch that is both stands once. In service tonight's."""
    minded = [row for row in temperatures(board, stations) if row.key not in above]
    keys = {row.key for row in minded} | set(above)
    ending = zip(rows.batches_ending(board, stations), rows.goes_off(board, stations, said), strict=True)
    rest = [(one, row) for one, row in ending if row.key not in keys]
    if tonight is None:
        empty = _("Nothing goes off within three business days.")
        shown = (*minded, *(row for _one, row in rest))
        return Section("goes-off", _("GOES OFF SOON"), _basis(board), shown, empty)
    days = board.state.book.kitchen.days
    closes = days.next_opening(days.business_day(board.now))
    now = tuple(row for one, row in rest if one.batch.blocked or (one.batch.use_by and one.batch.use_by <= closes))
    later = len(rest) - len(now)
    aside = (some("{n} later: v", "{n} later: v", later),) if later else ()
    return Section("goes-off", _("GOES OFF TONIGHT"), aside, (*minded, *now), _("Nothing goes off tonight."))


def _basis(board: Board) -> tuple[str, ...]:
    """By which rule book the dates are, and whether the kitchen's own plan is looser than it."""
    kitchen = board.state.book.kitchen
    by = _("by {rules}").format(rules=kitchen.rules.named)
    return (by, _("looser by this kitchen's plan")) if kitchen.rules.loosened else (by,)


def _to_make(board: Board, stations: tuple[str, ...], said: rows.RowCache, tonight: datetime | None) -> Section:
    ahead = sitting_ahead(board)
    empty = _("Nothing to make: what is on hand and under way is enough.")
    if ahead is None:
        empty = _("Nothing to make: no service is near.")
    gone = [station for station in stations if station not in board.state.book.stations]
    if gone:
        lost = _("The book has no {station} any more; q closes this board.")
        empty = lost.format(station=rows.voice_of(board).station(gone[0]))
    aside, brief = work_ahead(board, stations), work_in_brief(board, stations)
    timed = _runs_and_tasks(board, stations, said)
    shown = tuple(row for at, row in timed if tonight is None or at < tonight)
    later = len(timed) - len(shown)
    if tonight is not None:
        empty = _("Nothing more to make in service.")
        aside, brief = (), ""
    if later:
        from_when = rows.voice_of(board).time(min(at for at, _row in timed[len(shown) :]))
        after = some("{n} after service", "{n} after service", later)
        aside = (_("{said}, from {time}: v").format(said=after, time=from_when),)
    aside = (*aside, *handover_rows.missed_today(board, stations))
    voice = rows.voice_of(board)
    served = {(one.service, one.day) for one in sittings_served(board)}
    folded = (not_for_row(board, voice, not_for(board, stations)), off_row(board, voice, stations, served))
    return Section("to-make", _("TO MAKE"), aside, (*shown, *filter(None, folded)), empty, brief)


def _runs_and_tasks(board: Board, stations: tuple[str, ...], said: rows.RowCache) -> list[tuple[datetime, Row]]:
    """What is to be done at these benches, by the moment at which it presses."""
    runs = zip(rows.lines_to_make(board, stations), rows.to_make(board, stations, said), strict=True)
    timed = [(line.begins, row) for line, row in runs]
    timed += [(task.at, row) for task, row in handover_rows.tasks(board, stations)]
    return sorted(timed, key=lambda each: each[0])


def notes_section(board: Board, stations: tuple[str, ...]) -> Section:
    """What others left to be known here, until it is ticked off."""
    left = handover_rows.notes(board, stations)
    return Section("notes", _("NOTES"), (_("d ticks one off"),), left, _("Nobody left a note."))


def _left(board: Board, stations: tuple[str, ...], said: rows.RowCache) -> Section:
    heading, empty = _("LEFT"), _("No service is near, so no plates are counted.")
    if named := left_for(rows.voice_of(board), board):
        heading = _("LEFT FOR {service}").format(service=named.upper())
        empty = _("No dish of {service} has a prep of this bench.").format(service=named)
    aside = (_("expected, not counted"),) if none_counted(board.left) else ()
    return Section("left", heading, aside, left_over(board, stations, said), empty)


def about(section: str) -> str:
    """What a list is, for the `?` screen."""
    return {
        "notes": _(
            "What others left to be known at this bench, or by all, the last first. Enter shows all of one, d ticks it"
            " off for everyone, n writes one."
        ),
        "due": _(
            "Steps that are due or overdue, probes to take and timers that rang. s goes on with the first of them,"
            " before it starts anything new."
        ),
        "to-make": _(
            "Runs that the plan asks for, the most urgent first: when to start at the latest, the prep, how much, how"
            " urgent it is, and what it is for. Enter opens the recipe for this run and why it is this much."
        ),
        "under-way": _(
            "Runs that somebody started: when somebody is needed next, the prep, how much it will give, what to do"
            " then, and who has it. s goes on to the next step, d marks it done."
        ),
        "goes-off": _(
            "Batches that end within three business days, the first to end first: until when they are good, how much"
            " is left, and their code. What is past its use-by is to be thrown away: x, with a reason."
        ),
        "left": _(
            "Plates that can still go out in this service, dish by dish, and which prep decides that. p counts a plate"
            " out; 86 is a dish that can no longer be plated."
        ),
    }[section]


def title(board: Board, stations: tuple[str, ...], by: str, *, clock_by_hand: bool) -> Title:
    voice = rows.voice_of(board)
    whose = " + ".join(voice.station(station).upper() for station in stations)
    return board_title(whose, board, by, clock_by_hand=clock_by_hand)


def board_title(whose: str, board: Board, by: str, *, clock_by_hand: bool) -> Title:
    """The title of any board: whose it is, the clock, the service that comes next, who works."""
    voice = rows.voice_of(board)
    when = clock_text(voice, board.now)
    if clock_by_hand or board.state.clock_set_by_hand:
        when = _("{clock}, clock set by hand").format(clock=when)
    return Title(
        whose=whose,
        when=when,
        service=services_said(voice, board),
        who=by,
    )


def title_lines(shown: Title, stale: str, width: int) -> list[list[Piece]]:
    """The title on one line, else on two or three; `stale` takes the clock's place."""
    when: Piece = (stale, "late") if stale else (shown.when, "plain")
    parts: list[Piece] = [(shown.whose, "strong"), when, (shown.service, "plain"), (shown.who, "strong")]
    whose, when, service, who = ((clean(text), tone) for text, tone in parts)
    blank: Piece = (" ", "plain")

    def spare(*pieces: Piece) -> int:
        return width - 2 - sum(cell_len(text) for text, _tone in pieces)

    if (room := spare(whose, when, service, who)) >= 6:
        gaps = [room // 3 + (1 if at < room % 3 else 0) for at in range(3)]
        line = [blank]
        for part, gap in zip((whose, when, service, who), [*gaps, 1], strict=True):
            line += [part, (" " * gap, "plain")]
        return [line]
    if spare(whose, when, who) >= 6:
        return [spread([blank, whose, ("   ", "plain"), when], [who], width), filled([blank, service], width)]
    return [spread([blank, whose], [who], width), filled([blank, when], width), filled([blank, service], width)]


def out_lines(board: Board, width: int) -> list[list[Piece]]:
    """What is 86 and what is low, on one line with as many names as it has room for; none where nothing is. For boards
    whose lists do not say it."""
    out = [left.dish for left in board.left if left.eighty_six]
    low = [left.dish for left in board.left if left.low]
    named, shown = short_names(board), [len(out), len(low)]
    while any(shown):
        parts = [(_("86: {dishes}"), out, shown[0]), (_("low: {dishes}"), low, shown[1])]
        said = "; ".join(text.format(dishes=_first_of(dishes, named, n)) for text, dishes, n in parts if dishes)
        if cell_len(said) <= width - 2 or max(shown) == 1:
            return [filled([(f" {said}", "strong")], width)]
        shown[shown.index(max(shown))] -= 1
    return []


def _first_of(dishes: list[str], named: Mapping[str, str], most: int) -> str:
    more = _(" and {n} more").format(n=len(dishes) - most) if len(dishes) > most else ""
    return ", ".join(named[dish] for dish in dishes[:most]) + more


def clock_text(voice: Voice, at: datetime) -> str:
    """ "Sat 31 Oct  14:22"."""
    return f"{long_day(voice.days.local(at).date())}  {voice.wall(at)}"


def services_said(voice: Voice, board: Board) -> str:
    """All services that run, else the next one."""
    return sittings_said(board, voice) or _("no service is near")


def left_for(voice: Voice, board: Board) -> str:
    """The services that plates are counted for: "Sat Lunch and Sat Dinner"; "" where none is near."""
    return _(" and ").join(voice.service(one.service, one.day) for one in sittings_served(board))
