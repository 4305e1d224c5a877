"""From two boards, as it stands and as it would be, to the rows of the sous chef's board. Pure."""

from __future__ import annotations

from datetime import datetime

from msgspec.structs import replace

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.columns import Cell, Column, ColumnRow
from prepboard.boards.widgets.row import in_brief
from prepboard.book.saying import say_size
from prepboard.paper.lists.pars import percent
from prepboard.paper.sentences.basis import basis
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.changing.drafts import Draft
from prepboard.plan.demand.occasions import stands_on
from prepboard.plan.demand.pars import portion
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import Sitting
from prepboard.plan.shown.lines import MakeLine, ParLine
from prepboard.texts import _

Table = tuple[tuple[Column, ...], tuple[ColumnRow, ...]]
"""Columns, and rows under them."""


PARS = frozenset({"par", "standing par", "weekday par"})


def pars_of(board: Board, sitting: Sitting) -> list[ParLine]:
    return [line for line in board.pars if (line.service, line.day) == sitting]


def pars(before: Board, preview: Board, draft: Draft, sitting: Sitting) -> Table:
    """The pars of one sitting. First what is to be made as things stand, by when it must start, then book order: no
    line moves while a number is typed. A par that a draft takes away whole stays in sight."""
    columns = (
        Column(_("prep")),
        Column(_("par"), right=True),
        Column(_("plates"), right=True, gives=2),
        Column(_("moved"), right=True, gives=8),
        Column(_("basis"), gives=7),
        Column(_("expected"), right=True, gives=1),
        Column(_("on hand"), right=True, gives=6),
        Column(_("under way"), right=True, gives=3),
        Column(_("short"), right=True, gives=4, stays=True),
        Column(_("to make, start by"), gives=5, stays=True),
    )
    olds = {line.prep: line for line in pars_of(before, sitting)}
    news = {line.prep: line for line in pars_of(preview, sitting)}
    preps = sorted({*olds, *news}, key=lambda prep: _order(before, olds.get(prep), prep))
    return columns, tuple(_par_row(preview, draft, sitting, prep, olds.get(prep), news.get(prep)) for prep in preps)


def _order(before: Board, old: ParLine | None, prep: str) -> tuple[bool, datetime, int]:
    starts = [line.begins for line in runs_for(before, old)] if old else []
    known = before.state.book.preps.get(prep)
    return not starts, min(starts, default=before.now), known.order if known else 0


def amount_about(voice: Voice, prep: str, amount: int) -> str:
    """An amount that is only expected: pieces in whole ones."""
    return in_brief(voice.about(prep, amount))


def _par_row(
    preview: Board, draft: Draft, sitting: Sitting, prep: str, old: ParLine | None, new: ParLine | None
) -> ColumnRow:
    voice = voice_of(preview)

    def much(amount: int) -> str:
        return in_brief(voice.amount(prep, amount))

    typed = any(number.of in PARS and number.item == prep and number.sitting in (None, sitting) for number in draft)
    moved = (new.par if new else 0) - (old.par if old else 0)
    par = much(new.par if new else 0)
    by_how_much = f"{'+' if moved > 0 else '−'}{much(abs(moved))}" if moved else ""
    make, brief, late = _to_make(preview, voice, new)
    name = voice.name(prep)
    short = in_brief(voice.there(prep, new.short, lacks=True)) if new and new.short else ""
    thin = bool(new and new.thin)
    missing = (_("tight, {amount} under") if thin else _("short {amount}")).format(amount=short) if short else ""
    return ColumnRow(
        f"par {prep}",
        what=name,
        amount=f"[ {par} ]" if typed else par,
        words=listed(
            ("" if thin else _("make {what}").format(what=brief) if brief != make else make, missing, by_how_much)
        ),
        extra=listed(basis(new)) if new else "",
        tone="late" if late else "plain",
        cells=(
            Cell(name, tone="strong" if late else "plain"),
            Cell(f"[ {par} ]" if typed else par, tone="strong" if moved or typed else "plain"),
            Cell(_plates(preview, new) if new else ""),
            Cell(by_how_much, tone="strong"),
            Cell(*_basis(new)),
            Cell(amount_about(voice, prep, new.expected) if new else ""),
            Cell(in_brief(voice.there(prep, new.on_hand)) if new and new.on_hand else "–"),
            Cell(much(new.under_way + new.left_over) if new and new.under_way + new.left_over else "–"),
            _short(
                missing if thin else short, in_brief(voice.amount(prep, new.over)) if new and new.over else "", thin
            ),
            Cell(make, brief, tone="late" if late else "plain"),
        ),
        number=Number("par", sitting, prep) if sitting[0] else Number("standing par", None, prep),
    )


def _short(missing: str, over: str, thin: bool) -> Cell:
    """What is short of a par, or how much more than it is there: the line adds up either way."""
    if over:
        return Cell(_("{amount} over").format(amount=over), "–", tone="dim")
    return Cell(missing or "–", _("tight") if thin else None)


def _plates(board: Board, par: ParLine) -> str:
    """For how many plates a par is, where all dishes of its service take the same of it: whole ones."""
    state = board.state
    per_plate = {
        portion(state, par.day, dish.id, par.prep)
        for dish in state.book.dishes.values()
        if par.prep in dish.plate and stands_on(dish, par.service, par.day)
    }
    return f"{par.par // per_plate.pop()}" if len(per_plate) == 1 and all(per_plate) else ""


def _basis(line: ParLine | None) -> tuple[str, str]:
    """What a par rests on: in full, and in brief."""
    if line is None:
        return _("none any more"), ""
    sure = percent(line.chance)
    return listed((*basis(line), sure)), listed(basis(replace(line, stage=None)))


def runs_for(board: Board, par: ParLine) -> list[MakeLine]:
    """The runs to make that a par is covered by."""
    return [
        line
        for line in board.make
        if par.prep in line.outputs
        and any(use.service == (par.service or None) and use.day == par.day and not use.run_of for use in line.serves)
    ]


def _is_made(board: Board, prep: str) -> bool:
    found = board.state.book.preps.get(prep)
    return found is not None and bool(found.outputs or found.made_by)


def _to_make(board: Board, voice: Voice, par: ParLine | None) -> tuple[str, str, bool]:
    """What to make for a par, and by when: in full, in brief, and whether it is late."""
    runs = runs_for(board, par) if par else []
    if par is None or not runs:
        if par and par.thin:
            return _("under par, enough for tonight"), _("enough"), False
        none = (
            (_("too late to make") if _is_made(board, par.prep) else _("nothing makes it")) if par and par.short else ""
        )
        return none, none, False
    amount = in_brief(voice.amount(par.prep, sum(line.outputs[par.prep] for line in runs)))
    first = min(runs, key=lambda line: line.begins)
    late = any(line.late_minutes or line.misses for line in runs)
    when = _("by {time}").format(time=voice.time(first.begins))
    if late:
        worst = max(runs, key=lambda line: line.late_minutes)
        when = voice.begins(worst)
    size = say_size(sum((line.size for line in runs), start=runs[0].size * 0))
    by = ""
    if first.station != board.state.book.preps[first.prep].station:
        by = _(", {station} makes it").format(station=voice.station(first.station))
    return f"{size}, {amount}, {when}{by}", f"{amount} {when}{by}", late
