"""From the close's lists to the rows of its board. Pure: a board, benches and what was counted in, sections out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from msgspec.structs import replace

from prepboard.boards.closing.signing import (
    ToSign,
    Unread,
    how_many,
    how_many_not_shown,
    how_many_to_sign,
    name_of,
    sign_rows,
    signing,
    unread,
)
from prepboard.boards.rows.handover_rows import missed_today, open_tasks, tasks
from prepboard.boards.rows.lists import last_moment, make_row, voice_of
from prepboard.boards.rows.not_for import not_for, not_for_row
from prepboard.boards.rows.station_view import Section, Title, clock_text
from prepboard.boards.widgets.row import Row, Tone, fit, in_brief
from prepboard.paper.text.only import only_closing
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.leftovers.closing import to_count
from prepboard.plan.leftovers.pulling import by_item
from prepboard.plan.shown.closing_lines import CarryOver, Closing, Parting
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import MakeLine, Pull
from prepboard.texts import _, decimal

NAMES = ("start-tonight", "count", "decide", "pull", "tasks", "sign", "carry-over")
"""The parts of the close from top to bottom. `count` is the walk: what is good is counted, what is not is thrown away
where it stands."""

PATH = ("count", "decide", "pull", "tasks", "sign")
"""The parts that open one after the other."""

PLACE = 14
"""Cells for a place's name at the left of the walk; an opened box says all of it."""

DUE = timedelta(minutes=15)
"""A start so near comes before the walk."""


def lists_of(board: Board, stations: Collection[str]) -> Closing:
    """The close of these benches; of the whole kitchen where none is named."""
    return only_closing(board.closing, board.state.book, stations) if stations else board.closing


def uncounted(board: Board, closing: Closing, counted: Collection[str]) -> list[Batch]:
    """What is still to be counted, as the walk goes."""
    return _walked(board, [batch for batch in to_count(closing) if batch.code not in counted])


def walk(board: Board, closing: Closing, counted: Collection[str]) -> list[Batch]:
    """One walk through fridges and shelves: what is to be counted and what is to be thrown away, place by place where
    places are written, in a place station by station, the first to end first."""
    return _walked(board, [*(line.batch for line in closing.discard), *uncounted(board, closing, counted)])


def _walked(board: Board, batches: Iterable[Batch]) -> list[Batch]:
    book = board.state.book
    places = {place: at for at, place in enumerate(book.places)}
    stations = {station: at for at, station in enumerate(book.stations)}

    def order(batch: Batch) -> tuple[int, int, bool, datetime, str]:
        return (
            places.get(batch.place, len(places)),
            stations.get(batch.station, len(stations)),
            batch.use_by is None,
            batch.use_by or batch.made_at,
            batch.code,
        )

    return sorted(batches, key=order)


def title(board: Board, stations: Collection[str], counted: Collection[str], by: str, *, clock_by_hand: bool) -> Title:
    """Whose close it is, when it is, and what is still open in it."""
    voice, closing = voice_of(board), lists_of(board, stations)
    when = clock_text(voice, board.now)
    if clock_by_hand or board.state.clock_set_by_hand:
        when = _("{clock}, clock set by hand").format(clock=when)
    open_still = listed(
        (
            how_many("{n} to count", len(uncounted(board, closing, counted))),
            how_many("{n} to bin", len(closing.discard)),
            how_many("{n} to decide", len(closing.decide)),
        )
    )
    whose = " + ".join((_("CLOSING"), *(voice.station(station).upper() for station in stations)))
    return Title(whose, when, open_still or _("nothing is open"), by)


def sections(board: Board, stations: Collection[str], counted: Collection[str]) -> tuple[Section, ...]:
    """The lists of the close, named as in NAMES."""
    voice, closing = voice_of(board), lists_of(board, stations)
    basis = _("by {rules}").format(rules=board.state.book.kitchen.rules.named)
    stands = {line.batch.code: line for line in closing.discard}
    late = {str(line.line) for line in not_for(board)}
    starts = tuple(line for line in closing.start_tonight if str(line.line) not in late)
    folded = not_for_row(board, voice, not_for(board, stations))
    return (
        Section(
            "start-tonight",
            _("START TONIGHT"),
            (_next_start(voice, starts) if starts else _("Nothing starts tonight."),),
            (
                *(make_row(board, line, tuple(board.state.book.stations)) for line in starts),
                *([folded] if folded else ()),
            ),
            _("Nothing starts tonight."),
            folded=(folded.key,) if folded else (),
        ),
        Section(
            "count",
            _("COUNT AND BIN"),
            (how_many("{n} to bin", len(stands)), _cost(closing.discard), _("frozen not counted"), basis),
            tuple(_walk_rows(board, walk(board, closing, counted), stands)),
            _("All is counted, nothing is to bin."),
        ),
        Section(
            "decide",
            _("DECIDE"),
            (_cost(closing.decide), _("freeze, staff meal, bin, keep (sous)")),
            tuple(_decide_row(voice, line) for line in closing.decide),
            _("Nothing to decide."),
        ),
        Section(
            "pull",
            _("PULL"),
            (),
            tuple(_pull_row(voice, line) for line in by_item(closing.pull)),
            _("Nothing to pull."),
        ),
        Section(
            "tasks",
            _("TASKS"),
            missed_today(board, stations_of(board, stations)),
            tuple(row for _task, row in tasks(board, stations_of(board, stations))),
            _("No task is open."),
        ),
        Section(
            "sign",
            _("SIGN"),
            (how_many_to_sign(board, stations), how_many_not_shown(board, stations)),
            tuple(sign_rows(board, closing, stations, counted)),
            _("Nothing to sign."),
        ),
        Section(
            "carry-over",
            _("CARRIES OVER"),
            (basis,),
            tuple(_carried_row(voice, line) for line in closing.carry_over),
            _("Nothing carries over."),
        ),
    )


