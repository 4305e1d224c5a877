"""Lines that cannot be ready before their sitting is over: folded to one row, named with the dishes that they take."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from prepboard.boards.widgets.row import Row
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import MakeLine
from prepboard.texts import _, some

NAMED = 3
"""So many of them are named."""


def not_for(board: Board, stations: Collection[str] = ()) -> list[MakeLine]:
    """Those of some stations, else of all: each that is itself too late, and what only such lines would take."""
    late = {str(line.line) for line in board.make if line.too_late}
    more = True
    while more and late:
        before = len(late)
        late |= {str(line.line) for line in board.make if _only_for(board, line, late)}
        more = len(late) > before
    return [line for line in board.make if str(line.line) in late and (not stations or line.station in stations)]


def _only_for(board: Board, line: MakeLine, late: set[str]) -> bool:
    takers = {use.run_of for use in line.serves}
    if not line.serves or None in takers:
        return False
    taking = [one for one in board.make if one.prep in takers]
    return bool(taking) and all(str(one.line) in late for one in taking)


def not_for_row(board: Board, voice: Voice, folded: list[MakeLine]) -> Row | None:
    """ "not for Dinner: Lamb jus, Soubise", and what that takes off: "no Pressed lamb"; None where there is nothing."""
    if not folded:
        return None
    first = folded[0]
    names = list(dict.fromkeys(voice.name(line.prep) for line in folded))
    more = [some("{n} more", "{n} more", len(names) - NAMED)] if len(names) > NAMED else []
    sittings = listed(dict.fromkeys(_sittings(voice, folded)))
    what = _("not for {service}: {preps}").format(service=sittings, preps=listed([*names[:NAMED], *more]))
    return Row(str(first.line), what=what, words=off(board, voice, folded), tone="late")


def off(board: Board, voice: Voice, folded: Iterable[MakeLine]) -> str:
    """What the guests do not get: "no Pressed lamb, fewer Duck leg", where some of it is there."""
    none: dict[str, None] = {}
    fewer: dict[str, None] = {}
    for line in folded:
        for use in line.serves:
            service = board.state.book.services.get(use.service or "")
            if use.run_of or service is None:
                continue
            for dish in board.state.book.dishes.values():
                if service.id in dish.services and line.prep in dish.plate:
                    (fewer if line.on_hand + line.under_way else none)[voice.name(dish.id)] = None
    says = [_("no {dishes}").format(dishes=listed(none))] if none else []
    still = [name for name in fewer if name not in none]
    return listed([*says, *([_("fewer {dishes}").format(dishes=listed(still))] if still else [])])


def _sittings(voice: Voice, folded: Iterable[MakeLine]) -> Iterable[str]:
    return (voice.service(use.service, use.day) for line in folded for use in line.serves if use.service)
