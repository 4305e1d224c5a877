"""What is different today, as words and as objects; what a new book has lost is shown with its id, and says so."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from prepboard.paper.text.heading import Section
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, near_day
from prepboard.paper.text.shape import Shape
from prepboard.plan.board import Board
from prepboard.plan.shown.day_lines import Change
from prepboard.texts import _, some


def today(board: Board, width: int) -> Section:
    voice = Voice.of(board)
    rows = [
        Row(
            (
                near_day(voice.days, change.day, voice.now),
                _name(change.what, voice),
                _WORDS[change.kind](change, voice),
                "" if change.known else _("no longer in the book"),
            )
        )
        for change in board.changes
    ]
    return section(_("DIFFERENT FROM THE BOOK"), table(rows, "<<<<", width), _("All is as the book has it."), width)


def objects(board: Board, shape: Shape) -> list[dict[str, Any]]:
    """One object for each change; a word that does not apply is null."""
    return [
        {
            "kind": change.kind,
            "day": shape.day(change.day),
            "what": change.what,
            "of": change.of or None,
            "n": None if change.kind == "portion" else change.n,
            "amount": shape.amount(change.what, change.n or 0) if change.kind == "portion" else None,
            "at": shape.at(change.at),
            "why": plain(change.why),
            "known": change.known,
        }
        for change in board.changes
    ]


def _name(what: str, voice: Voice) -> str:
    book = voice.book
    for known in (book.stations, book.equipment, book.services):
        if what in known:
            return plain(known[what].name)
    return voice.name(what)


def _missing(change: Change, voice: Voice) -> str:
    if change.at is None:
        return _("missing, and nobody knows until when")
    return _("missing until {time}").format(time=voice.time(change.at))


_WORDS: Mapping[str, Callable[[Change, Voice], str]] = {
    "hands": lambda change, voice: some("{n} cook", "{n} cooks", change.n or 0),
    "equipment": lambda change, voice: some("{n} place works", "{n} places work", change.n or 0),
    "given": lambda change, voice: _("made by {station}").format(station=voice.station(change.of)),
    "missing": _missing,
    "portion": lambda change, voice: _("{amount} on a plate of {dish}").format(
        amount=voice.amount(change.what, change.n or 0), dish=voice.name(change.of)
    ),
    "added": lambda change, voice: _("added"),
    "cancelled": lambda change, voice: _("cancelled"),
    "special": lambda change, voice: _("a special day"),
    "taken off": lambda change, voice: _("86, taken off: {why}").format(why=plain(change.why)),
}
