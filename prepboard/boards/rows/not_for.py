"""Lines that cannot be ready before their sitting is over: folded to one row, named with the dishes that they take."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from prepboard.boards.widgets.row import Row
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.given.state import Sitting
from prepboard.plan.shown.lines import MakeLine, Serves
from prepboard.texts import _, some

NAMED = 3
"""So many of them are named."""


def not_for(board: Board, stations: Collection[str] = ()) -> list[MakeLine]:
    """Those of some stations, else of all: each that is itself too late, and what only such lines would take."""
    return [line for line in board.make if line.too_late and (not stations or line.station in stations)]


def missed(line: MakeLine) -> list[Serves]:
    """What it is for of the sittings that it misses: a line that a later sitting needs too is still made."""
    return [use for use in line.serves if (use.service, use.day) in line.not_for]


def not_for_row(board: Board, voice: Voice, folded: list[MakeLine]) -> Row | None:
    """ "not for Dinner: Lamb jus, Soubise", and what that takes off: "no Pressed lamb"; None where there is nothing."""
    if not folded:
        return None
    first = folded[0]
    names = list(dict.fromkeys(voice.name(line.prep) for line in folded))
    more = [some("{n} more", "{n} more", len(names) - NAMED)] if len(names) > NAMED else []
    what = f"{voice.not_for(folded)}: {listed([*names[:NAMED], *more])}"
    return Row(str(first.line), what=what, words=off(board, voice, folded), tone="late", across=True)


def off(board: Board, voice: Voice, folded: Iterable[MakeLine]) -> str:
    """What the guests do not get: "no Pressed lamb, fewer Duck leg", where some of it is there."""
    none: dict[str, None] = {}
    fewer: dict[str, None] = {}
    for line in folded:
        for use in missed(line):
            service = board.state.book.services.get(use.service or "")
            if use.run_of or service is None:
                continue
            for dish in board.state.book.dishes.values():
                if service.id in dish.services and line.prep in dish.plate:
                    (fewer if line.on_hand + line.under_way else none)[voice.name(dish.id)] = None
    says = [_("no {dishes}").format(dishes=listed(none))] if none else []
    still = [name for name in fewer if name not in none]
    return listed([*says, *([_("fewer {dishes}").format(dishes=listed(still))] if still else [])])


def off_row(board: Board, voice: Voice, stations: Collection[str], served: Collection[Sitting]) -> Row | None:
    """ "off: Zander", of the dishes that somebody took off the services `served`, and what of these stations nothing
    else needs: it is not asked for any more. None where there is no such dish."""
    ahead = {(one.service, one.day) for one in board.sittings}
    dishes, tonight = board.state.book.dishes, board.state.tonight
    gone = {dish for one in served if one in tonight for dish in tonight[one].off if dish in dishes}
    taken = {
        prep
        for dish in dishes.values()
        for service, day in ahead
        if service in dish.services and not (dish.id in gone and (service, day) in served)
        for prep in dish.plate
    } | {line.prep for line in board.make}
    folded = {dish: _only_of(board, stations, dish, taken) for dish in sorted(gone)}
    named = [dish for dish, preps in folded.items() if preps]
    if not named:
        return None
    preps = dict.fromkeys(voice.name(prep) for dish in named for prep in folded[dish])
    what = _("off: {dishes}").format(dishes=listed(voice.name(dish) for dish in named))
    return Row(named[0], what=what, words=_("no more {preps}").format(preps=listed(preps)), across=True)


def _only_of(board: Board, stations: Collection[str], dish: str, taken: Collection[str]) -> list[str]:
    book = board.state.book
    preps = [prep for prep in book.dishes[dish].plate if prep in book.preps and prep not in taken]
    return [prep for prep in preps if not stations or book.preps[prep].station in stations]
