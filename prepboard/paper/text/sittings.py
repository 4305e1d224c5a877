"""Which sittings a page or a board is about, those that run or else the next, and how its title says them."""

from __future__ import annotations

from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import SittingLine
from prepboard.texts import _, some


def sittings_that_run(board: Board) -> list[SittingLine]:
    """Those for which plates may go out, the one last begun at the end."""
    return sorted((one for one in board.sittings if one.running), key=lambda one: one.starts)


def sitting_ahead(board: Board) -> SittingLine | None:
    """Of the services that run the one last begun, else the next one."""
    ahead = (one for one in board.sittings if one.starts > board.now)
    return next(iter(reversed(sittings_that_run(board))), None) or next(ahead, None)


def sittings_served(board: Board) -> list[SittingLine]:
    """Those that plates are counted for: those that run, else the next one."""
    ahead = sitting_ahead(board)
    return sittings_that_run(board) or ([ahead] if ahead else [])


def sittings_said(board: Board, voice: Voice) -> str:
    """They as a title says them: "Dinner 18:00, 80 covers, in 40 min"; empty when none runs or lies ahead."""
    return "; ".join(_in_words(voice, one) for one in sittings_served(board))


def _in_words(voice: Voice, sitting: SittingLine) -> str:
    named = voice.service(sitting.service, sitting.day)
    if sitting.last_plates:
        return _("{service}, last plates").format(service=named)
    covers = some("{n} cover", "{n} covers", sitting.covers)
    if sitting.running:
        return _("{service} until {time}, {covers}").format(service=named, time=voice.wall(sitting.ends), covers=covers)
    urgency = voice.urgency(sitting.starts).replace(_("start now"), _("now"))
    said = _("{service} {time}, {covers}, {urgency}")
    return said.format(service=named, time=voice.wall(sitting.starts), covers=covers, urgency=urgency)
