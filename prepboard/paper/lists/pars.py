"""The pars on paper: service by service, how much of each prep, on what basis, and what is missing."""

from __future__ import annotations

from datetime import date

from prepboard.paper.sentences.basis import (
    basis,
    covered,
    dishes_of,
    said_beside,
    stage_name,
    what_history_cannot,
    why,
)
from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.nights import runs_out
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import ParLine
from prepboard.texts import _, some


def pars(board: Board, width: int) -> Section:
    voice = Voice.of(board)
    lines: Section = []
    by_sitting: dict[tuple[str, date], list[ParLine]] = {}
    for line in board.pars:
        by_sitting.setdefault((line.service, line.day), []).append(line)
    for group in by_sitting.values():
        lines += _pars_of_sitting(group, board, voice, width)
    lines += _from_history(board, voice, width)
    return lines or section(_("PARS"), [], _("No service lies ahead, and no prep has a standing par."), width)


def _pars_of_sitting(group: list[ParLine], board: Board, voice: Voice, width: int) -> Section:
    first = group[0]
    title = voice.service(first.service, first.day) if first.service else _("Standing")
    if first.service:
        title = listed((title, some("{n} cover", "{n} covers", first.covers)))
    rows = [_par_row(line, voice) for line in group]
    chance = next(
        (one.chance_all_stand for one in board.sittings if (one.service, one.day) == (first.service, first.day)), None
    )
    note = paragraph(f"{runs_out(chance)}.".capitalize(), width) if chance is not None else []
    for said in said_beside(group, voice):
        note += paragraph(said, width)
    return ["", *paragraph(title.upper(), width, 1), *table(rows, "<><>>>>", width), *note]


def _from_history(board: Board, voice: Voice, width: int) -> Section:
    """How far the dishes' pars from history were kept so far."""
    dishes = [sales for sales in dishes_of(board.pars) if sales.expected is not None]
    if not dishes:
        return []
    rows = [Row((voice.name(sales.dish), stage_name(sales.stage), covered(sales))) for sales in dishes]
    body = table(rows, "<<<", width)
    first = {sales.dish: (sales, par.day) for par in reversed(board.pars) for sales in par.dishes}
    for said in (
        *(why(*first[sales.dish][:1], voice, first[sales.dish][1]) for sales in dishes),
        what_history_cannot(),
    ):
        body += paragraph(said, width)
    return section(_("FROM HISTORY"), body, "", width)


def _par_row(line: ParLine, voice: Voice) -> Row:
    def say(label: str, millionths: int, *, lacks: bool = False) -> str:
        return label.format(amount=voice.there(line.prep, millionths, lacks=lacks)) if millionths else ""

    chance = _("{chance} sure").format(chance=percent(line.chance)) if line.chance is not None else ""
    short = say(_("short {amount}"), line.short, lacks=True)
    return Row(
        (
            voice.name(line.prep),
            voice.amount(line.prep, line.par),
            listed((*basis(line), chance)),
            say(_("on hand {amount}"), line.on_hand),
            listed(
                (
                    say(_("under way {amount}"), line.under_way),
                    say(_("of earlier runs {amount}"), line.left_over),
                )
            ),
            listed((short, _("tight, enough for tonight") if line.thin else "", say(_("{amount} over"), line.over))),
            say(_("make {amount}"), line.to_make),
        )
    )


def percent(chance: float | None) -> str:
    """A chance as "95 in 100"; never rounded up to certainty."""
    if chance is None:
        return ""
    return _("{n} in 100").format(n=int(chance * 100 + 1e-9))
