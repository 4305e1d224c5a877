"""Bring to the line: the rows of what a bench fetches from where, and what an opened one says. Pure."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Piece, Row
from prepboard.paper.lists.bringing import place_name
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.saying import Voice, listed
from prepboard.paper.text.sittings import sitting_ahead
from prepboard.plan.shown.lines import Bring
from prepboard.texts import _, some

if TYPE_CHECKING:
    from prepboard.plan.board import Board

BEFORE = timedelta(hours=1)
"""So long before all must stand at the line the board says that there is something to bring."""


def bring_key(line: Bring) -> str:
    return f"bring {line.station} {line.item} {line.batch}"


def to_bring(board: Board) -> dict[str, Bring]:
    """What all benches bring, by the keys of their rows."""
    return {bring_key(line): line for line in board.bring}


def rows(board: Board, stations: tuple[str, ...]) -> tuple[Row, ...]:
    """What these benches fetch, place by place as they go: what is not there yet comes last."""
    mine = [line for line in board.bring if line.station in stations]
    places = list(dict.fromkeys(line.place for line in mine if line.place))
    order = {place: at for at, place in enumerate(places)}
    return tuple(_row(board, line) for line in sorted(mine, key=lambda line: order.get(line.place, len(order))))


def _row(board: Board, line: Bring) -> Row:
    voice = voice_of(board)
    end = voice.good_to(line.use_by) if line.batch else ""
    return Row(
        key=bring_key(line),
        when=place_name(line, voice),
        what=voice.name(line.item),
        amount=voice.amount(line.item, line.as_bought),
        words=f"{line.batch}  {end}".strip(),
        tone="plain" if line.place else "strong",
    )


def heading(board: Board) -> str:
    """As on paper: by when, and for which service; "" where no service is near."""
    voice, sitting = voice_of(board), sitting_ahead(board)
    if sitting is None:
        return _("BRING TO THE LINE")
    return _("BRING TO THE LINE BY {time}, FOR {service}").format(
        time=voice.time(sitting.set_by), service=voice.service(sitting.service, sitting.day).upper()
    )


def reminder(board: Board, stations: tuple[str, ...]) -> str:
    """That it is time to bring, from an hour before it must stand there until the service starts; else "".

    Once the service runs the line stands, and the list can still be looked at by its key.
    """
    sitting = sitting_ahead(board)
    mine = [line for line in board.bring if line.station in stations]
    if not mine or sitting is None or sitting.running or board.now < sitting.set_by - BEFORE:
        return ""
    things = some("{n} thing to bring", "{n} things to bring", len(mine))
    return _("{things} to the line by {time}: f").format(things=things, time=voice_of(board).time(sitting.set_by))


def bring_lines(board: Board, stations: tuple[str, ...], width: int) -> list[list[Piece]]:
    """The reminder as lines of at most `width` cells; none when there is nothing to say."""
    said = reminder(board, stations)
    return [[(f" {line}", "strong")] for line in wrap(said, width - 2)] if said else []


def bring_page(board: Board, voice: Voice, line: Bring) -> tuple[str, list[tuple[str, list[str]]]]:
    """An opened line of what has no batch: how much from where, and the plates that it is for."""
    title = f"{voice.name(line.item)}   {voice.amount(line.item, line.as_bought)}"
    where = listed((place_name(line, voice), _("to the line by {time}").format(time=voice.time(line.at))))
    plates = [
        _("{dish}: {amount} on a plate").format(dish=dish.name, amount=voice.amount(line.item, dish.plate[line.item]))
        for dish in board.state.book.dishes.values()
        if line.item in dish.plate
    ]
    return title, [("", [where]), (_("ON THE PLATE"), plates)]
