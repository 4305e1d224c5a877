"""What is different today, as words and as objects; what a new book has lost is shown with its id, and says so."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from prepboard.book.saying import say_duration
from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, near_day
from prepboard.paper.text.shape import Shape
from prepboard.plan.board import Board
from prepboard.plan.shown.day_lines import DayChange
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
    rows += _numbers(board, voice)
    return section(_("DIFFERENT FROM THE BOOK"), table(rows, "<<<<", width), _("All is as the book has it."), width)


def _numbers(board: Board, voice: Voice) -> list[Row]:
    """What somebody set for the services from today on: covers, fixed counts, shares, pars."""
    today = voice.days.business_day(board.now)
    rows = []
    for (service, day), set_for in sorted(board.state.tonight.items(), key=lambda item: (item[0][1], item[0][0])):
        if day < today or service not in board.state.book.services:
            continue
        said = [some("{n} cover", "{n} covers", set_for.covers)] if set_for.covers is not None else []
        said += [_("all pars {percent:+d} %").format(percent=set_for.percent)] if set_for.percent else []
        said += [f"{voice.name(dish)}: {n}" for dish, n in set_for.counts.items()]
        said += [f"{voice.name(dish)}: {float(share) * 100:.3g} %" for dish, share in set_for.shares.items()]
        said += [
            _("par {prep}: {amount}").format(prep=voice.name(prep), amount=voice.amount(prep, amount))
            for prep, amount in set_for.pars.items()
        ]
        if said:
            name = plain(board.state.book.services[service].name)
            rows.append(Row((near_day(voice.days, day, voice.now), name, "; ".join(said), "")))
    return rows


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


def _missing(change: DayChange, voice: Voice) -> str:
    if change.at is None:
        return _("missing, and nobody knows until when")
    return _("missing until {time}").format(time=voice.time(change.at))


_WORDS: Mapping[str, Callable[[DayChange, Voice], str]] = {
    "hands": lambda change, voice: some("{n} cook", "{n} cooks", change.n or 0),
    "equipment": lambda change, voice: some("{n} place works", "{n} places work", change.n or 0),
    "given": lambda change, voice: _("made by {station}").format(station=voice.station(change.of)),
    "staying": lambda change, voice: _("a cook stays from {time}, {minutes}").format(
        time=change.of, minutes=say_duration(change.n or 0)
    ),
    "missing": _missing,
    "portion": lambda change, voice: _("{amount} on a plate of {dish}").format(
        amount=voice.amount(change.what, change.n or 0), dish=voice.name(change.of)
    ),
    "added": lambda change, voice: _("added"),
    "cancelled": lambda change, voice: _("cancelled"),
    "special": lambda change, voice: _("a special day"),
    "taken off": lambda change, voice: _("86, taken off: {why}").format(why=plain(change.why)),
}
