"""From the close's lists to the rows of its board. Pure: a board, benches and what was counted in, sections out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from datetime import date, datetime
from fractions import Fraction

from msgspec import Struct

from prepboard.boards.rows.lists import last_moment, make_row, voice_of
from prepboard.boards.rows.station_view import Section, Title, clock_text
from prepboard.boards.widgets.row import Row, Tone, in_brief
from prepboard.paper.text.only import only_closing
from prepboard.paper.text.saying import Voice, listed, near_day
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.leftovers.closing import to_count
from prepboard.plan.shown.closing_lines import CarryOver, Closing, Parting
from prepboard.plan.shown.lines import MakeLine, Pull
from prepboard.texts import _, some

NAMES = ("count", "discard", "decide", "carry-over", "start-tonight", "pull", "sign")
"""The lists from top to bottom, in the order in which a close is worked through."""


def lists_of(board: Board, stations: Collection[str]) -> Closing:
    """The close of these benches; of the whole kitchen where none is named."""
    return only_closing(board.closing, board.state.book, stations) if stations else board.closing


def uncounted(board: Board, closing: Closing, counted: Collection[str]) -> list[Batch]:
    """What is still to be counted, station by station, the first to end first."""
    places = {station: place for place, station in enumerate(board.state.book.stations)}
    left = [batch for batch in to_count(closing) if batch.code not in counted]
    return sorted(left, key=lambda batch: places.get(batch.station, len(places)))


def title(board: Board, stations: Collection[str], counted: Collection[str], by: str, *, clock_by_hand: bool) -> Title:
    """Whose close it is, when it is, and what is still open in it."""
    voice, closing = voice_of(board), lists_of(board, stations)
    when = clock_text(voice, board.now)
    if clock_by_hand or board.state.clock_set_by_hand:
        when = _("{clock}, clock set by hand").format(clock=when)
    open_still = listed(
        (
            _some("{n} to count", len(uncounted(board, closing, counted))),
            _some("{n} to discard", len(closing.discard)),
            _some("{n} to decide", len(closing.decide)),
        )
    )
    whose = " + ".join((_("CLOSING"), *(voice.station(station).upper() for station in stations)))
    return Title(whose, when, open_still or _("nothing is open"), by)


def _some(text: str, number: int) -> str:
    return some(text, text, number) if number else ""


def sections(board: Board, stations: Collection[str], counted: Collection[str]) -> tuple[Section, ...]:
    """The lists of the close, named as in NAMES."""
    voice, closing = voice_of(board), lists_of(board, stations)
    basis = _("by {rules}").format(rules=board.state.book.kitchen.rules.title)
    count = tuple(_count_rows(voice, uncounted(board, closing, counted)))
    return (
        Section("count", _("COUNT"), (_("frozen not counted"),), count, _("All is counted.")),
        Section(
            "discard",
            _("DISCARD"),
            (_cost(closing.discard), basis),
            tuple(_discard_row(voice, line) for line in closing.discard),
            _("Nothing to discard."),
        ),
        Section(
            "decide",
            _("DECIDE"),
            (_cost(closing.decide), _("freeze, staff meal, discard, keep (sous)")),
            tuple(_decide_row(voice, line) for line in closing.decide),
            _("Nothing to decide."),
        ),
        Section(
            "carry-over",
            _("CARRY OVER"),
            (basis,),
            tuple(_carried_row(voice, line) for line in closing.carry_over),
            _("Nothing carries over."),
        ),
        Section(
            "start-tonight",
            _("START TONIGHT"),
            (),
            tuple(make_row(board, line, tuple(board.state.book.stations)) for line in closing.start_tonight),
            _("Nothing starts tonight."),
        ),
        Section(
            "pull",
            _("PULL"),
            (),
            tuple(_pull_row(voice, line) for line in closing.pull),
            _("Nothing to pull."),
        ),
        Section(
            "sign",
            _("SIGN"),
            (_to_sign(board, stations),),
            tuple(_sign_row(board, closing, counted, line) for line in signing(board, stations)),
            _("Nothing to sign."),
        ),
    )


def _name(voice: Voice, batch: Batch) -> str:
    return voice.name(batch.prep) if batch.prep else batch.name


def _count_rows(voice: Voice, batches: Iterable[Batch]) -> Iterator[Row]:
    """The station stands where its batches begin, as on a kitchen's paper."""
    station = None
    for batch in batches:
        yield Row(
            key=batch.code,
            when="" if batch.station == station else voice.station(batch.station),
            what=_name(voice, batch),
            amount=voice.left(batch),
            words=f"{batch.code}  {voice.good_to(batch.use_by)}",
        )
        station = batch.station


