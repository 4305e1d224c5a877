"""Bring to the line, on paper and for scripts: station by station, what to fetch from where."""

from __future__ import annotations

from itertools import groupby

from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, paragraph, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice
from prepboard.paper.text.shape import Json, Shape
from prepboard.paper.text.sittings import sitting_ahead
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import Bring
from prepboard.texts import _


def bring(board: Board, width: int) -> Section:
    """A section for each station, under one heading with the sitting and the time by which all of it stands there."""
    voice = Voice.of(board)
    sitting = sitting_ahead(board)
    heading = _("BRING TO THE LINE")
    if sitting:
        heading = _("BRING TO THE LINE BY {time}, FOR {service}").format(
            time=voice.time(sitting.set_by), service=voice.service(sitting.service, sitting.day).upper()
        )
    lines = ["", *paragraph(heading, width, 1)]
    if not board.bring:
        return lines + paragraph(_("Nothing to bring."), width)
    for station, mine in groupby(board.bring, key=lambda line: line.station):
        rows = table([_row(line, voice) for line in mine], "<<><<", width)
        lines += ["", *paragraph(voice.station(station).upper(), width, 1), *rows]
    return lines


def _row(line: Bring, voice: Voice) -> Row:
    place = place_name(line, voice)
    end = voice.good_to(line.use_by) if line.batch else ""
    return Row((place, voice.name(line.item), voice.amount(line.item, line.as_bought), line.batch, end))


def place_name(line: Bring, voice: Voice) -> str:
    """Where it is fetched from, or that it is not there yet."""
    if not line.place:
        return _("not made yet")
    found = voice.book.places.get(line.place)
    return plain(found.name) if found else _(line.place)


def bring_objects(board: Board, shape: Shape) -> list[Json]:
    return [
        {
            "station": line.station,
            "item": line.item,
            "kind": line.kind,
            "amount": shape.amount(line.item, line.amount),
            "as_bought": shape.amount(line.item, line.as_bought),
            "place": line.place or None,
            "batch": line.batch or None,
            "use_by": shape.at(line.use_by),
            "at": shape.at(line.at),
        }
        for line in board.bring
    ]
