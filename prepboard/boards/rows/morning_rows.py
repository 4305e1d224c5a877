"""What a station's board says first in the morning: a few lines on the night, gone once they are seen to. Pure."""

from __future__ import annotations

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Piece
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.saying import Voice, how_long, listed, near_day
from prepboard.plan.board import Board
from prepboard.plan.service.morning import NotCounted
from prepboard.plan.shown.day_lines import OpenClose
from prepboard.texts import _

MOST = 3
"""So many things are named of each kind; of more it is said how many."""


def morning_lines(board: Board, stations: tuple[str, ...], width: int) -> list[list[Piece]]:
    """Lines of at most `width` cells, the most pressing first; none when there is nothing to say."""
    night, voice = board.morning.of(stations), voice_of(board)
    said: list[Piece] = []
    if night.expired:
        gone = _named([f"{voice.name(one.prep) if one.prep else one.name} {one.code}" for one in night.expired])
        said.append((_("bin first, expired: {batches}").format(batches=gone), "discard"))
    if night.not_counted:
        said.append((_not_counted(voice, night.not_counted), "strong"))
    if night.overnight:
        due = [f"{voice.time(run.next_at)} {voice.name(run.prep)}, {run.next or _('done')}" for run in night.overnight]
        runs = _named(due, "; ")
        said.append((_("ran through the night: {runs}").format(runs=runs), "strong"))
    if night.open_closes:
        said.append((_left_open(voice, night.open_closes), "plain"))
    if night.to_open:
        tasks = _named([board.state.book.tasks[task.task].name for task in night.to_open])
        said.append((_("to open with: {tasks}").format(tasks=tasks), "plain"))
    return [[(f" {line}", tone)] for text, tone in said for line in wrap(text, width - 2)]


def _named(names: list[str], between: str = ", ") -> str:
    more = _(" and {n} more").format(n=len(names) - MOST) if len(names) > MOST else ""
    return between.join(names[:MOST]) + more


def _not_counted(voice: Voice, sittings: tuple[NotCounted, ...]) -> str:
    """What is on hand by the book only: "not counted since Sat 18:00: count first (Mash, Jus)"."""
    names = dict.fromkeys(voice.name(batch.prep) for one in sittings for batch in one.batches)
    since = min(one.since for one in sittings)
    said = _("not counted since {time}: count first ({preps})")
    return said.format(time=voice.time(since), preps=_named(list(names)))


def _left_open(voice: Voice, closes: tuple[OpenClose, ...]) -> str:
    """Closes left open, the oldest with its age; who wants to sign one still can."""
    oldest = closes[0]
    said = _("the close of {day} was not signed ({stations}), {age} ago: prepboard closing")
    if len(closes) > 1:
        said = _("{n} closes were not signed, the first of {day} ({stations}), {age} ago: prepboard closing")
    return said.format(
        n=len(closes),
        day=near_day(voice.days, oldest.day, voice.now),
        stations=listed(voice.station(station) for station in oldest.stations),
        age=how_long(voice.now - oldest.ended),
    )
