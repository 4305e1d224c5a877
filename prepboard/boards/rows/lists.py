"""From the Board to the rows of a station's lists. Pure: a board and the benches it is for in, rows out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from functools import partial
from operator import is_

from prepboard.boards.rows.not_for import not_for
from prepboard.boards.widgets.row import Row, Tone
from prepboard.book.saying import say_duration
from prepboard.paper.lists.stations import batch_name
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.sentences.temperatures import cooling_short
from prepboard.paper.sentences.waiting import waits_in_brief
from prepboard.paper.text.saying import Voice, listed, near_day
from prepboard.plan.board import Board
from prepboard.plan.given.state import Placed
from prepboard.plan.shown.lines import Expiring, MakeLine, UnderWay
from prepboard.texts import _, spoken, told

_MINUTE = timedelta(minutes=1)


def voice_of(board: Board) -> Voice:
    """Says this kitchen's names, amounts and times, as if it were the full minute that the board's clock shows.

    Else "in 3 h 39" would stand beside 14:20 and 18:00.
    """
    at = board.now.replace(second=0, microsecond=0)
    return Voice(board.state.book, at, new_at=board.state.new_at)


class RowCache:
    """A board's rows as they were last said: a line that is the very same is not said anew until the minute is over."""

    def __init__(self) -> None:
        self._ground: tuple[object, ...] = ()
        self._before: dict[int, tuple[object, Row]] = {}
        self._rows: dict[int, tuple[object, Row]] = {}

    def anew(self, board: Board, stations: tuple[str, ...]) -> None:
        """Begins with another board; what was not said of the last one is forgotten."""
        ground = (board.state.book, board.watch, voice_of(board).now, stations, spoken())
        same = self._ground and all(map(is_, ground[:2], self._ground)) and ground[2:] == self._ground[2:]
        self._before, self._rows, self._ground = (self._rows if same else {}), {}, ground

    def row(self, line: object, say: Callable[[], Row]) -> Row:
        known = self._before.get(id(line))
        row = known[1] if known and known[0] is line else say()
        self._rows[id(line)] = line, row
        return row


# --- to make ---------------------------------------------------------------------------------------------


def lines_to_make(board: Board, stations: tuple[str, ...]) -> list[MakeLine]:
    """What can still be ready for what it is for; the rest is folded."""
    folded = {str(line.line) for line in not_for(board)}
    return [line for line in board.make if line.station in stations and str(line.line) not in folded]


def to_make(board: Board, stations: tuple[str, ...], said: RowCache | None = None) -> tuple[Row, ...]:
    """Rows of the runs to make, the most urgent first."""
    said = said or RowCache()
    return tuple(said.row(line, partial(make_row, board, line, stations)) for line in lines_to_make(board, stations))


def make_row(board: Board, line: MakeLine, stations: tuple[str, ...]) -> Row:
    """One run to make; with its bench, where the board is of several."""
    voice = voice_of(board)
    bench = voice.station(line.station) if len(stations) > 1 else ""
    words, tone = line_urgency(voice, line)
    return Row(
        key=str(line.line),
        when=voice.time(line.begins),
        what=voice.name(line.prep),
        amount=voice.amount(line.prep, line.amount),
        words=words,
        extra=listed((bench, why_not_now(voice, line), serves(voice, line))),
        more=steps_ahead(board, line.prep, line.steps, begins=True),
        tone=tone,
    )


def steps_ahead(board: Board, prep: str, steps: Sequence[Placed], *, begins: bool = False) -> str:
    """What is to be done and when; the first `begins` when its row says: "Sweat the shallots   16:20 Cover"."""
    voice, recipe = voice_of(board), board.state.book.preps.get(prep)
    if recipe is None:
        return ""
    known = [placed for placed in steps if placed.step < len(recipe.steps)]
    said = [(voice.time(placed.begins), told(recipe.steps[placed.step].do).partition(",")[0]) for placed in known]
    return "   ".join(do if begins and not at else f"{when} {do}" for at, (when, do) in enumerate(said))


def why_not_now(voice: Voice, line: MakeLine) -> str:
    """In a few words what a late line waits for, what moved it, or that it is due on and not pressed; else empty."""
    if line.late_minutes and line.waits_for:
        return waits_in_brief(line.waits_for, voice)
    moved = next((note for note in line.notes if note.kind == "moved"), None)
    if moved and not line.due_at:
        return note_text(moved, voice)
    return _("due on {time}, not pressed").format(time=voice.time(line.due_at)) if line.due_at else ""


def line_urgency(voice: Voice, line: MakeLine) -> tuple[str, Tone]:
    """How urgent a line to make is, in words, and how that reads: late is only what is ready late."""
    if line.late_minutes:
        return voice.begins(line), "late"
    return urgency(voice, line.begins)


def urgency(voice: Voice, start_by: datetime) -> tuple[str, Tone]:
    """How soon a moment is, in words, and how that reads."""
    ahead = start_by - voice.now
    tone: Tone = "late" if ahead <= -_MINUTE else "strong" if ahead < _MINUTE else "plain"
    return voice.how_soon(start_by), tone


def serves(voice: Voice, line: MakeLine) -> str:
    """What a run is for: "Dinner, Sun Lunch", or the run that takes it; not the sittings that it misses."""
    still = next(
        (str(note.facts["item"]) for note in line.notes if note.kind == "too late" and "item" in note.facts), ""
    )
    named = [_("for {prep}").format(prep=voice.name(still))] if still else []
    for use in line.serves:
        if (use.service, use.day) in line.not_for:
            continue
        if use.service:
            named.append(voice.service(use.service, use.day))
        elif use.run_of:
            named.append(_("for {prep}").format(prep=voice.name(use.run_of)))
    return listed(dict.fromkeys(named))


