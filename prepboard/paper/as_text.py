"""Whole pages of plain text: a title line, sections in capitals, and the basis at the end.

These are the lists that come out of the board; what else can be shown is in `text_pages`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from prepboard.paper.lists import stations as lists
from prepboard.paper.lists.bringing import bring
from prepboard.paper.lists.handover import notes, tasks
from prepboard.paper.lists.pars import pars
from prepboard.paper.lists.today import today
from prepboard.paper.sentences.heading import Section, basis, heading
from prepboard.paper.text.saying import Voice
from prepboard.paper.text.sittings import sittings_said
from prepboard.plan.board import Board

_LISTS: Mapping[str, Callable[[Board, int], Section]] = {
    "make": lists.make,
    "underway": lists.underway,
    "expiring": lists.expiring,
    "left": lists.left,
    "pars": pars,
    "pull": lists.pull,
    "work": lists.work,
    "today": today,
    "bring": bring,
    "notes": notes,
    "tasks": tasks,
}


def page(what: str, board: Board, title: str, width: int) -> str:
    """The page of a WHAT that comes from the board."""
    voice = Voice.of(board)
    return whole(title, _LISTS[what](board, width), voice, width, sittings_said(board, voice))


def whole(title: str, body: Section, voice: Voice, width: int, sitting: str = "") -> str:
    """A page: its title line, its sections, and the basis on which it calls food good."""
    return "\n".join([*heading(title, voice, width, sitting), *body, *basis(voice, width)])
