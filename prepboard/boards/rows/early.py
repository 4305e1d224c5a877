"""Whether a line is begun so early that whoever presses start is asked first, and what is said then."""

from __future__ import annotations

from datetime import datetime, timedelta

from prepboard.boards.rows.lists import voice_of
from prepboard.paper.text.sittings import sittings_that_run
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import MakeLine
from prepboard.texts import _

IN_SERVICE = timedelta(hours=1)
"""So far ahead a line is begun in service only by who means it: the hands are the guests' then. Common practice, no
source."""


def why_ask(board: Board, line: MakeLine, *, unseen: bool) -> str:
    """What is asked before a line is started that begins on another business day, that would no longer be good for
    what it is for if it began now, or, where nobody chose it (`unseen`), long after the guests of now; else empty."""
    voice = voice_of(board)
    name, begins = voice.name(line.prep), voice.time(line.begins)
    days = board.state.book.kitchen.days
    if days.business_day(line.begins) > days.business_day(board.now):
        return _("{prep} begins {day}: start it now?").format(prep=name, day=begins)
    if not_good_for(board, line):
        said = _("{prep} begins {time}; begun now it is good {good}, too short for what it is for: start it now?")
        assert line.use_by is not None
        good = voice.good_to(line.use_by - (line.ready_at - line.ready_if_started_now))
        return said.format(prep=name, time=begins, good=good)
    if unseen and line.begins - board.now >= IN_SERVICE and sittings_that_run(board):
        return _("{prep} begins only {time}: start it now?").format(prep=name, time=begins)
    return ""


def not_good_for(board: Board, line: MakeLine) -> bool:
    """Whether a line begun now ends before the last service that it is for does, and begun as planned does not."""
    ends = {(one.service, one.day): one.ends for one in board.sittings}
    last = max((end for use in line.serves if (end := ends.get((use.service or "", use.day)))), default=None)
    if last is None or line.use_by is None or line.use_by < last or _counts_days(board, line.use_by):
        return False
    return line.use_by - (line.ready_at - line.ready_if_started_now) < last


def _counts_days(board: Board, use_by: datetime) -> bool:
    """Whether a life ends with a midnight, which is the same for whatever begins on this day."""
    days = board.state.book.kitchen.days
    return use_by == days.midnight_after(days.local(use_by).date() - timedelta(days=1))
