"""The first and the last line of every page: where and when, and on what basis it calls food good."""

from __future__ import annotations

from prepboard.paper.text.evidence import plan_text
from prepboard.paper.text.layout import ends, paragraph
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, how_long, listed, long_day
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import SittingLine
from prepboard.texts import _, some

Section = list[str]


def heading(title: str, voice: Voice, width: int, sitting: str = "") -> Section:
    """Title, day and clock, and the sitting under way or next, on one line where it fits."""
    local = voice.days.local(voice.now)
    moment = f"{long_day(local.date())}  {voice.wall(voice.now)}"
    return ends(plain(title).upper(), moment, sitting, width)


def next_sitting(board: Board) -> str:
    """The sittings that run, else the next, in words; empty when none lies ahead."""
    return "; ".join(_in_words(board, one) for one in sittings_served(board))


def sittings_served(board: Board) -> list[SittingLine]:
    """Those that plates are counted for: those that run, else the next one."""
    first = first_sitting(board)
    running = sorted((one for one in board.sittings if one.running), key=lambda one: one.starts)
    return running or ([first] if first else [])


def _in_words(board: Board, sitting: SittingLine) -> str:
    voice = Voice.of(board)
    named = voice.service(sitting.service, sitting.day)
    if sitting.last_plates:
        return _("{service}, last plates").format(service=named)
    covers = some("{n} cover", "{n} covers", sitting.covers)
    if sitting.running:
        return _("{service} until {time}, {covers}").format(service=named, time=voice.wall(sitting.ends), covers=covers)
    return _("{service} {time}, {covers}, in {ahead}").format(
        service=named, time=voice.wall(sitting.starts), covers=covers, ahead=how_long(sitting.starts - board.now)
    )


def first_sitting(board: Board) -> SittingLine | None:
    """The sitting under way, else the next one."""
    running = sorted((one for one in board.sittings if one.running), key=lambda one: one.starts, reverse=True)
    ahead = (sitting for sitting in board.sittings if sitting.starts > board.now)
    return next(iter(running), None) or next(ahead, None)


def basis(voice: Voice, width: int) -> Section:
    """On whose rules and on which clock this page calls food good."""
    text = _("Dates by the kitchen's book, held to {rules}; clock of this machine.")
    if voice.set_by_hand:
        text = _("Dates by the kitchen's book, held to {rules}; clock set by hand.")
    kitchen = voice.book.kitchen
    page = ["", *paragraph(text.format(rules=plain(kitchen.rules.named)), width, 1)]
    if kitchen.rules.loosened:
        keys = listed(rule.key.replace("_", " ") for rule in kitchen.rules.loosened)
        said = _("Looser than that by this kitchen's own plan ({plan}): {keys}.")
        page += paragraph(said.format(plan=plan_text(kitchen.approved_plan), keys=keys), width, 1)
    return page
