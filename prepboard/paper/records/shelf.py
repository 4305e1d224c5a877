"""What is on the shelves, for people and for a spreadsheet: the very table that `import stock` reads."""

from __future__ import annotations

from collections.abc import Iterable

from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice
from prepboard.paper.text.shape import Json, Shape
from prepboard.plan.given.state import Batch, State
from prepboard.texts import _


def objects(state: State, voice: Voice, station: str, *, to_fill: bool = False) -> list[Json]:
    """A line for each batch that is there, and one without a batch for each prep of which none is: its amount is 0, and
    nothing in a table that is `to_fill` in."""
    shape, lines = Shape(voice), []
    for prep in state.book.preps.values():
        if station not in ("", prep.station):
            continue
        there = [batch for batch in state.batches if batch.prep == prep.id and not batch.pack]
        lines += [_of_batch(batch, shape) for batch in there] or [_none(prep.id, prep.station, voice, to_fill)]
    return lines


def _of_batch(batch: Batch, shape: Shape) -> Json:
    return {
        "prep": batch.prep,
        "name": shape.voice.name(batch.prep),
        "station": batch.station,
        "batch": batch.code,
        "amount": shape.left_of(batch),
        "made_at": shape.at(batch.made_at),
        "use_by": shape.at(batch.use_by),
        "place": batch.place,
    }


def _none(prep: str, station: str, voice: Voice, to_fill: bool) -> Json:
    shown: Json = dict.fromkeys(("batch", "amount", "made_at", "use_by", "place"))
    # Whoever fills the table in sees what a number in it will be of.
    shown["amount"] = {"amount": None if to_fill else 0, "unit": voice.book.measure(prep).unit}
    return {"prep": prep, "name": voice.name(prep), "station": station, **shown}


def stock(state: State, voice: Voice, station: str, width: int) -> Section:
    rows = [
        Row(
            (
                voice.name(batch.prep),
                batch.code,
                voice.amount(batch.prep, batch.left),
                _("made {when}").format(when=voice.time(batch.made_at)),
                plain(voice.name(batch.place)),
            )
        )
        for batch in _in_book_order(state, station)
    ]
    return section(_("ON THE SHELVES"), table(rows, "<<><<", width), _("Nothing is there."), width)


def _in_book_order(state: State, station: str) -> Iterable[Batch]:
    known = state.book.preps
    there = [batch for batch in state.batches if batch.prep in known and station in ("", batch.station)]
    return sorted(there, key=lambda batch: (known[batch.prep].order, batch.made_at, batch.code))