# --- under way -------------------------------------------------------------------------------------------


def runs_under_way(board: Board, stations: tuple[str, ...]) -> list[UnderWay]:
    mine = (run for run in board.under_way if run.station in stations)
    return sorted(mine, key=lambda run: (run.next_at, run.run))


def under_way(board: Board, stations: tuple[str, ...], said: RowCache | None = None) -> tuple[Row, ...]:
    """Rows of the runs under way, by when somebody is needed next."""
    said = said or RowCache()
    return tuple(said.row(run, partial(run_row, board, run, stations)) for run in runs_under_way(board, stations))


def key_of(line: MakeLine | UnderWay) -> str:
    """The key of a line's row."""
    return run_key(line) if isinstance(line, UnderWay) else str(line.line)


def run_key(run: UnderWay) -> str:
    return f"run {run.run}"


def run_row(board: Board, run: UnderWay, stations: tuple[str, ...]) -> Row:
    voice = voice_of(board)
    bench = voice.station(run.station) if len(stations) > 1 else ""
    at = run.due_at(board.now)
    due = at - voice.now
    next_thing = run.next or _("mark it done")
    tone: Tone = "plain"
    if run.overdue_minutes:
        next_thing, tone = overdue(run.overdue_minutes, next_thing), "late"
    elif due <= -_MINUTE:
        next_thing, tone = _since(voice, run, at, next_thing), "strong"
    elif run.is_due(board.now):
        next_thing, tone = _("now: {step}").format(step=next_thing), "strong"
    if warning := _warning(board, run):
        next_thing, tone = warning, "late"
    return Row(
        key=run_key(run),
        when=voice.time(at),
        what=voice.name(run.prep),
        amount=voice.amount(run.prep, run.amount),
        words=next_thing,
        extra=listed((bench, run.by)),
        more=steps_ahead(board, run.prep, run.steps[2:]),
        tone=tone,
        stands=str(run.step),
    )


def overdue(minutes: int, step: str) -> str:
    """ "overdue 22 min: strain"."""
    return _("overdue {time}: {step}").format(time=say_duration(minutes), step=step)


def _since(voice: Voice, run: UnderWay, at: datetime, step: str) -> str:
    """Of a step that is due and can wait: since when it can go on, and until when it must have."""
    if run.go_on_by is None or not run.next:
        return _("since {time}: {step}").format(time=voice.time(at), step=step)
    said = _("{step}: can go on since {time}, by {until}")
    return said.format(time=voice.time(at), until=voice.time(run.go_on_by), step=step)


def _warning(board: Board, run: UnderWay) -> str:
    """What its temperature asks for now, before anything else; empty while it cools in time."""
    if held := board.watch.held.get(run.run):
        return _("do not use: {why}").format(why=_(held.why))
    line = next((line for line in board.watch.cooling if line.of == run.run), None)
    return (
        cooling_short(line, voice_of(board))
        if line and line.verdict in ("too late", "not cooling", "may be late")
        else ""
    )


# --- goes off soon ---------------------------------------------------------------------------------------


def batches_ending(board: Board, stations: tuple[str, ...]) -> list[Expiring]:
    return [ending for ending in board.expiring if ending.batch.station in stations]


def goes_off(board: Board, stations: tuple[str, ...], said: RowCache | None = None) -> tuple[Row, ...]:
    """Rows of the batches that end soon, the first to end first."""
    said = said or RowCache()
    return tuple(said.row(ending, partial(_ending_row, board, ending)) for ending in batches_ending(board, stations))


def _ending_row(board: Board, ending: Expiring) -> Row:
    voice, batch = voice_of(board), ending.batch
    over = batch.use_by is not None and batch.use_by <= board.now
    tone: Tone = "plain"
    word = ""
    when = last_moment(voice, batch.use_by)
    if over:
        # In the first column, which gives way to nothing: no screen is so narrow that this could go missing.
        when, word, tone = _("discard"), voice.good_to(batch.use_by), "discard"
    elif batch.blocked:
        when, word, tone = _("blocked"), _("do not use: {why}").format(why=_(batch.blocked)), "discard"
    elif batch.to_relabel:
        word, tone = voice.relabel(batch), "strong"
    elif ending.use_first:
        word, tone = _("use first"), "strong" if _ends_today(voice, batch.use_by) else "plain"
    if not over and not batch.blocked:
        word = listed((voice.plates_to(batch), word))
    return Row(
        key=batch.code,
        when=when,
        what=batch_name(batch.prep, batch.name, voice),
        amount=voice.left(batch),
        words=f"{batch.code}  {word}".rstrip(),
        extra="",
        tone=tone,
    )


def _ends_today(voice: Voice, use_by: datetime | None) -> bool:
    tomorrow = voice.days.business_day(voice.now) + timedelta(days=1)
    return use_by is not None and use_by <= voice.days.opens(tomorrow)


def last_moment(voice: Voice, use_by: datetime | None) -> str:
    """The last moment it is good: "22:00", "tonight" (to midnight), "Sun" (to the midnight that ends it)."""
    if use_by is None:
        return ""
    last_day = voice.days.local(use_by).date() - timedelta(days=1)
    if use_by != voice.days.midnight_after(last_day):
        return voice.time(use_by)
    if last_day == voice.days.business_day(voice.now):
        return _("tonight")
    return near_day(voice.days, last_day, voice.now)
