"""`s`, a number, Enter: the line that was begun a moment ago is begun with another amount instead, and what that covers
and pushes is said."""

from __future__ import annotations

import asyncio
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING

from msgspec import Struct

from prepboard.boards.rows.lists import serves, voice_of
from prepboard.paper.text.saying import Voice, listed, measure_of
from prepboard.plan.board import Board, plan
from prepboard.plan.changing.begun import begun as as_begun
from prepboard.plan.changing.difference import Difference, difference
from prepboard.plan.shown.lines import MakeLine
from prepboard.texts import _, some

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did

WITHIN = 10.0
"""Seconds in which a number still belongs to the start before it."""


class Begun(Struct, frozen=True):
    """A start that was pressed here: which action it was, what was begun, the board as it stood, and when."""

    action: str
    line: MakeLine
    board: Board
    at: float


async def begin_other(desk: Desk, was: Begun, first: str) -> Did | None:
    """Asks how much, the `first` digit typed already; the start is taken back and made with that amount."""
    from prepboard.boards.questions.amount import AskAmount
    from prepboard.store.actions import undoing
    from prepboard.store.actions.food import making

    voice, line = voice_of(was.board), was.line
    recipe = was.board.state.book.preps[line.prep]
    title = _("{prep}: how much, instead of {planned}?")
    asked = AskAmount(
        title.format(prep=voice.name(line.prep), planned=voice.amount(line.prep, line.amount)),
        "",
        measure_of(was.board.state.book, line.prep),
        typed=first,
    )
    answer = await desk.app.push_screen_wait(asked)
    who = await desk.who() if answer and answer.amount else None
    if answer is None or not answer.amount or who is None:
        return None
    size = Fraction(answer.amount, recipe.outputs[line.prep])
    if await desk.carry_out(partial(undoing.undo, desk.file, who, was.action)) is None:
        return None
    did = await desk.carry_out(partial(making.start, desk.file, who, line.prep, size, line.line))
    if did is not None:
        there = await asyncio.to_thread(plan, as_begun(was.board.state, line, size, was.board.now), was.board.now)
        there_as_planned = await asyncio.to_thread(
            plan, as_begun(was.board.state, line, line.size, was.board.now), was.board.now
        )
        said = _("{prep}: {amount} started instead of {planned}, run {run}").format(
            prep=voice.name(line.prep),
            amount=voice.amount(line.prep, answer.amount),
            planned=voice.amount(line.prep, line.amount),
            run=did.run,
        )
        desk.tell("; ".join([said, *said_of(voice, line, difference(there_as_planned, there))]))
    return did


def said_of(voice: Voice, line: MakeLine, changed: Difference) -> list[str]:
    """What another amount than planned changes: what it covers besides, what is then still to make, what it pushes."""
    covers = [serves(voice, one) for one in changed.fewer if one.prep == line.prep]
    more = [serves(voice, one) for one in changed.more if one.prep == line.prep]
    said = []
    if covers:
        said.append(_("it covers {uses} as well").format(uses=listed(dict.fromkeys(covers))))
    if more:
        said.append(_("still to make: for {uses}").format(uses=listed(dict.fromkeys(more))))
    late = [one for one in changed.later if one.line not in changed.more]
    if late:
        first = late[0].line
        pushed = _("it pushes {prep}: ready {time}")
        said.append(pushed.format(prep=voice.name(first.prep), time=voice.time(first.ready_at)))
        if len(late) > 1:
            said.append(some("{n} more is later", "{n} more are later", len(late) - 1))
    return said