def left_in(section: Section, rows: Sequence[Row]) -> tuple[str, ...]:
    """What stands beside a part's heading: how many of its `rows` are left to see to, and what the part says."""
    to_do = sum(row.key not in section.folded for row in rows)
    number = (f"{to_do}",) if to_do and section.name != "sign" else ()
    return tuple(filter(None, (*number, *section.aside))) if rows else (section.empty,)


def stations_of(board: Board, stations: Collection[str]) -> tuple[str, ...]:
    """The benches that are closed here: all of the book where none is named."""
    return tuple(stations) or tuple(board.state.book.stations)


def due_start(board: Board, stations: Collection[str]) -> bool:
    """Whether something must begin now, before anybody walks through the fridges."""
    return any(line.begins <= board.now + DUE for line in lists_of(board, stations).start_tonight)


def _next_start(voice: Voice, starts: Sequence[MakeLine]) -> str:
    """The next start in a few words: it stays in sight whatever part is open."""
    first = min(starts, key=lambda line: line.begins)
    said = _("next: {time} {prep}")
    return said.format(time=voice.time(first.begins), prep=voice.name(first.prep))


def _walk_rows(board: Board, batches: Iterable[Batch], gone: Mapping[str, Parting]) -> Iterator[Row]:
    """The place stands where its boxes begin, as on a kitchen's paper; where none is written, the bench."""
    voice, place = voice_of(board), None
    for batch in batches:
        known = board.state.book.places.get(batch.place)
        where = fit(known.name, PLACE).rstrip() if known else voice.station(batch.station)
        when, place = ("" if where == place else where), where
        bench = voice.station(batch.station) if known else ""
        if line := gone.get(batch.code):
            yield _gone_row(voice, line, when, bench)
            continue
        yield Row(
            key=batch.code,
            when=when,
            what=name_of(voice, batch),
            amount=voice.left(batch),
            words=f"{batch.code}  {voice.relabel(batch) or voice.good_to(batch.use_by)}",
            extra=bench,
            tone="strong" if batch.to_relabel else "plain",
            stands=str(batch.left),
        )


def _gone_row(voice: Voice, line: Parting, when: str, bench: str) -> Row:
    """What may not be used any more, with the reason for the bin."""
    batch = line.batch
    why = _("expired {end}: bin it")
    if line.note.kind == "blocked":
        why = _("do not use, {why}: bin it")
    end = voice.end(batch.use_by) if batch.use_by else ""
    said = why.format(end=end, why=_(str(line.note.facts.get("why", ""))))
    return replace(_batch_row(voice, batch, when, said, "discard"), extra=bench)


def _decide_row(voice: Voice, line: Parting) -> Row:
    at = line.note.facts.get("at")
    wanted = _("next needed {time}").format(time=voice.time(at)) if isinstance(at, datetime) else _("nothing needs it")
    fresh = line.note.facts.get("fresh")
    if isinstance(fresh, datetime):
        wanted = _("for plates to {time}").format(time=voice.time(fresh))
    freezes = _("the freezer gains days") if line.freezes else ""
    wanted = listed((voice.relabel(line.batch), wanted, freezes))
    return _batch_row(voice, line.batch, last_moment(voice, line.batch.use_by), wanted, "plain")


def _carried_row(voice: Voice, line: CarryOver) -> Row:
    frozen = line.batch.store == "frozen"
    when = _("frozen") if frozen else last_moment(voice, line.batch.use_by)
    words = listed((voice.relabel(line.batch), _("use first") if line.use_first else ""))
    return _batch_row(voice, line.batch, when, words, "strong" if line.use_first else "plain")


def _batch_row(voice: Voice, batch: Batch, when: str, words: str, tone: Tone) -> Row:
    return Row(
        key=batch.code,
        when=when,
        what=name_of(voice, batch),
        amount=in_brief(voice.left(batch)),
        words=f"{batch.code}  {words}".rstrip(),
        tone=tone,
        stands=str(batch.left),
    )


def _cost(lines: Iterable[Parting]) -> str:
    """What a list cost to make, as far as prices are known."""
    total = sum((line.cost for line in lines if line.cost), Fraction(0))
    return _("cost {money}").format(money=decimal(f"{float(total):.2f}")) if total else ""


def _pull_row(voice: Voice, line: Pull) -> Row:
    where = _("from the freezer") if line.frozen else ""
    return Row(
        key=pull_key(line),
        when=_("now") if line.late else voice.time(line.take_out_at),
        what=voice.name(line.item),
        amount=voice.amount(line.item, line.as_bought),
        words=where,
        extra=_("for {preps}").format(preps=listed(voice.name(prep) for prep in line.serves)),
        tone="strong" if line.late else "plain",
    )


def pull_key(line: Pull) -> str:
    return f"pull {line.item}"


Shown = Parting | CarryOver | MakeLine | Pull | ToSign | Unread | TaskLine


def find(board: Board, stations: Collection[str], name: str, key: str) -> Shown | None:
    """What a row of one of the lists stands for; None when the close has lost it."""
    closing = lists_of(board, stations)
    if name == "sign" and key == Unread.key:
        return unread(board, stations)
    if name == "sign":
        return next((line for line in signing(board, stations) if line.key == key), None)
    batches: tuple[Parting | CarryOver, ...] = (*closing.discard, *closing.decide, *closing.carry_over)
    if name == "start-tonight":
        return next((line for line in closing.start_tonight if str(line.line) == key), None)
    if name == "tasks":
        return open_tasks(board).get(key)
    if name == "pull":
        return next((line for line in by_item(closing.pull) if pull_key(line) == key), None)
    return next((line for line in batches if line.batch.code == key), None)
