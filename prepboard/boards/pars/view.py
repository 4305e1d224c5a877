"""What the sous chef's board says: its three lists, and what a save would cost. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Literal

from msgspec import Struct

from prepboard.boards.pars.clash_words import SetBy, clash_words
from prepboard.boards.pars.drafting import Drafting
from prepboard.boards.pars.late_rows import NOBODY_TRIED, late, too_late
from prepboard.boards.pars.mix_rows import dishes
from prepboard.boards.pars.rows import PARS, Table, pars
from prepboard.boards.pars.saving_words import Line, if_you_save, under_heading
from prepboard.boards.pars.services_rows import services, sitting_key, sittings_of
from prepboard.boards.pars.today_rows import today
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.columns import ColumnRow
from prepboard.boards.widgets.row import Piece
from prepboard.paper.text.saying import near_day
from prepboard.plan.board import Board
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import Sitting
from prepboard.texts import _, some

Lists = Literal["pars", "dishes", "today"]
"""What the middle list shows."""


class Part(Struct, frozen=True):
    """A list with its heading; `aside` stands at its right, as far as there is room."""

    heading: str
    aside: tuple[str, ...]
    table: Table
    empty: str


class Cost(Struct, frozen=True):
    """What stands under the lists."""

    heading: str
    said: tuple[Line, ...]

    def lines(self, width: int, most: int) -> list[list[Piece]]:
        return under_heading(self.heading, self.said, width, most)


class View(Struct, frozen=True):
    """`sittings` is by the keys of the services' rows."""

    sittings: Mapping[str, Sitting]
    parts: tuple[Part, Part, Part]
    cost: Cost


def view(
    before: Board,
    preview: Board,
    drafting: Drafting,
    set_by: SetBy,
    chosen: str | None,
    which: Lists,
    helped: Mapping[str, str] = NOBODY_TRIED,
) -> View:
    """The board for the sitting chosen, as it would be with what is typed."""
    sittings = {sitting_key(sitting): sitting for sitting in sittings_of(before, preview)}
    sitting = sittings.get(chosen or "") or next(iter(sittings.values()), None)
    return View(
        sittings,
        (
            Part(_("SERVICES"), (), services(before, preview, drafting.draft), _("No service lies ahead.")),
            _numbers(before, preview, drafting, sitting, which),
            _late(preview, helped),
        ),
        _cost(before, preview, drafting, set_by, sitting),
    )


def _numbers(before: Board, preview: Board, drafting: Drafting, sitting: Sitting | None, which: Lists) -> Part:
    if sitting is None:
        return Part(_("PARS"), (), ((), ()), _("No service lies ahead, and no prep has a standing par."))
    named = service_name(preview, sitting)
    if which == "today":
        day = near_day(voice_of(preview).days, sitting[1], preview.now).upper()
        table = today(before, preview, drafting.draft, sitting[1])
        heading = _("DIFFERENT ON {day}").format(day=day)
        return Part(heading, (_("right: the pars"),), table, _("All is as the book has it."))
    if which == "dishes":
        table = dishes(before, preview, drafting.draft, sitting)
        heading = _("DISHES OF {service}").format(service=named.upper())
        return Part(heading, (_("left: its pars"),), table, _("No dish is on this service."))
    heading = _("PARS FOR {service}").format(service=named.upper())
    table = pars(before, preview, drafting.draft, sitting)
    return Part(heading, (), table, _("No prep has a par for this service."))


def service_name(board: Board, sitting: Sitting) -> str:
    voice = voice_of(board)
    if sitting[0]:
        return voice.service(*sitting)
    return _("{day}, no service").format(day=near_day(voice.days, sitting[1], voice.now))


def _late(preview: Board, helped: Mapping[str, str]) -> Part:
    table = late(preview, helped)
    n = len(too_late(preview))
    probes = len(table[1]) - n
    heading = _("PROBES DUE, AND TOO LATE") if probes else _("TOO LATE")
    aside = (some("{n} line", "{n} lines", n),) if n else ()
    return Part(heading, aside, table, _("Nothing is too late."))


def _cost(before: Board, preview: Board, drafting: Drafting, set_by: SetBy, sitting: Sitting | None) -> Cost:
    if not drafting.draft:
        return Cost(
            _("NOTHING TYPED"), ((_("Type a number on a line; all moves at once, and is saved with enter."), "dim"),)
        )
    said: list[Line] = []
    for changes in drafting.clashes(before.state):
        name, mine, theirs = clash_words(before, changes, set_by)
        text = _("changed meanwhile: {name} is {theirs}, you typed {mine}; enter asks which counts")
        said.append((text.format(name=name, theirs=theirs, mine=mine), "strong"))
    said += if_you_save(before, preview, sitting)
    return Cost(_("IF YOU SAVE"), tuple(said))


def number_of(row: ColumnRow | None, kind: str, sitting: Sitting | None, day: date | None) -> Number | None:
    """The number that is meant on a row; `kind` says which of several, "" for the row's own. `day` is the business
    day on which a prep that is given away would be made."""
    if kind == "percent":
        return Number("percent", sitting) if sitting and sitting[0] else None
    number = row.number if row else None
    if number is None or not kind:
        return number
    if number.of in PARS:
        on = str(sitting[1].weekday()) if sitting else ""
        others = {
            "standing par": Number("standing par", item=number.item),
            "weekday par": Number("weekday par", item=number.item, on=on),
            "given": Number("given", item=number.item, day=day),
        }
        return others.get(kind)
    if number.of == "mix":
        others = {"count": Number("count", sitting, number.item), "off": Number("off", sitting, number.item)}
        return others.get(kind)
    return number if number.of == kind else None
