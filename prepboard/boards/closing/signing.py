"""What is signed at the close: bench by bench, tonight's and what was left open, and what a sous chef answers for."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from datetime import date
from typing import ClassVar

from msgspec import Struct

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.hands import last_hands
from prepboard.paper.sentences.temperatures import degrees
from prepboard.paper.text.saying import Voice, listed, near_day
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.leftovers.closing import to_count
from prepboard.plan.shown.closing_lines import Closing
from prepboard.texts import _, some


def how_many(text: str, number: int) -> str:
    """A text with a number in it; nothing for none."""
    return some(text, text, number) if number else ""


def name_of(voice: Voice, batch: Batch) -> str:
    """A prep's name, or that of food which is in no book."""
    return voice.name(batch.prep) if batch.prep else batch.name


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


def how_many_to_sign(board: Board, stations: Collection[str]) -> str:
    """How many are not signed: tonight's, and what was left open before."""
    today = board.state.book.kitchen.days.business_day(board.now)
    lines = [line for line in signing(board, stations) if not line.by]
    tonight = sum(line.day == today for line in lines)
    return listed((how_many("{n} tonight", tonight), how_many("{n} left open before", len(lines) - tonight)))


def how_many_not_shown(board: Board, stations: Collection[str]) -> str:
    line = unread(board, stations)
    return how_many("cooling of {n} not shown", len(line.batches)) if line else ""


class Unread(Struct, frozen=True):
    """Food that counts though nobody showed that it cooled in time: one sous chef's initials let it count on."""

    batches: tuple[Batch, ...]

    key: ClassVar[str] = "cooling not shown"


def unread(board: Board, stations: Collection[str]) -> Unread | None:
    """Of these benches, or of all where none is named; None where somebody answered for all of it. What may not be used
    is to bin anyway."""
    found = [
        batch
        for batch in board.state.batches
        if batch.not_shown(board.now) and (not stations or batch.station in stations) and batch.answer(board.now).may
    ]
    return Unread(tuple(found)) if found else None


def names_of(board: Board, batches: Iterable[Batch]) -> str:
    """ "Fish fumet X6H; Fennel, braised M8H"."""
    voice = voice_of(board)
    return "; ".join(f"{name_of(voice, batch)} {batch.code}" for batch in batches)


def sign_rows(board: Board, closing: Closing, stations: Collection[str], counted: Collection[str]) -> Iterator[Row]:
    """What a sous chef is to answer for, then a row for each bench to sign."""
    yield from _unread_rows(board, unread(board, stations))
    for line in signing(board, stations):
        yield _sign_row(board, closing, counted, line)


def _unread_rows(board: Board, line: Unread | None) -> Iterator[Row]:
    if line is None:
        return
    yield Row(
        key=line.key,
        when=_("sous chef"),
        what=_("Cooling not shown"),
        amount=str(len(line.batches)),
        words=_("z: they count on"),
        extra=names_of(board, line.batches),
        tone="strong",
    )


def _sign_row(board: Board, closing: Closing, counted: Collection[str], line: ToSign) -> Row:
    voice = voice_of(board)
    own = [one for one in to_count(closing) if one.station == line.station and one.code not in counted]
    gone = [one for one in closing.discard if one.batch.station == line.station]
    cools = nobody_reads(board, line.station) if line.by == "" else []
    stale = [one for one in board.state.batches if one.station == line.station and one.to_relabel]
    open_still = listed(
        (
            how_many("{n} to bin", len(gone)),
            how_many("{n} to count", len(own)),
            how_many("{n} to relabel", len(stale)),
            how_many("{n} to read later", len(cools)),
        )
    )
    today = line.day == board.state.book.kitchen.days.business_day(board.now)
    words = _("signed, {by}").format(by=line.by) if line.by else open_still or _("ready to sign")
    return Row(
        key=line.key,
        when=_("tonight") if today else near_day(voice.days, line.day, voice.now),
        what=voice.station(line.station),
        words=words if today else _("left open"),
        tone="dim" if line.by else "plain",
    )


def nobody_reads(board: Board, station: str) -> list[str]:
    """What of a station cools with its next limit after the last hands have gone, in words."""
    gone = last_hands(board.state.book, board.now)
    if gone is None:
        return []
    voice, its_own = voice_of(board), {batch.code for batch in board.state.batches if batch.station == station}
    lines = [*board.watch.cooling, *board.watch.unread]
    late = [line for line in lines if line.of in its_own and line.limit.due > gone]
    said = _("{prep} {batch}: {to} by {time}, nobody here")
    return [
        said.format(prep=voice.name(one.prep), batch=one.of, to=degrees(one.to), time=voice.time(one.limit.due))
        for one in late
    ]
