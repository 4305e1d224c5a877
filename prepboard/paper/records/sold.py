"""What past sittings sold, for people and for a spreadsheet: the very table that `history import` reads."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Protocol

from prepboard.book.book import Book
from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, long_day
from prepboard.paper.text.shape import Json
from prepboard.texts import _


class Sold(Protocol):
    """Plates of one dish at one sitting; `covers` None where only the book says how many."""

    @property
    def day(self) -> date: ...
    @property
    def service(self) -> str: ...
    @property
    def dish(self) -> str: ...
    @property
    def plates(self) -> int: ...
    @property
    def covers(self) -> int | None: ...


def objects(lines: Iterable[Sold], book: Book) -> list[Json]:
    """The lines for scripts; covers that nobody counted or booked are the book's, or null."""
    return [
        {
            "day": line.day.isoformat(),
            "service": line.service,
            "dish": line.dish,
            "plates": line.plates,
            "covers": _covers(line, book),
        }
        for line in lines
    ]


def _covers(line: Sold, book: Book) -> int | None:
    service = book.services.get(line.service)
    return service.covers.on(line.day) if line.covers is None and service else line.covers


def sold(lines: Iterable[Json], voice: Voice, width: int) -> Section:
    drawn = []
    for line in lines:
        named = voice.book.services.get(line["service"])
        covers = _("{n} covers").format(n=line["covers"]) if line["covers"] is not None else ""
        service = plain(named.name if named else line["service"])
        cells = (long_day(date.fromisoformat(line["day"])), service, voice.name(line["dish"]), str(line["plates"]))
        drawn.append(Row((*cells, covers)))
    return section(_("PLATES"), table(drawn, "<<<>>", width), _("Nothing was sold in that time."), width)