def _discard_row(voice: Voice, line: Parting) -> Row:
    """With the moment at which it ended on the left, as on paper."""
    batch = line.batch
    if line.note.kind == "blocked":
        return _batch_row(voice, batch, _("blocked"), str(line.note.facts.get("why", "")), "discard")
    when, why = last_moment(voice, batch.use_by), _("past use-by, {store}").format(store=_(batch.store))
    return _batch_row(voice, batch, when, why, "discard")


def _decide_row(voice: Voice, line: Parting) -> Row:
    at = line.note.facts.get("at")
    wanted = _("next needed {time}").format(time=voice.time(at)) if isinstance(at, datetime) else _("nothing needs it")
    return _batch_row(voice, line.batch, last_moment(voice, line.batch.use_by), wanted, "plain")


def _carried_row(voice: Voice, line: CarryOver) -> Row:
    frozen = line.batch.store == "frozen"
    when = _("frozen") if frozen else last_moment(voice, line.batch.use_by)
    words = _("use first") if line.use_first else ""
    return _batch_row(voice, line.batch, when, words, "strong" if line.use_first else "plain")


def _batch_row(voice: Voice, batch: Batch, when: str, words: str, tone: Tone) -> Row:
    return Row(
        key=batch.code,
        when=when,
        what=_name(voice, batch),
        amount=in_brief(voice.left(batch)),
        words=f"{batch.code}  {words}".rstrip(),
        tone=tone,
    )


def _cost(lines: Iterable[Parting]) -> str:
    """What a list cost to make, as far as prices are known."""
    total = sum((line.cost for line in lines if line.cost), Fraction(0))
    return _("cost {money}").format(money=f"{float(total):.2f}") if total else ""


def _pull_row(voice: Voice, line: Pull) -> Row:
    where = _("from the freezer") if line.frozen else ""
    return Row(
        key=pull_key(line),
        when=voice.time(line.take_out_at),
        what=voice.name(line.item),
        amount=voice.amount(line.item, line.as_bought),
        words=listed((voice.urgency(line.take_out_at) if line.late else "", where)),
        extra=_("for {preps}").format(preps=listed(voice.name(prep) for prep in line.serves)),
        tone="late" if line.late else "plain",
    )


def pull_key(line: Pull) -> str:
    return f"pull {line.item} {line.take_out_at.isoformat()}"


class ToSign(Struct, frozen=True):
    """A station's sign-off of a business day's close; `by` is who signed it, empty while it is open."""

    day: date
    station: str
    by: str

    @property
    def key(self) -> str:
        return f"sign {self.day.isoformat()} {self.station}"


def signing(board: Board, stations: Collection[str]) -> tuple[ToSign, ...]:
    """Tonight's close, station by station, then what earlier ones left open, the last first."""
    today = board.state.book.kitchen.days.business_day(board.now)
    mine = [station for station in board.state.book.stations if not stations or station in stations]
    earlier = [
        ToSign(close.day, station, "")
        for close in reversed(board.open_closes)
        for station in close.stations
        if station in mine and close.day != today
    ]
    tonight = [ToSign(today, station, board.state.signed.get((today, station), "")) for station in mine]
    return (*tonight, *earlier)


def _to_sign(board: Board, stations: Collection[str]) -> str:
    """How many are not signed: tonight's, and what was left open before."""
    today = board.state.book.kitchen.days.business_day(board.now)
    lines = [line for line in signing(board, stations) if not line.by]
    tonight = sum(line.day == today for line in lines)
    return listed((_some("{n} tonight", tonight), _some("{n} left open before", len(lines) - tonight)))


def _sign_row(board: Board, closing: Closing, counted: Collection[str], line: ToSign) -> Row:
    voice = voice_of(board)
    own = [one for one in uncounted(board, closing, counted) if one.station == line.station]
    gone = [one for one in closing.discard if one.batch.station == line.station]
    open_still = listed((_some("{n} to discard", len(gone)), _some("{n} to count", len(own))))
    today = line.day == board.state.book.kitchen.days.business_day(board.now)
    words = _("signed, {by}").format(by=line.by) if line.by else open_still or _("ready to sign")
    return Row(
        key=line.key,
        when=_("tonight") if today else near_day(voice.days, line.day, voice.now),
        what=voice.station(line.station),
        words=words if today else _("left open"),
        tone="dim" if line.by else "plain",
    )


Shown = Parting | CarryOver | MakeLine | Pull | ToSign


def find(board: Board, stations: Collection[str], name: str, key: str) -> Shown | None:
    """What a row of one of the lists stands for; None when the close has lost it."""
    closing = lists_of(board, stations)
    if name == "sign":
        return next((line for line in signing(board, stations) if line.key == key), None)
    batches: tuple[Parting | CarryOver, ...] = (*closing.discard, *closing.decide, *closing.carry_over)
    if name == "start-tonight":
        return next((line for line in closing.start_tonight if str(line.line) == key), None)
    if name == "pull":
        return next((line for line in closing.pull if pull_key(line) == key), None)
    return next((line for line in batches if line.batch.code == key), None)
