"""Work left in words: what a bench still has before it, against the hands there. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from prepboard.boards.rows.lists import lines_to_make
from prepboard.book.saying import say_duration
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import StationWork
from prepboard.texts import _, some


def work_ahead(board: Board, stations: tuple[str, ...]) -> tuple[str, ...]:
    """What a bench still has before it, the weightiest first: 6 to start, 2 h 10 of work, 3 h 38 of hands. Once service
    runs: how much of it should be done by now."""
    lines, work = lines_to_make(board, stations), _first_work(board.work, stations)
    if work:
        lines = [line for line in lines if line.begins < work[0].before]
    parts = [some("{n} to start", "{n} to start", len(lines))] if lines else []
    to_do = sum(one.work_minutes for one in work)
    if work and work[0].before <= board.now:
        parts += [_("{time} behind").format(time=say_duration(to_do))] if to_do else []
    elif work:
        over = sum(one.over_minutes for one in work)
        hands = sum(one.hands_minutes for one in work)
        if over:
            parts.append(_("needs {time} of help").format(time=say_duration(over)))
        parts.append(_("{time} of work").format(time=say_duration(to_do)))
        parts.append(_("{time} of hands before service").format(time=say_duration(hands)))
    return tuple(parts)


def work_in_brief(board: Board, stations: tuple[str, ...]) -> str:
    """Work left against hands, where there is little room: "work 2 h 10 of 3 h 38"; "" when there is neither, or when
    service runs and there is nothing to set it against."""
    work = _first_work(board.work, stations)
    if not work or work[0].before <= board.now:
        return ""
    over = sum(one.over_minutes for one in work)
    said = _("work {work} of {hands}").format(
        work=say_duration(sum(one.work_minutes for one in work)),
        hands=say_duration(sum(one.hands_minutes for one in work)),
    )
    return _("needs {time} of help").format(time=say_duration(over)) if over else said


def _first_work(work: Iterable[StationWork], stations: tuple[str, ...]) -> list[StationWork]:
    mine = [one for one in work if one.station in stations]
    first = min((one.before for one in mine), default=None)
    return [one for one in mine if one.before == first]


def work_said(work: StationWork, behind: bool) -> str:
    """Work left of one bench, against its hands, or how much of it should be done by now."""
    if behind:
        return _("{time} behind").format(time=say_duration(work.work_minutes))
    if work.over_minutes:
        return _("needs {time} of help").format(time=say_duration(work.over_minutes))
    return _("{time} of work, {hands} of hands").format(
        time=say_duration(work.work_minutes), hands=say_duration(work.hands_minutes)
    )
